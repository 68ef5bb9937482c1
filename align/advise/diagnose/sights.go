package diagnose

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/stat"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/fault"
	"example.com/borestack/internal/ieee"
	"example.com/borestack/internal/rules"
	"example.com/borestack/tolerance"
)

// Kind is what was looked at.
type Kind uint8

// The kinds of sights.
const (
	Sweep   Kind = iota + 1 // a dial swept in a bore that carries a shaft, about the main reference: TIR and where it is greatest
	EndPlay                 // the gap of a chain, measured
	Worn                    // a bush or bearing worn towards a clock position, at one mouth or all along
	Bright                  // the teeth of a mesh bright at one end
	Weeps                   // a joint that lets oil out at a clock position
	Face                    // a dial swept on a face cut square with a bore that carries a shaft, about the main reference: TIR and where the face stands farthest to the tail
)

// End is the front or the rear of a bore or a tooth.
type End uint8

// The ends; the zero value is neither.
const (
	Middle End = iota
	Front
	Rear
)

// Seen is one sight.
type Seen struct {
	Kind   Kind
	Of     string           // bore ("part/bore"), chain, mesh or joint
	At     End              // Worn: which mouth; Bright: which end
	Value  tolerance.Length // Sweep, Face: the TIR; EndPlay: the gap
	Clock  tolerance.Angle  // Sweep: towards where the bore is off; Face: where it stands farthest to the tail; Worn, Weeps: where; clockwise from 12 seen from the tail
	U      tolerance.Length // Sweep, Face: standard uncertainty of a component of half the TIR; EndPlay: of the gap; 0: usualU
	Radius tolerance.Length // Face: of the circle that the dial runs on
}

// What is taken for granted of sights.
//
// Source: common practice, no published source: a dial with 0.01 mm divisions; wear is seen to about an
// hour; two in a hundred bright ends are read off the wrong flank.
const (
	usualU    = 0.005 * tolerance.Millimetre
	usualHour = 25 * tolerance.Degree // standard deviation of a direction of wear or of a leak
	wrongEnd  = 0.02
)

// Bounds of what is measured: a dial and a depth gauge reach less than a metre, no gauge of a workshop tells less than a tenth of a micrometre, and a
// face is swept outside the dial's own plunger.
const (
	most        = tolerance.Metre
	leastU      = 0.0001 * tolerance.Millimetre
	leastRadius = tolerance.Millimetre
	astray      = 10 * tolerance.Millimetre // no dial that is swept about a line follows a bore that is farther off it
)

// sight is all that tells one kind of sight from another.
type sight struct {
	word      string
	must, may []string                      // columns of a table that it has, and may have
	known     func(s *align.Stack) []string // what it may be seen of
	least     tolerance.Length              // its value can be
	measured  bool                          // it has a value; else it is a direction or a side alone
	numbers   int                           // of a box that it is about: x, or x and y
	of        func(s *align.Stack, a *align.Assembly, v *Seen) (x, y float64, err error)
}

var kinds = [...]sight{
	Sweep: {
		word: "sweep", must: []string{"value", "clock"}, may: []string{"u"}, known: supports, measured: true, numbers: 2,
		of: func(_ *align.Stack, a *align.Assembly, v *Seen) (x, y float64, err error) {
			b, err := swept(a, v.Of)
			return float64(b.Offset.X), float64(b.Offset.Y), err
		},
	},
	EndPlay: {
		word: "end play", must: []string{"value"}, may: []string{"u"}, least: -most, measured: true, numbers: 1,
		known: func(s *align.Stack) []string {
			return spell.Mapped(s.Chains, func(c align.Chain) string { return c.Name })
		},
		of: func(_ *align.Stack, a *align.Assembly, v *Seen) (x, y float64, err error) {
			i := slices.IndexFunc(a.Chains, func(c align.ChainGap) bool { return c.Name == v.Of })
			return float64(a.Chains[i].Gap), 0, nil
		},
	},
	Worn: {word: "worn", must: []string{"clock"}, may: []string{"at"}, known: supports, numbers: 2, of: wear},
	Bright: {
		word: "bright", must: []string{"at"}, numbers: 1,
		known: func(s *align.Stack) []string {
			return spell.Mapped(s.Meshes, func(m align.Mesh) string { return m.Name })
		},
		of: func(_ *align.Stack, a *align.Assembly, v *Seen) (x, y float64, err error) {
			i := slices.IndexFunc(a.Meshes, func(m align.MeshFit) bool { return m.Name == v.Of })
			return float64(a.Meshes[i].Mismatch[0]), 0, nil
		},
	},
	Weeps: {
		word: "weeps", must: []string{"clock"}, numbers: 2,
		known: func(s *align.Stack) (out []string) {
			for k := range s.Joints {
				out = append(out, s.JointName(k))
			}
			return out
		},
		// Where faces part follows from the joint's own tilt, which faults.go knows; no box shows it flush.
		of: func(*align.Stack, *align.Assembly, *Seen) (x, y float64, err error) { return 0, 0, nil },
	},
	Face: {
		word: "face", must: []string{"value", "clock", "radius"}, may: []string{"u"}, known: supports, measured: true, numbers: 2,
		of: func(_ *align.Stack, a *align.Assembly, v *Seen) (x, y float64, err error) {
			b, err := swept(a, v.Of) // its face rises away from where its axis leans
			return -b.Tilt.X, -b.Tilt.Y, err
		},
	},
}

