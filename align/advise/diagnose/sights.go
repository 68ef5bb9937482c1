package diagnose

import (
	"fmt"
	"math"
	"slices"
	"strconv"

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
	Kind  Kind
	Of    string           // bore ("part/bore"), chain, mesh or joint
	At    End              // Worn: which mouth; Bright: which end
	Value tolerance.Length // Sweep: the TIR; EndPlay: the gap
	Clock tolerance.Angle  // Sweep: towards where the bore is off; Worn, Weeps: where; clockwise from 12 seen from the tail
	U     tolerance.Length // Sweep: standard uncertainty of an offset component; EndPlay: of the gap; 0: usualU
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

// sight is all that tells one kind of sight from another.
type sight struct {
	word      string
	must, may []string                      // columns of a table that it has, and may have
	known     func(s *align.Stack) []string // what it may be seen of
	measured  bool                          // it has a value; else it is a direction or a side alone
	numbers   int                           // of a box that it is about: x, or x and y
	of        func(s *align.Stack, a *align.Assembly, v *Seen) (x, y float64, err error)
}

var kinds = [...]sight{
	Sweep: {
		word: "sweep", must: []string{"value", "clock"}, may: []string{"u"}, known: supports, measured: true, numbers: 2,
		of: func(_ *align.Stack, a *align.Assembly, v *Seen) (x, y float64, err error) {
			b := support(a, v.Of)
			return float64(b.Offset.X), float64(b.Offset.Y), nil
		},
	},
	EndPlay: {
		word: "end play", must: []string{"value"}, may: []string{"u"}, measured: true, numbers: 1,
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
}

// sight is what its kind is.
func (s *Seen) sight() *sight { return &kinds[s.Kind] }

// value is what was measured, in numbers of a box.
func (s *Seen) value() []float64 {
	if s.Kind == EndPlay {
		return []float64{float64(s.Value)}
	}
	sin, cos := math.Sincos(float64(s.Clock))
	half := float64(s.Value) / 2 // an offset is half its TIR
	return []float64{half * sin, half * cos}
}

func (s *Seen) u() float64 {
	if s.U > 0 {
		return float64(s.U)
	}
	return float64(usualU)
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
			wrong.Need(false, at+"kind", uint8(v.Kind), "sweep, end play, worn, bright or weeps", fault.ErrOutOfRange)
			continue
		}
		known, want := v.sight().known(s), "a name of the stack"
		if near, ok := tolerance.Nearest(v.Of, known); ok {
			want = fmt.Sprintf("%q, or another name of the stack", near)
		}
		wrong.Need(slices.Contains(known, v.Of), at+"of", strconv.Quote(v.Of), want, fault.ErrUnknownName)
		wrong.Need(v.Kind != Bright || v.At != Middle, at+"at", "neither end", "front or rear", fault.ErrMissing)
		for _, x := range []float64{float64(v.Value), float64(v.Clock), float64(v.U)} {
			wrong.Need(ieee.Finite(x), at+"value", x, "finite numbers", fault.ErrNotFinite)
		}
		wrong.Need(!(v.Kind == Sweep && v.Value < 0 || v.U < 0), at+"value", v.Value, "zero or more", fault.ErrOutOfRange)
	}
	return wrong.Err()
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
			return nil, fmt.Errorf("seen/%d: %w", i, err)
		}
		out = append(out, []float64{x, y}[:kind.numbers]...)
	}
	return out, nil
}

func support(a *align.Assembly, bore string) *align.SupportedBore {
	i := slices.IndexFunc(a.Supports, func(b align.SupportedBore) bool { return b.Bore == bore })
	return &a.Supports[i]
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
