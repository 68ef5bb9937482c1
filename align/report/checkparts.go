package report

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/paper"
	"example.com/borestack/align/internal/spell"
)

func (c *checker) parts() error {
	s := c.page.Section("parts", "Parts, front to rear")
	for i, p := range c.stack.Parts {
		if err := c.part(s, p.Name, spell.If(i == 0, ", the base"), &p); err != nil {
			return err
		}
	}
	return nil
}

func (c *checker) candidates() error {
	for _, q := range c.stack.Candidates {
		section := c.page.Section("candidates", "Candidates for "+spell.Name(q.Place))
		at := slices.IndexFunc(c.stack.Parts, func(p align.Part) bool { return p.Name == q.Place })
		for k := range q.Parts {
			s, err := c.stack.WithCandidate(q.Place, k)
			if err != nil {
				return err
			}
			if err := c.part(section, q.Parts[k].Name, "", &s.Parts[at]); err != nil {
				return err
			}
		}
	}
	return nil
}

// part is one part, under the name it is known by: its shape in the first line, then faces and bores.
func (c *checker) part(section *paper.Section, known, role string, p *align.Part) error {
	// The part by itself, so that its readings are fitted as they will be in the stack.
	alone, err := align.Stack{Parts: []align.Part{*p}}.Solve()
	if err != nil {
		return fmt.Errorf("report: %s: %w", known, err)
	}
	s := spell.Name(known) + role
	for _, shape := range alone.Parts {
		s += ": " + c.p.shape(shape)
	}
	s += spell.If(p.Turned, "; mounted end for end")
	s += spell.If(p.Material.Given, "; "+p.Material.Value.Name)
	s += warmth(p.Temperature)
	item := section.Line("%s.", s)
	fits := map[string]align.ReadingFit{}
	for _, f := range alone.Readings {
		fits[strings.TrimPrefix(f.Path, "/parts/0")] = f
	}
	lies := p.Located()
	for i, f := range [2]*align.Face{p.Front, p.Rear} {
		if f != nil {
			slope := [2]align.Slope{lies.Front.Slope, lies.Rear.Slope}[i]
			item.More = append(item.More, c.face([2]string{"front", "rear"}[i], f, slope, fits))
		}
	}
	for k := range p.Bores {
		item.More = append(item.More, c.bore(k, &p.Bores[k], fits))
	}
	return nil
}

// face is one face: how it was measured, what slope that gives, its pilot and dowel holes.
func (c *checker) face(side string, f *align.Face, slope align.Slope, fits map[string]align.ReadingFit) string {
	var out clauses
	add := out.add
	switch {
	case f.Thickness != nil:
		add("%s round a radius of %s", c.readings("micrometer", &f.Thickness.Readings), c.p.Size(f.Thickness.Radius))
	case len(f.Points) > 0:
		add("%d measured points", len(f.Points))
	case f.Sweep != nil:
		add("at z %s; %s at a radius of %s", c.p.Bare(f.Z), c.readings("dial", &f.Sweep.Readings), c.p.Bare(f.Sweep.Radius))
		c.setup(add, f.Sweep)
	case f.Slope == (align.Slope{}):
		add("square, at z %s", c.p.Bare(f.Z))
	default:
		add("at z %s, rising towards %s by %s", c.p.Bare(f.Z), f.Slope.Clock().Hours(), c.p.Slope(f.Slope.Size()))
	}
	if f.Sweep != nil || len(f.Points) > 0 {
		if steep := c.p.Slope(slope.Size()); steep == c.p.Slope(0) {
			add("so it is square")
		} else {
			add("so it rises towards %s by %s", slope.Clock().Hours(), steep)
		}
	}
	out.when(f.Diameter.Given, "contact out to a diameter of %s", c.p.Bare(f.Diameter.Value))
	if q := f.Pilot; q != nil {
		kind := spell.Either(q.Kind == align.PilotBore, "pilot bore", "spigot")
		add("%s of %s%s", kind, c.p.Bare(q.Diameter), c.centre(q.Centre))
		if q.Sweep != nil {
			c.swept(add, q.Sweep, fits["/"+side+"/pilot/sweep"], q.Kind == align.PilotBore)
		}
	}
	for _, d := range f.Dowels {
		add("dowel hole %s of %s at %s", spell.Name(d.Name), c.p.Bare(d.Diameter), c.p.point(d.Centre))
	}
	return side + " face: " + strings.Join(out, "; ") + "."
}

