package report

import (
	"bytes"
	"cmp"
	"fmt"
	"io"
	"math"
	"strings"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/paper"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/align/record"
	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// Check writes the record back in words, so that whoever measured can see whether it says what was meant: what is thick where, what sits in what, what runs in what, and what looks like a slip. It computes no verdict. It returns an error for a record that [record.Decode] would not have accepted.
func Check(w io.Writer, rec *record.Record) error {
	if err := decodes(rec); err != nil {
		return err
	}
	s, err := rec.Stack()
	if err != nil {
		return err
	}
	c := &checker{teller{page: &paper.Page{}, p: printerOf(rec), rec: rec, at: pointersOf(rec), stack: &s}}
	c.head()
	if err := c.parts(); err != nil {
		return err
	}
	c.understood()
	c.joints()
	c.shafts()
	c.chains()
	if err := c.candidates(); err != nil {
		return err
	}
	c.states()
	c.limits()
	c.later()
	return c.page.Text(w)
}

// decodes returns the faults of a record that may have been made or changed in Go.
func decodes(rec *record.Record) error {
	if rec == nil {
		return &fault.FieldError{Path: "record", Want: "a record", Err: fault.ErrMissing}
	}
	var b bytes.Buffer
	if err := rec.Encode(&b); err != nil {
		return fmt.Errorf("report: %w", err)
	}
	_, err := record.Decode(&b)
	return err
}

// checker tells a record alone, without a result.
type checker struct{ teller }

func (c *checker) head() {
	c.page.Lead = "The record in words: " + cmp.Or(spell.Clean(c.rec.Title), "a record without a title") + "."
	s := c.page.Section("", "")
	if c.rec.Note != "" {
		s.Text("%s", spell.Clean(c.rec.Note))
	}
	s.Text("Lengths are in %s; clock positions seen from the tail end looking forward, 12 o'clock up; clearances on diameter. No verdict here.", c.p.unitWord())
	c.page.List("doubts", inDoubtTitle, spell.Mapped(c.rec.Doubts(), func(d record.Doubt) string { return c.saidAt(d.Path, d.Why) })...)
	c.page.List("warnings", "Looks like a slip", recordWarnings(&c.at)...)
}

// joints says what sits in what.
func (c *checker) joints() {
	var list []string
	for k := range c.stack.Joints {
		list = append(list, spell.Name(c.stack.JointName(k))+": "+strings.Join(c.joint(k), "; ")+".")
	}
	c.page.Lines("joints", "Joints", list...)
}

func (c *checker) joint(k int) []string {
	j := &c.stack.Joints[k]
	front, rear := &c.stack.Parts[k], &c.stack.Parts[k+1]
	out := clauses{fmt.Sprintf("the %s on the %s", spell.Name(rear.Name), spell.Name(front.Name))}
	add := out.add
	if g := j.Gasket; g != nil {
		s := fmt.Sprintf("a gasket or shim %s thick", c.p.Size(g.Thickness))
		s += spell.If(g.Slope.Size() > 0, fmt.Sprintf(", thickest at %s by %s", g.Slope.Clock().Hours(), c.p.Slope(g.Slope.Size())))
		add("%s", s)
	}
	out.say(c.register(j, front.Facing(true), rear.Facing(false)))
	out.when(j.Engagement.Given, "engaged over %s", c.p.Size(j.Engagement.Value))
	out.say(spell.Mapped(j.Pins, c.pin)...)
	out.when(j.BoltClearance.Given, "%d bolts with %s of clearance", len(j.Bolts), c.p.Length(j.BoltClearance.Value.Length()))
	turn := c.p.turnWords(j.Clock)
	out.when(turn != "", "mounted turned by %s", turn)
	out.when(j.SeatOnPoints, "seated on the measured points of both faces")
	out.say(map[align.Rules]string{
		align.RulesFlush: "the bolts close the faces, whatever the pilot says", align.RulesPilot: "the pilot leads, whatever the faces say",
	}[j.Rules])
	switch {
	case j.Float != nil:
		add("its float was measured: %s, turned %s clockwise", c.p.point(align.Vec2{X: j.Float.X, Y: j.Float.Y}), spell.Turn(j.Float.Turn))
	case j.Lies == align.LiesRest:
		add("taken to lie at rest")
	case j.Lies == align.LiesHang:
		add("taken to hang")
	default:
		add("nobody knows where in its float it lies")
	}
	return out
}

// register says what spigot sits in what bore.
func (c *checker) register(j *align.Joint, a, b *align.Face) string {
	if a == nil || b == nil || a.Pilot == nil || b.Pilot == nil {
		return "no pilot"
	}
	if ring, ok := j.RegisterRing.Get(); ok {
		return fmt.Sprintf("a ring of %s spans bores of %s and %s", c.p.Size(ring), c.p.Bare(a.Pilot.Diameter), c.p.Bare(b.Pilot.Diameter))
	}
	bore, spigot, whose := a.Pilot.Diameter, b.Pilot.Diameter, "spigot of the rear part in bore of the front part"
	if a.Pilot.Kind == align.Spigot {
		bore, spigot, whose = b.Pilot.Diameter, a.Pilot.Diameter, "spigot of the front part in bore of the rear part"
	}
	fit := c.p.Length(bore-spigot) + " of clearance"
	if spigot > bore {
		fit = c.p.Length(spigot-bore) + " of squeeze"
	}
	return fmt.Sprintf("%s, %s in %s: %s", whose, c.p.Bare(spigot), c.p.Size(bore), fit)
}

func (c *checker) pin(p align.Pin) string {
	s := fmt.Sprintf("pin %s of %s ", spell.Name(p.Dowel), c.p.Size(p.Diameter))
	s += [3]string{"pressed in the front part", "pressed in the rear part", "held by neither part"}[min(p.Pressed, 2)]
	if v, ok := p.Locates.Get(); ok {
		s += fmt.Sprintf(", which holds along %s to %s only", v.Clock().Hours(), (align.Slope{X: -v.X, Y: -v.Y}).Clock().Hours())
	}
	s += spell.If(p.Step != (align.Vec2{}), fmt.Sprintf(", offset by %s towards %s at its rear end", c.p.Length(p.Step.Size()), p.Step.Clock().Hours()))
	return s
}

func (c *checker) shafts() {
	var out clauses
	for _, q := range c.stack.Shafts {
		list := spell.Mapped(q.Supports, c.support)
		if len(q.Sections) > 0 {
			list = append(list, c.sections(&q))
		}
		out.add("%s: %s%s.", spell.Name(q.Name), strings.Join(list, "; "), warmth(q.Temperature))
	}
	for _, q := range c.stack.Pockets {
		wide := ""
		if q.Width.Given {
			wide = ", " + c.p.Size(q.Width.Value) + " wide"
		}
		out.add("%s: %s runs in the end of %s at z %s, clearance %s%s.", spell.Name(q.Name), spell.Name(q.Between[0]), spell.Name(q.Between[1]), c.p.Bare(q.Z), c.p.Length(q.Clearance.Length()), wide)
	}
	for _, r := range c.stack.References {
		along := "through " + spell.Name(r.Through[0]) + " and " + spell.Name(r.Through[1])
		switch {
		case r.Axis != "":
			along = "the axis of " + spell.Name(r.Axis)
		case len(r.Best) > 0:
			along = "the best line through " + spell.Listed(cleaned(r.Best), 6)
		}
		out.add("reference %s: %s.", spell.Name(r.Name), along)
	}
	title := "Shafts"
	if len(c.stack.Shafts) == 0 {
		title = "References"
	}
	c.page.Lines("shafts", title, out...)
}

func (c *checker) support(q align.Support) string {
	s := spell.Name(q.Bore)
	s += spell.If(q.Kind == align.Bush, ", a bush "+c.p.Size(q.Width)+" wide")
	s += ", clearance " + c.p.Length(q.Clearance.Length())
	s += spell.If(q.Runout != 0, ", journal runs out "+c.p.Length(q.Runout.Length())+" TIR")
	s += spell.If(q.Tilt.Given, ", may tilt "+c.p.Slope(q.Tilt.Value))
	return s
}

// sections says how thick an elastic shaft is, and what loads it.
func (c *checker) sections(s *align.Shaft) string {
	var list []string
	for _, q := range s.Sections {
		d := c.p.Bare(q.Diameter)
		d += spell.If(q.Bore != 0, " bored "+c.p.Bare(q.Bore))
		list = append(list, fmt.Sprintf("%s from z %s to %s", d, c.p.Bare(q.From), c.p.Bare(q.To)))
	}
	out := "diameter " + spell.Listed(list, 8)
	out += spell.If(s.Density.Given, "; its own weight acts")
	for _, l := range s.Loads {
		out += fmt.Sprintf("; %s at z %s", spell.Name(l.Name), c.p.Bare(l.Z))
		if size := math.Hypot(l.Force.X, l.Force.Y); size > 0 {
			out += fmt.Sprintf(", %s towards %s", spell.Newtons(size), tolerance.Clock(l.Force.X, l.Force.Y).Hours())
		}
		if g := l.Gear; g != nil {
			out += fmt.Sprintf(", a gear of pitch diameter %s with its mate at %s, torque %s N·m clockwise", c.p.Size(g.PitchDiameter), g.Mate.Hours(), spell.Trimmed(g.Torque, 1))
		}
	}
	return out
}

func warmth(t tolerance.Optional[tolerance.Celsius]) string {
	if !t.Given {
		return ""
	}
	return fmt.Sprintf(", at %s °C", spell.Trimmed(float64(t.Value), 1))
}

func (c *checker) chains() {
	c.page.Lines("chains", "Axial chains", spell.Mapped(c.stack.Chains, func(q align.Chain) string {
		return spell.Name(q.Name) + ": " + strings.Join(spell.Mapped(q.Links, func(l align.Link) string {
			link := spell.Name(l.Name) + " "
			if l.From != "" {
				link += "(" + spell.Name(l.From) + " to " + spell.Name(l.To) + ")"
			} else {
				link += c.p.Size(l.Length)
			}
			if g := l.Gain.Or(1); g != 1 {
				link += " times " + spell.Trimmed(g, 4)
			}
			return link
		}), ", ") + "."
	})...)
}

func (c *checker) states() {
	c.page.Lines("states", "States", spell.Mapped(c.stack.States, func(q align.State) string {
		var list clauses
		for _, w := range q.Temperatures {
			list.add("%s at %s °C", spell.Name(w.Of), spell.Trimmed(float64(w.Temperature), 1))
		}
		for _, m := range q.Moves {
			list.add("bores of %s moved by (%s, %s, %s)", spell.Name(m.Part), c.p.Bare(m.By.X), c.p.Bare(m.By.Y), c.p.Bare(m.By.Z))
		}
		return spell.Name(q.Name) + ": " + strings.Join(list, ", ") + "."
	})...)
}

func (c *checker) limits() {
	var out clauses
	for _, l := range c.rec.Limits() {
		want := strings.TrimSpace(c.outputWords(l) + " " + c.quantity(l.Output).bounds(l.Limits))
		want += spell.If(l.Rests(), ", judged where the joints rest")
		want += spell.If(l.Because != "", ": "+spell.Clean(l.Because))
		out.say(want)
	}
	if len(out) == 0 {
		out.say("none: there will be nothing to pass or fail")
	}
	c.page.List("limits", "Limits", out...)
}

func (c *checker) later() {
	c.page.List("meshes", "Gear meshes", spell.Mapped(c.stack.Meshes, func(m align.Mesh) string {
		return fmt.Sprintf("%s: face %s wide at z %s", spell.Name(m.Name), c.p.Size(m.FaceWidth), c.p.Bare(m.Z))
	})...)
	c.page.List("variation", "What may vary", spell.Mapped(c.rec.Vary, func(v record.Vary) string {
		if v.Float != "" {
			return "joint " + spell.Name(v.Float) + " lies: " + v.Law.Word
		}
		return spell.Name(v.Name) + ": " + spell.Clean(v.Law.String()) + " at " + spell.Clean(strings.Join(v.At.List, " and "))
	})...)
}
