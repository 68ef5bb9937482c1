package study

import (
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/quantity"
	"example.com/borestack/align/record"
)

// follower tells which limits on one box can move with some numbers of it. The numbers are nudged up and
// down, by little and by much, and a limit depends on it where something moves that its output is
// worked out from: the output itself with the joints at rest, a size by its components; for margin and
// use any support's centre, axis or clearance, or any number of a shaft or pocket; how any joint
// between the parts concerned seats, how much it floats and what it fouls; for a thickness variation
// any reading. That a maximum or minimum hides a movement counts for nothing: the margin that a tight
// bearing caps depends on the others all the same. Where a nudge decides whether the box assembles,
// everything depends on the numbers.
type follower struct {
	stack     align.Stack
	limits    []record.Limit
	outputs   []align.Output // of the limits, sizes by their components
	still     [][]float64    // for each limit what its output is worked out from
	assembles bool
	moved     []bool
}

// followSteps are the nudges, in millimetres, ratios or radians: about what a gauge resolves, and about
// what a hand slips.
var followSteps = [...]float64{1e-3, -1e-3, 0.1, -0.1}

// followTol is the share of a number by which rounding moves it.
const followTol = 1e-9

func newFollower(s align.Stack, limits []record.Limit) (*follower, error) {
	f := &follower{stack: atRest(s), limits: limits, moved: make([]bool, len(limits))}
	for i := range limits {
		f.outputs = append(f.outputs, components(limits[i].Output)...)
	}
	p, err := f.stack.Compile(nil, nil, f.outputs)
	if err != nil {
		return nil, err
	}
	f.still, f.assembles, err = f.look(p.NewEvaluator(), nil)
	return f, err
}

// look is what the output of each limit is worked out from, for deviations x, and whether the box assembles.
func (f *follower) look(e *align.Evaluator, x []float64) (all [][]float64, assembles bool, err error) {
	var a align.Assembly
	if err := e.Explain(&a, x); err != nil {
		return nil, false, err
	}
	columns := make([][]float64, len(x))
	for i := range x {
		columns[i] = x[i : i+1]
	}
	y := columnsOf(len(f.outputs), 1)
	if err := e.Evaluate(y, columns, 1); err != nil {
		return nil, false, err
	}
	assembles = !slices.ContainsFunc(a.Joints, func(j align.SeatedJoint) bool { return !j.Assembles })
	for i := range f.limits {
		o := &f.limits[i].Output
		var own []float64
		for range components(*o) {
			own, y = append(own, y[0][0]), y[1:]
		}
		if ofLine(o.What) {
			for k := range a.Supports {
				q := &a.Supports[k]
				own = append(own, float64(q.Z), float64(q.Offset.X), float64(q.Offset.Y), q.Tilt.X, q.Tilt.Y, float64(q.Clearance))
			}
		}
		first, last := concerned(&f.stack, *o)
		for k := first; k < last; k++ {
			own = numbersOf(own, reflect.ValueOf(a.Joints[k]))
		}
		all = append(all, own)
	}
	return all, assembles, nil
}

// ofLine reports whether a quantity is worked out from all supports.
func ofLine(q align.Quantity) bool {
	thing := quantity.Of(q).Thing
	return thing == quantity.Line || thing == quantity.SupportOrPocket
}

// numbers are the numbers of one doubt, to be nudged together.
type numbers struct {
	pointers []string
	moves    [][]align.Move // of each, for a nudge of one base unit
}

// add appends a number; its moves are scaled so that what it moves most moves by what it is nudged.
func (n *numbers) add(pointer string, moves []align.Move) {
	var gain float64
	for _, m := range moves {
		gain = math.Max(gain, math.Abs(m.Gain))
	}
	if gain == 0 {
		return
	}
	var scaled []align.Move
	for _, m := range moves {
		scaled = append(scaled, align.Move{Of: m.Of, Gain: m.Gain / gain})
	}
	n.pointers, n.moves = append(n.pointers, pointer), append(n.moves, scaled)
}

// mixes are how often the numbers of one doubt are nudged together, each time by shares of the nudge
// that have nothing to do with one another: what depends on any of them moves, for it would have to
// cancel twice.
const mixes = 2

// source moves all numbers together, each by a share of its own from a half to one, one way or the
// other: fractional parts of multiples of the golden ratio, which no harmonic of a round follows.
func (n *numbers) source(mix int) align.Source {
	var out align.Source
	for i, moves := range n.moves {
		_, share := math.Modf(float64(i+1+mix*len(n.moves)) * math.Phi)
		share = 0.5 + share/2
		if math.Mod(float64(i+1)*math.Sqrt2, 1) < 0.5 && len(n.moves) > 1 {
			share = -share
		}
		for _, m := range moves {
			out.Moves = append(out.Moves, align.Move{Of: m.Of, Gain: m.Gain * share})
		}
	}
	return out
}

