package specify

import (
	"fmt"
	"math"

	"example.com/borestack/align"
	"example.com/borestack/tolerance"
)

// Kind is a geometrical characteristic of ISO 1101.
type Kind uint8

// The kinds.
const (
	Parallelism Kind = iota
	Perpendicularity
	Coaxiality
	Position
)

var kindWords = [...]string{"parallelism", "perpendicularity", "coaxiality", "position"}

func (k Kind) String() string { return kindWords[k] }

// Callout is one geometrical tolerance.
type Callout struct {
	Kind    Kind
	Feature string           // "plate, rear face"
	Datum   string           // "plate, front face"
	Zone    tolerance.Length // diameter; of parallelism the width
	Across  tolerance.Length // Parallelism, Perpendicularity: over what length the zone is held
	Weight  float64          // its cost is Weight times 0.01 mm over Zone

	// AtMaximum holds a position at maximum material: a hole that is larger by some amount, up to Size, may
	// be out of place by half of it more, and has that much more clearance.
	AtMaximum bool
	Size      tolerance.Length

	moves [2][]align.Move                           // by its X and Y components
	widen func(s *align.Stack, by tolerance.Length) // AtMaximum: the hole larger
}

// Name is the callout without its size.
func (c *Callout) Name() string { return c.Kind.String() + " of " + c.Feature + " to " + c.Datum }

// Cost of the callout, in the unit of its weight.
func (c *Callout) Cost() float64 { return c.Weight * 0.01 / float64(c.Zone) }

// radius is the size of the largest deviation within a zone: millimetres or a slope.
func (c *Callout) radius(zone float64) float64 {
	switch c.Kind {
	case Parallelism, Perpendicularity:
		return zone / float64(c.Across)
	case Position:
		if c.AtMaximum {
			return (zone + float64(c.Size)) / 2
		}
	}
	return zone / 2
}

// perZone is the derivative of radius.
func (c *Callout) perZone() float64 {
	if c.Kind == Parallelism || c.Kind == Perpendicularity {
		return 1 / float64(c.Across)
	}
	return 0.5
}

// The usual weights: what a kind costs beside the others at one size of zone.
//
// Source: common practice, no published source; put your own shop's in their place.
var usualWeights = [...]float64{Parallelism: 1, Perpendicularity: 1, Coaxiality: 1.5, Position: 1}

// Drawn is the stack as its drawing has it, made from a measured one: every face square, every bore and
// pilot on the part's axis or at its centre rounded to a tenth of a millimetre, thicknesses their means,
// every joint where it may lie.
func Drawn(s align.Stack) (align.Stack, error) {
	a, err := s.Solve()
	if err != nil {
		return s, err
	}
	s = s.Clone()
	s.Candidates = nil
	tenth := func(v ...*tolerance.Length) {
		for _, x := range v {
			*x = tolerance.Length(math.Round(10*float64(*x)) / 10)
		}
	}
	for i := range s.Parts {
		p := &s.Parts[i]
		for _, f := range []*align.Face{p.Front, p.Rear} {
			if f == nil {
				continue
			}
			for _, shape := range a.Parts {
				if f.Thickness != nil && shape.Name == p.Name {
					f.Z = shape.Thickness
				}
			}
			if n := len(f.Points); n > 0 {
				f.Z = 0
				for _, q := range f.Points {
					f.Z += q.Z / tolerance.Length(n)
				}
			}
			f.Points, f.Thickness, f.Sweep, f.Slope = nil, nil, nil, align.Slope{}
			if f.Pilot != nil {
				f.Pilot.Sweep, f.Pilot.Slope = nil, tolerance.Optional[align.Slope]{}
				tenth(&f.Pilot.Centre.X, &f.Pilot.Centre.Y)
			}
			for d := range f.Dowels {
				tenth(&f.Dowels[d].Centre.X, &f.Dowels[d].Centre.Y)
			}
		}
		for b := range p.Bores {
			q := &p.Bores[b]
			q.Sweep, q.Slope = nil, align.Slope{}
			tenth(&q.Centre.X, &q.Centre.Y)
		}
	}
	for k := range s.Joints {
		j := &s.Joints[k]
		j.SeatOnPoints, j.Interpolate, j.Flatten, j.Yield, j.Float = false, false, 0, nil, nil
	}
	return s, nil
}

// prepared has a gasket at every joint, so that faces out of parallel have a number to move.
func prepared(s align.Stack) align.Stack {
	s = s.Clone()
	s.Candidates = nil
	for k := range s.Joints {
		if s.Joints[k].Gasket == nil {
			s.Joints[k].Gasket = &align.Gasket{}
		}
	}
	return s
}

// usualAcross is what a zone is held across where the stack does not say.
const usualAcross = 100 * tolerance.Millimetre

