package report

import (
	"fmt"
	"strings"

	"example.com/borestack/align/internal/spell"
)

// chains says every axial chain's links.
func (c *checker) chains() {
	if len(c.stack.Chains) == 0 {
		return
	}
	s := c.page.Section("chains", "Axial chains")
	for i := range c.stack.Chains {
		q := &c.stack.Chains[i]
		var list []string
		for _, l := range q.Links {
			g := l.Gain.Or(1)
			link := spell.Name(l.Name) + " "
			if l.From != "" {
				link += "(" + spell.Name(l.From) + " to " + spell.Name(l.To) + ")"
			} else {
				link += c.p.Size(l.Length)
			}
			if g != 1 {
				link += " times " + spell.Trimmed(g, 4)
			}
			list = append(list, link)
		}
		s.Line("%s: %s.", spell.Name(q.Name), strings.Join(list, ", "))
	}
}

// states says every state.
func (c *checker) states() {
	if len(c.stack.States) == 0 {
		return
	}
	s := c.page.Section("states", "States")
	for i := range c.stack.States {
		q := &c.stack.States[i]
		var list []string
		for _, w := range q.Temperatures {
			list = append(list, fmt.Sprintf("%s at %s °C", spell.Name(w.Of), spell.Trimmed(float64(w.Temperature), 1)))
		}
		for _, m := range q.Moves {
			list = append(list, fmt.Sprintf("bores of %s moved by (%s, %s, %s)", spell.Name(m.Part), c.p.Bare(m.By.X), c.p.Bare(m.By.Y), c.p.Bare(m.By.Z)))
		}
		s.Line("%s: %s.", spell.Name(q.Name), strings.Join(list, ", "))
	}
}

// limits says what is wanted.
func (c *checker) limits() {
	s := c.page.Section("limits", "Limits")
	list := c.rec.Limits()
	if len(list) == 0 {
		s.Item("none: there will be nothing to pass or fail")
	}
	t := teller{p: c.p}
	for _, l := range list {
		want := strings.TrimSpace(t.outputWords(l) + " " + t.quantity(l.Output).bounds(l.Least, l.Greatest))
		if l.AtRest {
			want += ", judged where the joints rest"
		}
		if l.Because != "" {
			want += ": " + spell.Clean(l.Because)
		}
		s.Item("%s", want)
	}
}

// later lists the gears, and what varies.
func (c *checker) later() {
	if len(c.stack.Meshes) > 0 {
		s := c.page.Section("meshes", "Gear meshes")
		for i := range c.stack.Meshes {
			m := &c.stack.Meshes[i]
			s.Item("%s: face %s wide at z %s", spell.Name(m.Name), c.p.Size(m.FaceWidth), c.p.Bare(m.Z))
		}
	}
	if len(c.rec.Vary) == 0 {
		return
	}
	s := c.page.Section("variation", "What may vary")
	for i := range c.rec.Vary {
		v := &c.rec.Vary[i]
		if v.Float != "" {
			s.Item("joint %s lies: %s", spell.Name(v.Float), v.Law.Word)
			continue
		}
		s.Item("%s: %s at %s", spell.Name(v.Name), spell.Clean(v.Law.String()), spell.Clean(strings.Join(v.At.List, " and ")))
	}
}
