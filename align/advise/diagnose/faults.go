package diagnose

import (
	"cmp"
	"fmt"
	"math"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/fault"
	"example.com/borestack/internal/rules"
	"example.com/borestack/tolerance"
)

// Process is how much deviations scatter where nothing is wrong, as standard deviations of one component,
// and how much larger one is that is at fault. Zero values stand for the usual ones.
//
// Source: common practice, no published source, for the usual values; use your own where you know them.
type Process struct {
	Face   float64          // faces of a joint out of parallel, a slope; usual 0.05 per 1000
	Place  tolerance.Length // parts beside each other at a joint; usual 0.01 mm
	Bore   tolerance.Length // a bore out of place in its part; usual 0.008 mm
	Square float64          // a bore out of square in its part, a slope; usual 0.05 per 1000
	Length tolerance.Length // of a part, or a gasket; usual 0.03 mm
	Fault  float64          // times as large; usual 8
}

// widest is how much wider than the usual scatter a process may be, and a fault than its process: beyond, effects
// are no longer of the first order, and all faults would be as unlikely.
const widest = 1000

// completed is the process with the usual values where it says none, or what is wrong with it.
func (p Process) completed() (Process, error) {
	var wrong rules.List
	for _, v := range []struct {
		name  string
		is    *float64
		usual float64
	}{{"face", &p.Face, 5e-5}, {"place", (*float64)(&p.Place), 0.01}, {"bore", (*float64)(&p.Bore), 0.008}, {"square", &p.Square, 5e-5}, {"length", (*float64)(&p.Length), 0.03}} {
		within := rules.NotNegative(*v.is) && *v.is <= widest*v.usual
		wrong.Need(within, "process/"+v.name, *v.is, fmt.Sprintf("a standard deviation of more than 0, at most %v times the usual %v, or 0 for that", widest, v.usual), fault.ErrOutOfRange)
		*v.is = cmp.Or(*v.is, v.usual)
	}
	p.Fault = cmp.Or(p.Fault, 8)
	wrong.Need(p.Fault > 1 && p.Fault <= widest, "process/fault", p.Fault, fmt.Sprintf("more than 1 and at most %v times the usual scatter, or 0 for the usual factor", widest), fault.ErrOutOfRange)
	return p, wrong.Err()
}

// deviation is one way in which a box can differ from its stack.
type deviation struct {
	name    string
	members []string // what it stands for
	measure string   // how it is measured with the box apart
	sd      float64  // of each component where nothing is wrong
	slope   bool     // components are slopes; lengths otherwise
	parts   int      // components: 1 or 2
	apply   func(s *align.Stack, x, y float64)
	joint   int // whose faces part where it is a joint's tilt; -1
}

// deviations lists what a stack can have wrong.
func deviations(s *align.Stack, p Process) []deviation {
	return append(jointDeviations(s, p), boreDeviations(s, p)...)
}

// jointDeviations are those of parts that meet.
func jointDeviations(s *align.Stack, p Process) (out []deviation) {
	for k := range s.Joints {
		front, rear, name := s.Parts[k].Name, s.Parts[k+1].Name, s.JointName(k)
		out = append(out,
			deviation{
				name: "faces out of parallel at " + name, sd: p.Face, slope: true, parts: 2, joint: k,
				members: []string{"rear face of " + front, "front face of " + rear, "dirt, a burr or a tapered gasket between them"},
				measure: "thickness round " + front + " and " + rear + ", and blue between their faces",
				apply: func(s *align.Stack, x, y float64) {
					g := gasket(s, k)
					g.Slope.X += x
					g.Slope.Y += y
				},
			},
			deviation{
				name: "parts beside each other at " + name, sd: float64(p.Place), parts: 2, joint: -1,
				members: []string{"pilot or dowels of " + front, "pilot or dowels of " + rear, "the parts pushed over in their clearance"},
				measure: "a dial from the bore to the pilot of " + front + " and of " + rear,
				apply: func(s *align.Stack, x, y float64) {
					for i := k + 1; i < len(s.Parts); i++ {
						s.Parts[i].Moved.X += tolerance.Length(x)
						s.Parts[i].Moved.Y += tolerance.Length(y)
					}
				},
			},
			deviation{
				name: "length at " + name, sd: float64(p.Length), parts: 1, joint: -1,
				members: []string{"length of " + front, "length of " + rear, "thickness of the gasket"},
				measure: "depth micrometer over " + front + " and " + rear,
				apply:   func(s *align.Stack, x, _ float64) { gasket(s, k).Thickness += tolerance.Length(x) },
			})
	}
	return out
}