// sight is what its kind is.
func (s *Seen) sight() *sight { return &kinds[s.Kind] }

// value is what was measured, in numbers of a box.
func (s *Seen) value() []float64 {
	if s.Kind == EndPlay {
		return []float64{float64(s.Value)}
	}
	sin, cos := math.Sincos(float64(s.Clock))
	half := float64(s.Value) / 2 / s.scale() // an offset is half its TIR
	return []float64{half * sin, half * cos}
}

// u is the standard uncertainty of each of these numbers.
func (s *Seen) u() float64 { return float64(cmp.Or(s.U, usualU)) / s.scale() }

// scale is what a length is divided by for the number of the box: a face's slope is over its radius.
func (s *Seen) scale() float64 {
	if s.Kind == Face {
		return float64(s.Radius)
	}
	return 1
}

// likelihood is how likely a direction or a side is to be seen as it was, up to a factor that all
// explanations share, given the numbers of the box.
func (s *Seen) likelihood(z []float64) float64 {
	if s.Kind == Bright {
		if (z[0] > 0) == (s.At == Rear) {
			return 1 - wrongEnd
		}
		return wrongEnd
	}
	size := math.Hypot(z[0], z[1])
	if size == 0 {
		return math.Exp(-1 / float64(usualHour*usualHour))
	}
	sin, cos := math.Sincos(float64(s.Clock))
	return math.Exp((float64((z[0]*sin+z[1]*cos)/size) - 1) / float64(usualHour*usualHour))
}

// check names what is wrong with sights of a stack.
func check(s *align.Stack, seen []Seen) error {
	var wrong rules.List
	wrong.Need(len(seen) > 0, "seen", nil, "at least one thing that is seen", fault.ErrMissing)
	for i := range seen {
		v, at := &seen[i], fmt.Sprintf("seen/%d/", i)
		if v.Kind == 0 || int(v.Kind) >= len(kinds) {
			wrong.Need(false, at+"kind", uint8(v.Kind), "sweep, face, end play, worn, bright or weeps", fault.ErrOutOfRange)
			continue
		}
		known := v.sight().known(s)
		wrong.Need(slices.Contains(known, v.Of), at+"of", strconv.Quote(v.Of), wanted(v.Of, known), fault.ErrUnknownName)
		wrong.Need(v.Kind != Bright || v.At != Middle, at+"at", "neither end", "front or rear", fault.ErrMissing)
		wrong.Need(ieee.Finite(v.Clock), at+"clock", float64(v.Clock), "a finite number", fault.ErrNotFinite)
		for _, x := range []struct {
			key   string
			is    tolerance.Length
			least tolerance.Length
			zero  bool // 0 is right as well
		}{{"value", v.Value, v.sight().least, true}, {"u", v.U, leastU, true}, {"radius", v.Radius, leastRadius, v.Kind != Face}} {
			wrong.Need(ieee.Finite(x.is), at+x.key, float64(x.is), "a finite number", fault.ErrNotFinite)
			within := x.is >= x.least && x.is <= most || x.zero && x.is == 0
			wrong.Need(within || !ieee.Finite(x.is), at+x.key, x.is, fmt.Sprintf("%v to %v%s", x.least, most, map[bool]string{true: ", or nothing"}[x.zero && x.least > 0]), fault.ErrOutOfRange)
		}
	}
	return wrong.Err()
}