// widths are those of the bores that matter.
func widths(s *align.Stack) map[string]tolerance.Length {
	carries := map[string]tolerance.Length{}
	for _, shaft := range s.Shafts {
		for _, b := range shaft.Supports {
			carries[b.Bore] = max(carries[b.Bore], b.Width)
		}
	}
	for _, r := range s.References {
		for _, bore := range append(r.Through[:], append(r.Best, r.Axis)...) {
			carries[bore] = max(carries[bore], 0)
		}
	}
	return carries
}

// Callouts lists what can be called out on the parts of a stack, without sizes. A part with a front pilot is
// held to its front face and that pilot. One without has a face alone for datum: its rear pilot, bores and
// holes are positions of one pattern then, held to each other as dimensioned.
//
// Source: ISO 1101:2017 (a coaxiality has an axis for datum); ISO 5458:2018 (patterns, simultaneous requirement).
func Callouts(s align.Stack) (out []Callout) {
	carries := widths(&s)
	for i := range s.Parts {
		p := &s.Parts[i]
		datum, pilot := p.Name+", rear face", ""
		if p.Front != nil {
			datum = p.Name + ", front face"
			if p.Front.Pilot != nil {
				pilot = p.Name + ", front pilot"
			}
		}
		system := datum
		if pilot != "" {
			system += " | " + pilot
		}
		out = append(out, calloutsOfJoint(&s, i, datum, pilot)...)
		for b := range p.Bores {
			name := p.Name + "/" + p.Bores[b].Name
			width, matters := carries[name]
			if matters {
				out = append(out, Callout{Kind: Position, Feature: name, Datum: system, moves: moves(func(s *align.Stack) (x, y *tolerance.Length) {
					c := &s.Parts[i].Bores[b].Centre
					return &c.X, &c.Y
				})})
			}
			if width > 0 {
				out = append(out, Callout{Kind: Perpendicularity, Feature: name, Datum: datum, Across: width, moves: moves(func(s *align.Stack) (x, y *float64) {
					c := &s.Parts[i].Bores[b].Slope
					return &c.X, &c.Y
				})})
			}
		}
		for side, name := range [2]string{"front", "rear"} {
			face := func(s *align.Stack) *align.Face { return [2]*align.Face{s.Parts[i].Front, s.Parts[i].Rear}[side] }
			if face(&s) == nil {
				continue
			}
			for d, hole := range face(&s).Dowels {
				out = append(out, Callout{
					Kind: Position, Feature: fmt.Sprintf("%s, dowel hole %s, %s", p.Name, hole.Name, name), Datum: system,
					moves: moves(func(s *align.Stack) (x, y *tolerance.Length) {
						c := &face(s).Dowels[d].Centre
						return &c.X, &c.Y
					}),
					widen: func(s *align.Stack, by tolerance.Length) { face(s).Dowels[d].Diameter += by },
				})
			}
		}
	}
	for k := range out {
		out[k].Weight = usualWeights[out[k].Kind]
	}
	return out
}

// calloutsOfJoint are those of a part that has another behind it: its rear face and pilot.
func calloutsOfJoint(s *align.Stack, i int, datum, pilot string) (out []Callout) {
	p := &s.Parts[i]
	if i >= len(s.Joints) || p.Front == nil || p.Rear == nil {
		return nil
	}
	out = append(out, Callout{
		Kind: Parallelism, Feature: p.Name + ", rear face", Datum: datum, Across: p.Rear.Diameter.Or(usualAcross),
		moves: moves(func(s *align.Stack) (x, y *float64) { return &s.Joints[i].Gasket.Slope.X, &s.Joints[i].Gasket.Slope.Y }),
	})
	if p.Rear.Pilot == nil {
		return out
	}
	var behind []func(*align.Stack) (x, y *tolerance.Length)
	for k := i + 1; k < len(s.Parts); k++ {
		behind = append(behind, func(s *align.Stack) (x, y *tolerance.Length) { return &s.Parts[k].Moved.X, &s.Parts[k].Moved.Y })
	}
	kind := Coaxiality
	if pilot == "" {
		kind, pilot = Position, datum
	}
	return append(out, Callout{Kind: kind, Feature: p.Name + ", rear pilot", Datum: pilot, moves: moves(behind...)})
}

// moves are what components move: each the numbers that are found together.
func moves[T ~float64](at ...func(*align.Stack) (x, y *T)) (out [2][]align.Move) {
	for _, find := range at {
		out[0] = append(out[0], align.Move{Gain: 1, Of: align.NumberOf(func(s *align.Stack) *T { x, _ := find(s); return x })})
		out[1] = append(out[1], align.Move{Gain: 1, Of: align.NumberOf(func(s *align.Stack) *T { _, y := find(s); return y })})
	}
	return out
}
