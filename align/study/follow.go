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
	stack  align.Stack
	limits []record.Limit
	parts  []outputParts
	still  features
	moved  []bool
}

// outputParts are the parts that an output is worked out from: from the first to the last.
type outputParts struct{ first, last int }

// features are what is compared.
type features struct {
	assembles bool
	joints    [][]float64
	supports  []float64
	outputs   [][]float64
}

// followSteps are the nudges, in millimetres, ratios or radians: about what a gauge resolves, and about
// what a hand slips.
var followSteps = [...]float64{1e-3, -1e-3, 0.1, -0.1}

// followTol is the share of a number by which rounding moves it.
const followTol = 1e-9

func newFollower(s align.Stack, limits []record.Limit) (*follower, error) {
	f := &follower{stack: atRest(s), limits: limits, moved: make([]bool, len(limits))}
	for i := range limits {
		f.parts = append(f.parts, partsOf(&s, limits[i].Output))
	}
	p, err := f.stack.Compile(nil, nil, f.outputs())
	if err != nil {
		return nil, err
	}
	f.still, err = f.look(p.NewEvaluator(), nil)
	return f, err
}

// outputs are what the limits are on, sizes by their components.
func (f *follower) outputs() []align.Output {
	var out []align.Output
	for i := range f.limits {
		out = append(out, components(f.limits[i].Output)...)
	}
	return out
}

// look works out the features for deviations x.
func (f *follower) look(e *align.Evaluator, x []float64) (features, error) {
	var out features
	var a align.Assembly
	if err := e.Explain(&a, x); err != nil {
		return out, err
	}
	out.assembles = true
	for i := range a.Joints {
		out.assembles = out.assembles && a.Joints[i].Assembles
		out.joints = append(out.joints, numbersOf(nil, reflect.ValueOf(a.Joints[i])))
	}
	for i := range a.Supports {
		q := &a.Supports[i]
		out.supports = append(out.supports, float64(q.Z), float64(q.Offset.X), float64(q.Offset.Y), q.Tilt.X, q.Tilt.Y, float64(q.Clearance))
	}
	columns := make([][]float64, len(x))
	for i := range x {
		columns[i] = x[i : i+1]
	}
	list := f.outputs()
	y := columnsOf(len(list), 1)
	if err := e.Evaluate(y, columns, 1); err != nil {
		return out, err
	}
	for i := range f.limits {
		var own []float64
		for range components(f.limits[i].Output) {
			own, y = append(own, y[0][0]), y[1:]
		}
		out.outputs = append(out.outputs, own)
	}
	return out, nil
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
		p, err := f.stack.Compile([]align.Source{n.source(mix)}, nil, f.outputs())
		if err != nil { // a number that a correction took out: what rests on it cannot be told
			f.all()
			return nil
		}
		e := p.NewEvaluator()
		for _, d := range followSteps {
			if !slices.Contains(f.moved, false) {
				return nil
			}
			now, err := f.look(e, []float64{d})
			if err != nil || now.assembles != f.still.assembles {
				f.all() // a nudge after which nothing can be said, or the box goes together or does not
				return nil
			}
			for i := range f.limits {
				f.moved[i] = f.moved[i] || f.depends(i, n.pointers, &now)
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

// depends reports whether limit i depends on the numbers that were moved.
func (f *follower) depends(i int, pointers []string, now *features) bool {
	o := &f.limits[i].Output
	if differ(f.still.outputs[i], now.outputs[i]) {
		return true
	}
	switch quantity.Of(o.What).Thing {
	case quantity.Part:
		return slices.ContainsFunc(pointers, func(p string) bool { return strings.Contains(p, "/thickness/") && f.holds(p, o.Of) })
	case quantity.Line, quantity.SupportOrPocket:
		line := func(p string) bool { return under(p, "/shafts") || under(p, "/pockets") }
		if slices.ContainsFunc(pointers, line) || differ(f.still.supports, now.supports) {
			return true
		}
	}
	for k := f.parts[i].first; k < f.parts[i].last; k++ {
		if differ(f.still.joints[k], now.joints[k]) {
			return true
		}
	}
	return false
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

// partsOf is from which part to which an output is worked out; all parts where that is not plain.
func partsOf(s *align.Stack, o align.Output) outputParts {
	all := outputParts{0, len(s.Parts) - 1}
	switch quantity.Of(o.What).Thing {
	case quantity.Joint:
		for k := range s.Joints {
			if s.JointName(k) == o.Of {
				return outputParts{k, k + 1}
			}
		}
	case quantity.Part, quantity.Support:
		return outputParts{}
	case quantity.Chain:
		var faces []string
		for i := range s.Chains {
			for k := range s.Chains[i].Links {
				if l := &s.Chains[i].Links[k]; s.Chains[i].Name == o.Of && l.From != "" {
					faces = append(faces, l.From, l.To)
				}
			}
		}
		return span(s, faces)
	case quantity.Bore:
		return span(s, append([]string{o.Of}, referenceBores(s, o.From)...))
	}
	return all
}

// span is from which part to which the bores or faces named "part/..." lie; nothing for none.
func span(s *align.Stack, names []string) outputParts {
	if len(names) == 0 {
		return outputParts{}
	}
	out := outputParts{len(s.Parts), -1}
	for _, name := range names {
		part, _, _ := strings.Cut(name, "/")
		for k := range s.Parts {
			if s.Parts[k].Name == part {
				out.first, out.last = min(out.first, k), max(out.last, k)
			}
		}
	}
	return out
}

// referenceBores are the bores that a reference goes through.
func referenceBores(s *align.Stack, name string) (out []string) {
	for i := range s.References {
		r := &s.References[i]
		if r.Name != name && !(name == "" && i == 0) {
			continue
		}
		for _, b := range append([]string{r.Axis, r.Through[0], r.Through[1]}, r.Best...) {
			if b != "" {
				out = append(out, b)
			}
		}
	}
	if len(s.References) == 0 && len(s.Shafts) > 0 {
		for _, p := range s.Shafts[0].Supports[:min(2, len(s.Shafts[0].Supports))] {
			out = append(out, p.Bore)
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