// wanted is what would be right in place of a name that is none of those known.
func wanted(name string, known []string) string {
	if near, ok := tolerance.Nearest(name, known); ok {
		return fmt.Sprintf("%q, or another name of the stack", near)
	}
	if len(known) == 0 {
		return "another sight: this box has nothing of the kind"
	}
	return "one of " + strings.Join(spell.Mapped(known, strconv.Quote), ", ")
}

// supports are the bores that carry shafts.
func supports(s *align.Stack) (out []string) {
	for _, shaft := range s.Shafts {
		out = append(out, spell.Mapped(shaft.Supports, func(b align.Support) string { return b.Bore })...)
	}
	return out
}

// numbersOf are what a box says of every sight.
func numbersOf(s *align.Stack, seen []Seen) ([]float64, error) {
	a, err := s.Solve()
	if err != nil {
		return nil, err
	}
	var out []float64
	for i := range seen {
		kind := seen[i].sight()
		x, y, err := kind.of(s, a, &seen[i])
		if err != nil {
			return nil, fmt.Errorf("seen/%d/%w", i, err)
		}
		out = append(out, []float64{x, y}[:kind.numbers]...)
	}
	return out, nil
}

func support(a *align.Assembly, bore string) *align.SupportedBore {
	i := slices.IndexFunc(a.Supports, func(b align.SupportedBore) bool { return b.Bore == bore })
	return &a.Supports[i]
}

// swept is a bore that a dial about the main reference reaches.
func swept(a *align.Assembly, bore string) (*align.SupportedBore, error) {
	b := support(a, bore)
	if off := b.Offset.Size(); off > astray {
		return b, fault.At("of", strconv.Quote(bore), fmt.Sprintf("a bore that a dial swept about the main reference follows: this one stands %v beside it", off), fault.ErrConflict)
	}
	return b, nil
}

// wear is where a shaft that runs in its other supports stands in a bore, at its mouth: the side that wears.
// A pocket is one more support, where the other shaft stands by its own.
func wear(s *align.Stack, a *align.Assembly, v *Seen) (x, y float64, err error) {
	own := support(a, v.Of)
	z := float64(own.Z)
	for _, shaft := range s.Shafts {
		for _, b := range shaft.Supports {
			if b.Bore != v.Of {
				continue
			}
			switch half := float64(b.Width) / 2; v.At {
			case Front:
				z -= half
			case Rear:
				z += half
			}
		}
	}
	points := pointsOf(a, own.Shaft, own.Bore)
	for _, p := range s.Pockets {
		for k, shaft := range p.Between {
			if shaft != own.Shaft {
				continue
			}
			other := pointsOf(a, p.Between[1-k], "")
			if x, y, ok := other.at(float64(p.Z)); ok {
				points.add(float64(p.Z), x, y)
			}
		}
	}
	lx, ly, ok := points.at(z)
	if !ok {
		return 0, 0, fault.At("of", fmt.Sprintf("%q", v.Of), "a bore of a shaft with two other supports, one behind the other: they say where the shaft stands", fault.ErrTooFew)
	}
	along := z - float64(own.Z)
	return lx - float64(own.Offset.X) - own.Tilt.X*along, ly - float64(own.Offset.Y) - own.Tilt.Y*along, nil
}

// points are places that a shaft passes.
type points struct{ z, x, y []float64 }

func (p *points) add(z, x, y float64) { p.z, p.x, p.y = append(p.z, z), append(p.x, x), append(p.y, y) }

// pointsOf are the centres of a shaft's supports, without one of them.
func pointsOf(a *align.Assembly, shaft, without string) (out points) {
	for i := range a.Supports {
		if b := &a.Supports[i]; b.Shaft == shaft && b.Bore != without {
			out.add(float64(b.Z), float64(b.Offset.X), float64(b.Offset.Y))
		}
	}
	return out
}

// at is the least-squares line through points, at z; false where two of them are not one behind the other.
func (p *points) at(z float64) (x, y float64, ok bool) {
	if len(p.z) < 2 || floats.Max(p.z)-floats.Min(p.z) < nearest {
		return 0, 0, false
	}
	x0, sx := stat.LinearRegression(p.z, p.x, nil, false)
	y0, sy := stat.LinearRegression(p.z, p.y, nil, false)
	return x0 + sx*z, y0 + sy*z, true
}

// nearest is how far apart along the axis supports are at least, mm, to say where a shaft points.
const nearest = 1e-3