// follow marks the limits that can move with some numbers of the record.
func (f *follower) follow(n *numbers) error {
	if len(n.moves) == 0 {
		return nil
	}
	for mix := range mixes {
		p, err := f.stack.Compile([]align.Source{n.source(mix)}, nil, f.outputs)
		if err != nil { // a number that a correction took out: what rests on it cannot be told
			f.all()
			return nil
		}
		e := p.NewEvaluator()
		for _, d := range followSteps {
			if !slices.Contains(f.moved, false) {
				return nil
			}
			now, assembles, err := f.look(e, []float64{d})
			switch {
			case err != nil && math.Abs(d) > followSteps[0]:
				continue // as of a clearance below nothing: the small nudges tell
			case err != nil || assembles != f.assembles:
				f.all() // a nudge after which nothing can be said, or the box goes together or does not
				return nil
			}
			for i := range f.limits {
				f.moved[i] = f.moved[i] || f.depends(i, n.pointers, now[i])
			}
		}
	}
	return nil
}

// all marks every limit.
func (f *follower) all() {
	for i := range f.moved {
		f.moved[i] = true
	}
}

// depends reports whether limit i depends on the numbers that were moved, by what its output is worked out
// from now.
func (f *follower) depends(i int, pointers []string, now []float64) bool {
	o := &f.limits[i].Output
	return differ(f.still[i], now) || slices.ContainsFunc(pointers, func(p string) bool {
		return quantity.Of(o.What).Thing == quantity.Part && strings.Contains(p, "/thickness/") && f.holds(p, o.Of) ||
			ofLine(o.What) && (under(p, "/shafts") || under(p, "/pockets"))
	})
}

// holds reports whether a pointer leads into the part of that name, or into a candidate for it.
func (f *follower) holds(pointer, name string) bool {
	if under(pointer, "/candidates/"+step(name)) {
		return true
	}
	for k := range f.stack.Parts {
		if f.stack.Parts[k].Name == name && under(pointer, fmt.Sprintf("/parts/%d", k)) {
			return true
		}
	}
	return false
}

// concerned are the first and the last of the parts that an output is worked out from: all where that is
// not plain.
func concerned(s *align.Stack, o align.Output) (first, last int) {
	var names []string // of bores and faces, "part/..."
	switch thing := quantity.Of(o.What).Thing; thing {
	case quantity.Part, quantity.Support:
	case quantity.Chain:
		for i := range s.Chains {
			for k := range s.Chains[i].Links {
				if l := &s.Chains[i].Links[k]; s.Chains[i].Name == o.Of {
					names = append(names, l.From, l.To)
				}
			}
		}
	case quantity.Bore:
		names = append(referenceBores(s, o.From), o.Of)
	default:
		for k := range s.Joints {
			if thing == quantity.Joint && s.JointName(k) == o.Of {
				return k, k + 1
			}
		}
		return 0, len(s.Parts) - 1
	}
	first = len(s.Parts)
	for k := range s.Parts {
		if slices.ContainsFunc(names, func(name string) bool { return strings.HasPrefix(name, s.Parts[k].Name+"/") }) {
			first, last = min(first, k), k
		}
	}
	return first, last
}

// referenceBores are the bores that a reference goes through.
func referenceBores(s *align.Stack, name string) (out []string) {
	for i := range s.References {
		if r := &s.References[i]; r.Name == name || name == "" && i == 0 {
			out = append(out, r.Axis, r.Through[0], r.Through[1])
			out = append(out, r.Best...)
		}
	}
	if len(s.References) > 0 {
		return out
	}
	for _, q := range s.Shafts {
		if len(q.Supports) > 0 { // the first that bores carry
			for _, p := range q.Supports[:min(2, len(q.Supports))] {
				out = append(out, p.Bore)
			}
			break
		}
	}
	return out
}

// differ reports whether two lists of numbers are not the same to rounding.
func differ(a, b []float64) bool {
	if len(a) != len(b) {
		return true
	}
	for i := range a {
		if d := math.Abs(a[i] - b[i]); d > followTol*math.Max(1, math.Abs(a[i])) || math.IsNaN(d) != math.IsNaN(a[i]) {
			return true
		}
	}
	return false
}

// numbersOf appends every number of a value, and how long its lists are.
func numbersOf(dst []float64, v reflect.Value) []float64 {
	switch v.Kind() {
	case reflect.Float64:
		dst = append(dst, v.Float())
	case reflect.Bool:
		if v.Bool() {
			return append(dst, 1)
		}
		dst = append(dst, 0)
	case reflect.Pointer:
		if !v.IsNil() {
			return numbersOf(append(dst, 1), v.Elem())
		}
		dst = append(dst, 0)
	case reflect.Struct:
		for i := range v.NumField() {
			dst = numbersOf(dst, v.Field(i))
		}
	case reflect.Slice, reflect.Array:
		dst = append(dst, float64(v.Len()))
		for i := range v.Len() {
			dst = numbersOf(dst, v.Index(i))
		}
	}
	return dst
}