// boreDeviations are those of bores that carry a shaft, or that shafts are told against.
func boreDeviations(s *align.Stack, p Process) (out []deviation) {
	carries := map[string]bool{}
	for _, bore := range supports(s) {
		carries[bore] = true
	}
	for _, r := range s.References {
		for _, bore := range append(r.Through[:], append(r.Best, r.Axis)...) {
			carries[bore] = true
		}
	}
	for i := range s.Parts {
		for b := range s.Parts[i].Bores {
			name := s.Parts[i].Name + "/" + s.Parts[i].Bores[b].Name
			if !carries[name] {
				continue
			}
			part := s.Parts[i].Name
			out = append(out,
				deviation{
					name: name + " out of place in its part", sd: float64(p.Bore), parts: 2, joint: -1,
					members: []string{"bore of " + part, "its bush or bearing"},
					measure: "a dial in " + name + " with " + part + " set on its pilot",
					apply: func(s *align.Stack, x, y float64) {
						c := &s.Parts[i].Bores[b].Centre
						c.X += tolerance.Length(x)
						c.Y += tolerance.Length(y)
					},
				},
				deviation{
					name: name + " out of square in its part", sd: p.Square, slope: true, parts: 2, joint: -1,
					members: []string{"bore of " + part, "its bush or bearing"},
					measure: "a dial at both mouths of " + name,
					apply: func(s *align.Stack, x, y float64) {
						c := &s.Parts[i].Bores[b].Slope
						c.X += x
						c.Y += y
					},
				})
		}
	}
	return out
}

// gasket is the one at a joint, put in where there is none.
func gasket(s *align.Stack, k int) *align.Gasket {
	if s.Joints[k].Gasket == nil {
		s.Joints[k].Gasket = &align.Gasket{}
	}
	return s.Joints[k].Gasket
}

// plain is the stack that derivatives are taken of: every joint held where it lies, and what was swept
// about a bore where it was meant to be, so that a bore that is moved takes nothing else with it. Both
// change the effect of a deviation in second order alone.
func plain(s align.Stack) (align.Stack, error) {
	s = rested(s)
	a, err := s.Solve()
	if err != nil {
		return s, err
	}
	for k := range s.Joints {
		f := a.Joints[k].Float
		s.Joints[k].Float = &f
	}
	for i := range s.Parts {
		for b := range s.Parts[i].Bores {
			s.Parts[i].Bores[b].Sweep = nil
		}
		for _, f := range []*align.Face{s.Parts[i].Front, s.Parts[i].Rear} {
			if f != nil && f.Pilot != nil {
				f.Pilot.Sweep = nil
			}
		}
	}
	return s, nil
}

// rested is a copy of the stack with every joint at rest, without candidates and states.
func rested(s align.Stack) align.Stack {
	s = s.Clone()
	s.Candidates, s.States = nil, nil
	for k := range s.Joints {
		s.Joints[k].Lies = align.LiesRest
	}
	return s
}

// effects are the derivatives of the sights' numbers by the components of a deviation, one column each.
func effects(base *align.Stack, at []float64, seen []Seen, d *deviation) ([][]float64, error) {
	var out [][]float64
	for c := range d.parts {
		s := base.Clone()
		step := d.sd
		if c == 0 {
			d.apply(&s, step, 0)
		} else {
			d.apply(&s, 0, step)
		}
		y, err := numbersOf(&s, seen)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", d.name, err)
		}
		for i := range y {
			y[i] = (y[i] - at[i]) / step
		}
		n := 0
		for i := range seen {
			if seen[i].Kind == Weeps && d.joint >= 0 && base.JointName(d.joint) == seen[i].Of {
				y[n+c] = -1 // faces part on the side away from what lifts them
			}
			n += seen[i].sight().numbers
		}
		out = append(out, y)
	}
	return out, nil
}

// described spells a deviation's size and direction.
func (d *sized) described(length func(tolerance.Length) string) string {
	x, y := d.size[0], d.size[1]
	size := math.Hypot(x, y)
	switch hand := " towards " + spell.Hand(tolerance.Clock(x, y)); {
	case d.parts == 1 && x < 0:
		return "shorter by " + length(tolerance.Length(-x))
	case d.parts == 1:
		return "longer by " + length(tolerance.Length(x))
	case !d.slope:
		return "by " + length(tolerance.Length(size)) + hand
	case d.joint >= 0:
		return "by " + length(tolerance.Length(size*100)) + " in 100 mm, rising" + hand
	default:
		return "by " + length(tolerance.Length(size*100)) + " in 100 mm, leaning to the rear" + hand
	}
}