// centre is where a centre lies, or nothing when it is on the axis.
func (c *checker) centre(v align.Vec2) string {
	if v == (align.Vec2{}) {
		return ""
	}
	return fmt.Sprintf(", centre off by %s towards %s%s", c.p.Length(v.Size()), v.Clock().Hours(), c.onDial(v))
}

// onDial says what a dial turned about the part's z axis would show of a centre, so that a total reading typed for an offset
// catches the eye; nothing of a centre that is no error but a distance.
func (c *checker) onDial(v align.Vec2) string {
	if size := v.Size(); size <= mostDialled {
		return fmt.Sprintf(" (TIR %s on a dial)", c.p.Plain(2*size))
	}
	return ""
}

func (c *checker) bore(k int, b *align.Bore, fits map[string]align.ReadingFit) string {
	out := clauses{"at z " + c.p.Bare(b.Centre.Z)}
	add := out.add
	out.when(b.Diameter.Given, "diameter %s", c.p.Bare(b.Diameter.Value))
	if b.Sweep != nil {
		c.swept(add, b.Sweep, fits[fmt.Sprintf("/bores/%d/sweep", k)], true)
	} else if v := (align.Vec2{X: b.Centre.X, Y: b.Centre.Y}); v != (align.Vec2{}) {
		add("centre at %s%s", c.p.point(v), c.onDial(v))
	}
	out.when(b.Slope != (align.Slope{}), "its axis leans towards %s by %s", b.Slope.Clock().Hours(), c.p.Slope(b.Slope.Size()))
	return "bore " + spell.Name(b.Name) + ": " + strings.Join(out, "; ") + "."
}

// swept says a sweep of a register or bore, and where it puts the centre.
func (c *checker) swept(add func(string, ...any), s *align.Sweep, fit align.ReadingFit, bore bool) {
	add("%s", c.readings("dial", &s.Readings))
	c.setup(add, s)
	e, ok := sweptCentre(s, &fit, bore)
	if !ok {
		return
	}
	if c.p.Plain(e.Size()) == "0" {
		add("so its centre is on the axis that the dial turned about")
	} else {
		add("so its centre is off by %s towards %s (TIR %s)", c.p.Length(e.Size()), e.Clock().Hours(), c.p.Plain(2*e.Size()))
	}
	for _, h := range fit.Harmonics {
		if h.N == 2 && c.p.Plain(h.Size) != "0" {
			add("second harmonic %s", c.p.Length(h.Size))
		}
	}
}

func (c *checker) setup(add func(string, ...any), s *align.Sweep) {
	text := "turned about " + cmp.Or(spell.Name(s.About), "the part's z axis") + ", reading more as it "
	text += spell.Either(s.Out, "comes out", "is pushed in")
	text += spell.If(s.Droop != 0, ", it droops by "+c.p.Length(s.Droop))
	text += spell.If(s.Lift != 0, ", the axis lifts by "+c.p.Length(s.Lift)+" in service")
	text += spell.If(s.Mounted != "", " ("+spell.Clean(s.Mounted)+")")
	add("%s", text)
}

// readings says what was read: "dial at 8 stations, clockwise from 12 o'clock, -0.02 to 0.03 mm".
func (c *checker) readings(gauge string, r *align.Readings) string {
	all, read := slices.Concat(r.Values...), 0
	for _, v := range r.Values {
		read += min(len(v), 1)
	}
	first, seen := r.First, spell.Either(r.FromNose, "nose", "tail")
	if len(r.At) > 0 {
		first = r.At[0]
	}
	s := fmt.Sprintf("%s at %d stations, clockwise from %s seen from the %s", gauge, read, first.Hours(), seen)
	s += spell.If(read < len(r.Values), fmt.Sprintf(" (%d not reachable)", len(r.Values)-read))
	if read > 0 {
		s += fmt.Sprintf(", %s to %s", c.p.Plain(slices.Min(all)), c.p.Length(slices.Max(all)))
	}
	s += spell.If(r.Closing.Given, ", first station again "+c.p.Plain(r.Closing.Value))
	s += spell.If(r.Uncertainty.Given, ", standard uncertainty "+c.p.Length(r.Uncertainty.Value))
	s += spell.If(r.SharedUncertainty.Given, ", shared "+c.p.Length(r.SharedUncertainty.Value))
	return s
}
