package specify

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"example.com/borestack/align"
	"example.com/borestack/align/record"
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
	Flatness // of a face that is a datum: one that is held parallel is as flat as that
)

var kindWords = [...]string{"parallelism", "perpendicularity", "coaxiality", "position", "flatness"}

// slope reports whether what a kind allows is a slope, else it is an offset.
func (k Kind) slope() bool { return k == Parallelism || k == Perpendicularity || k == Flatness }

func (k Kind) String() string { return kindWords[k] }

// Callout is one geometrical tolerance.
type Callout struct {
	Kind    Kind
	Feature string           // "plate, rear face"
	Datum   string           // "plate, front face"; empty: Flatness
	Zone    tolerance.Length // diameter; of parallelism and flatness the width
	Across  tolerance.Length // Parallelism, Perpendicularity, Flatness: over what length the zone is held
	Weight  float64          // its cost is Weight times 0.01 mm over Zone

	// AtMaximum holds a position at maximum material: a hole that is larger by some amount, up to Size, may
	// be out of place by half of it more, and a dowel hole has that much more clearance. What a bore leaves
	// its shaft stays as drawn.
	AtMaximum bool
	Size      tolerance.Length

	moves [2][]align.Move                           // by its X and Y components
	axis  *pilotAxis                                // what it moves besides
	widen func(s *align.Stack, by tolerance.Length) // AtMaximum: the hole larger
}

// Name is the callout without its size.
func (c *Callout) Name() string {
	if c.Datum == "" {
		return c.Kind.String() + " of " + c.Feature
	}
	return c.Kind.String() + " of " + c.Feature + " to " + c.Datum
}

// Cost of the callout, in the unit of its weight.
func (c *Callout) Cost() float64 { return c.Weight * 0.01 / float64(c.Zone) }

// radius is the size of the largest deviation within a zone: millimetres or a slope.
func (c *Callout) radius(zone float64) float64 {
	switch {
	case c.Kind.slope():
		return zone / float64(c.Across)
	case c.AtMaximum:
		return (zone + float64(c.Size)) / 2
	}
	return zone / 2
}

// perZone is the derivative of radius.
func (c *Callout) perZone() float64 {
	if c.Kind.slope() {
		return 1 / float64(c.Across)
	}
	return 0.5
}

// The usual weights: what a kind costs beside the others at one size of zone.
//
// Source: common practice, no published source; put your own shop's in their place.
var usualWeights = [...]float64{Parallelism: 1, Perpendicularity: 1, Coaxiality: 1.5, Position: 1, Flatness: 1}

