package report

import (
	"fmt"
	"strings"

	"example.com/borestack/align/internal/spell"
)

// chains says every axial chain's links.
func (c *checker) chains() {
	if len(c.stack.Chains) > 0 {
		c.page.heading("Axial chains")
	}
	for i := range c.stack.Chains {
		q := &c.stack.Chains[i]
		var list []string
		for _, l := range q.Links {
			g := l.Gain.Or(1)
			s := spell.Name(l.Name) + " "
			if l.From != "" {
				s += "(" + spell.Name(l.From) + " to " + spell.Name(l.To) + ")"
			} else {
				s += c.p.size(l.Length)
			}
			if g != 1 {
				s += " times " + spell.Trimmed(g, 4)
			}
			list = append(list, s)
		}
		c.page.hang(2, 4, spell.Name(q.Name)+": "+strings.Join(list, ", ")+".")
	}
}

// states says every state.
func (c *checker) states() {
	if len(c.stack.States) > 0 {
		c.page.heading("States")
	}
	for i := range c.stack.States {
		s := &c.stack.States[i]
		var list []string
		for _, w := range s.Temperatures {
			list = append(list, fmt.Sprintf("%s at %s °C", spell.Name(w.Of), spell.Trimmed(float64(w.Temperature), 1)))
		}
		for _, m := range s.Moves {
			list = append(list, fmt.Sprintf("bores of %s moved by (%s, %s, %s)", spell.Name(m.Part), c.p.bare(m.By.X), c.p.bare(m.By.Y), c.p.bare(m.By.Z)))
		}
		c.page.hang(2, 4, spell.Name(s.Name)+": "+strings.Join(list, ", ")+".")
	}
}

// limits says what is wanted.
func (c *checker) limits() {
	c.page.heading("Limits")
	list := c.rec.Limits()
	if len(list) == 0 {
		c.page.item("none: there will be nothing to pass or fail")
	}
	t := teller{p: c.p}
	for _, l := range list {
		s := strings.TrimSpace(t.outputWords(l) + " " + t.quantity(l.Output).bounds(l.Least, l.Greatest))
		if l.AtRest {
			s += ", judged where the joints rest"
		}
		if l.Because != "" {
			s += ": " + spell.Clean(l.Because)
		}
		c.page.item("%s", s)
	}
}

// later lists the gears, and what varies.
func (c *checker) later() {
	if n := len(c.stack.Meshes); n > 0 {
		c.page.heading("Gear meshes")
		for i := range c.stack.Meshes {
			m := &c.stack.Meshes[i]
			c.page.item("%s: face %s wide at z %s", spell.Name(m.Name), c.p.size(m.FaceWidth), c.p.bare(m.Z))
		}
	}
	if len(c.rec.Vary) > 0 {
		c.page.heading("What may vary")
		for i := range c.rec.Vary {
			v := &c.rec.Vary[i]
			switch {
			case v.Float != "":
				c.page.item("joint %s lies: %s", spell.Name(v.Float), v.Law.Word)
			default:
				c.page.item("%s: %s at %s", spell.Name(v.Name), spell.Clean(v.Law.String()), spell.Clean(strings.Join(v.At.List, " and ")))
			}
		}
	}
}