// sameOnDrawing, in mm, is how near a coordinate of a drawing a measured one is meant to be it, even where it
// rounds to the next tenth.
const sameOnDrawing = 0.08

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
	var drawn []float64 // sizes of coordinates: what is measured of one in two parts is one in the drawing
	tenth := func(v ...*tolerance.Length) {
		for _, x := range v {
			size := math.Abs(float64(*x))
			k := slices.IndexFunc(drawn, func(d float64) bool { return math.Abs(d-size) < sameOnDrawing })
			if k < 0 {
				k, drawn = len(drawn), append(drawn, math.Round(10*size)/10)
			}
			*x = tolerance.Length(math.Copysign(drawn[k], float64(*x)))
		}
	}
	for i := range s.Parts {
		p := &s.Parts[i]
		for _, f := range []*align.Face{p.Front, p.Rear} {
			if f == nil {
				continue
			}
			drawnFace(f, p.Name, a.Parts)
			if f.Pilot != nil {
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

// drawnFace makes a face square and its pilot straight, without readings, where its part's shape or the mean of its
// points has it.
func drawnFace(f *align.Face, part string, shapes []align.PartShape) {
	for _, shape := range shapes {
		if f.Thickness != nil && shape.Name == part {
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
	}
}

// usualAcross is what a zone is held across where the stack does not say.
const usualAcross = 100 * tolerance.Millimetre

// asked is what a stack and its limits ask of a bore: its place, and over what length its axis is square.
type asked struct {
	placed bool
	width  tolerance.Length
}

// bores are those that shafts, references, meshes and limits are about.
func bores(s *align.Stack, limits []record.Limit) map[string]asked {
	out := map[string]asked{}
	of := func(bore string, placed bool, width tolerance.Length) {
		was := out[bore]
		out[bore] = asked{placed || was.placed, max(was.width, width)}
	}
	for _, shaft := range s.Shafts {
		for _, b := range shaft.Supports {
			of(b.Bore, true, b.Width)
		}
	}
	for _, r := range s.References {
		for _, bore := range slices.Concat(r.Through[:], r.Best) {
			of(bore, true, 0)
		}
		of(r.Axis, true, usualAcross)
	}
	for _, m := range s.Meshes {
		for _, bore := range slices.Concat(m.Axes[0][:], m.Axes[1][:]) {
			of(bore, true, 0)
		}
	}
	for _, l := range limits {
		switch l.Output.What {
		case align.OffsetSize, align.TIRSize:
			of(l.Output.Of, true, 0)
		case align.TiltSize:
			of(l.Output.Of, false, usualAcross)
		}
	}
	return out
}

// Callouts lists what can be called out on the parts of a stack as drawn and bears on its shafts, references
// and meshes or on what limits are of, without sizes. A part is held to its front face, or its rear one where
// it has no other, and to the pilot there. One without such a pilot has a face alone for datum: its rear
// pilot, bores and holes are positions of one pattern then, held to each other as dimensioned.
//
// Source: ISO 1101:2017 (a coaxiality has an axis for datum, square to a face where that is named before it);
// ISO 5458:2018 (patterns, simultaneous requirement).
func Callouts(s align.Stack, limits ...record.Limit) (out []Callout) {
	matter, leans := bores(&s, limits), leaning(&s, limits)
	for i := range s.Parts {
		p := &s.Parts[i]
		held, side, system := p.Front, ", front", ""
		if held == nil {
			held, side = p.Rear, ", rear"
		}
		datum := p.Name + side + " face"
		if held != nil && held.Pilot != nil {
			system = datum + " | " + p.Name + side + " pilot"
		}
		out = append(out, flatnessOf(&s, i, leans)...)
		out = append(out, calloutsOfRear(&s, i, datum, system, leans)...)
		system = cmp.Or(system, datum)
		for b := range p.Bores {
			name := p.Name + "/" + p.Bores[b].Name
			q := matter[name]
			if q.placed {
				out = append(out, Callout{Kind: Position, Feature: name, Datum: system, moves: moves(func(s *align.Stack) (x, y *tolerance.Length) {
					c := &s.Parts[i].Bores[b].Centre
					return &c.X, &c.Y
				})})
			}
			if q.width > 0 {
				out = append(out, Callout{Kind: Perpendicularity, Feature: name, Datum: datum, Across: q.width, moves: moves(func(s *align.Stack) (x, y *float64) {
					c := &s.Parts[i].Bores[b].Slope
					return &c.X, &c.Y
				})})
			}
		}
		for side, name := range [2]string{"front", "rear"} {
			out = append(out, calloutsOfHoles(&s, i, side == 1, name, system)...)
			out = append(out, calloutsOfPilot(&s, i, side == 1, name, leans)...)
		}
	}
	for k := range out {
		out[k].Weight = usualWeights[out[k].Kind]
	}
	return out
}

// face is a part's front or rear face as its drawing has it; nil: it has none.
func face(p *align.Part, rear bool) *align.Face {
	if rear {
		return p.Rear
	}
	return p.Front
}

// meets is the joint that a face of part i is at as mounted, and the face on its other side; false: none.
func meets(s *align.Stack, i int, rear bool) (joint int, other *align.Face, meets bool) {
	behind := rear != s.Parts[i].Turned
	if joint = i - 1; behind {
		joint = i
	}
	if joint < 0 || joint >= len(s.Joints) || face(&s.Parts[i], rear) == nil {
		return 0, nil, false
	}
	if behind {
		return joint, s.Parts[i+1].Facing(false), true
	}
	return joint, s.Parts[i-1].Facing(true), true
}

// calloutsOfHoles are those of the dowel holes of a face that take pins.
func calloutsOfHoles(s *align.Stack, i int, rear bool, side, system string) (out []Callout) {
	joint, _, ok := meets(s, i, rear)
	if !ok {
		return nil
	}
	for d, hole := range face(&s.Parts[i], rear).Dowels {
		if !slices.ContainsFunc(s.Joints[joint].Pins, func(p align.Pin) bool { return p.Dowel == hole.Name }) {
			continue
		}
		out = append(out, Callout{
			Kind: Position, Feature: fmt.Sprintf("%s, dowel hole %s, %s", s.Parts[i].Name, hole.Name, side), Datum: system,
			moves: moves(func(s *align.Stack) (x, y *tolerance.Length) {
				c := &face(&s.Parts[i], rear).Dowels[d].Centre
				return &c.X, &c.Y
			}),
			widen: func(s *align.Stack, by tolerance.Length) { face(&s.Parts[i], rear).Dowels[d].Diameter += by },
		})
	}
	return out
}

// flatnessOf is that of a part's datum face, where another part meets it: what it is out of flat tilts the joint
// against the datum.
func flatnessOf(s *align.Stack, i int, leans []bool) []Callout {
	rear, side := s.Parts[i].Front == nil, ", front face"
	if rear {
		side = ", rear face"
	}
	joint, _, ok := meets(s, i, rear)
	if !ok {
		return nil
	}
	return []Callout{{
		Kind: Flatness, Feature: s.Parts[i].Name + side, Across: face(&s.Parts[i], rear).Diameter.Or(usualAcross),
		moves: moves(func(s *align.Stack) (x, y *float64) { q := &face(&s.Parts[i], rear).Slope; return &q.X, &q.Y }),
		axis:  axisOf(i, rear, joint, leans, -1),
	}}
}

// calloutsOfRear are those of a part's rear face and its pilot, where another part meets it.
func calloutsOfRear(s *align.Stack, i int, datum, system string, leans []bool) (out []Callout) {
	p := &s.Parts[i]
	joint, other, ok := meets(s, i, true)
	if !ok || p.Front == nil {
		return nil
	}
	out = append(out, Callout{
		Kind: Parallelism, Feature: p.Name + ", rear face", Datum: datum, Across: p.Rear.Diameter.Or(usualAcross),
		moves: moves(func(s *align.Stack) (x, y *float64) { q := &s.Parts[i].Rear.Slope; return &q.X, &q.Y }),
		axis:  axisOf(i, true, joint, leans, -1),
	})
	if p.Rear.Pilot == nil || other == nil || other.Pilot == nil {
		return out
	}
	kind := Coaxiality
	if system == "" {
		kind, system = Position, datum
	}
	return append(out, Callout{Kind: kind, Feature: p.Name + ", rear pilot", Datum: system, moves: moves(func(s *align.Stack) (x, y *tolerance.Length) {
		c := &s.Parts[i].Rear.Pilot.Centre
		return &c.X, &c.Y
	})})
}

// moves are what components move.
func moves[T ~float64](find func(*align.Stack) (x, y *T)) [2][]align.Move {
	return [2][]align.Move{
		{{Gain: 1, Of: align.NumberOf(func(s *align.Stack) *T { x, _ := find(s); return x })}},
		{{Gain: 1, Of: align.NumberOf(func(s *align.Stack) *T { _, y := find(s); return y })}},
	}
}
