package study

import (
	"fmt"
	"math"

	"example.com/borestack/align"
	"example.com/borestack/align/record"
	"example.com/borestack/stackup"
	"example.com/borestack/stackup/law"
)

// varies are the sources of a record that vary because of one thing, resolved for one state of the box.
type varies struct {
	inputs  []stackup.Input // laws in the record's own units
	sources []align.Source  // what each column moves
}

// sources resolves the record's sources because of process or gauge. in makes the stack of the state that is meant; nil: as measured. A number that this state does not depend on is left alone.
func sources(rec *record.Record, because string, in func(align.Stack) (align.Stack, error)) (varies, error) {
	var out varies
	for i := range rec.Vary {
		v := &rec.Vary[i]
		if v.Float != "" || becauseOf(v) != because {
			continue
		}
		at := fmt.Sprintf("/vary/%d", i)
		input, err := inputOf(v)
		if err != nil {
			return out, &align.FieldError{Path: at + "/law", Value: err.Error(), Want: "limits that leave some of the law", Err: align.ErrConflict}
		}
		out.inputs = append(out.inputs, input)
		for axis, pointer := range v.At.List {
			s := align.Source{Name: v.Name}
			move := func(pointer string, gain float64, path string) error {
				moves, err := rec.Moves(pointer, in)
				if err != nil {
					if in != nil {
						if _, base := rec.Moves(pointer, nil); base == nil {
							return nil // fixed by the state
						}
					}
					return &align.FieldError{Path: path, Value: fmt.Sprintf("%q", pointer), Want: "a JSON Pointer to a number that the box depends on", Err: align.ErrUnknownName}
				}
				for _, m := range moves {
					s.Moves = append(s.Moves, align.Move{Of: m.Of, Gain: m.Gain * gain})
				}
				return nil
			}
			if err := move(pointer, 1, at+"/at"); err != nil {
				return out, err
			}
			for k := range v.Also {
				gain := 1.0
				if g := v.Also[k].Gain; g != nil {
					gain = g.Value
				}
				if err := move(v.Also[k].At.List[axis], gain, fmt.Sprintf("%s/also/%d/at", at, k)); err != nil {
					return out, err
				}
			}
			out.sources = append(out.sources, s)
		}
	}
	return out, nil
}

// becauseOf is what a source varies because of.
func becauseOf(v *record.Vary) string {
	if v.Because == "gauge" {
		return "gauge"
	}
	return "process"
}

// inputOf is the law of a source, in the record's own units: shift included, between its limits.
func inputOf(v *record.Vary) (stackup.Input, error) {
	in := stackup.Input{Name: v.Name}
	size := v.Law.Size.Value
	var shift [2]float64
	for i := range v.Law.Shift {
		shift[i] = v.Law.Shift[i].Value
	}
	lo, hi := math.Inf(-1), math.Inf(1)
	if v.Limits != nil {
		lo, hi = v.Limits[0].Value, v.Limits[1].Value
	}
	one := func(shift float64) (law.Law, error) {
		var l law.Law
		var err error
		switch v.Law.Kind {
		case "normal":
			l, err = law.NewNormal(shift, size)
		case "uniform":
			l, err = law.NewUniform(shift-size, shift+size)
		default:
			l, err = law.NewTriangular(shift, size)
		}
		if err != nil || v.Limits == nil {
			return l, err
		}
		return law.Truncate(l, lo, hi)
	}
	var err error
	switch {
	case v.Law.Kind == "disc":
		in.Plane, err = law.NewDisc(shift[0], shift[1], size)
	case v.Law.Kind == "ring":
		in.Plane, err = law.NewRing(shift[0], shift[1], size)
	case len(v.At.List) == 2:
		var p law.Pair
		if p.X, err = one(shift[0]); err == nil {
			p.Y, err = one(shift[1])
		}
		in.Plane = p
	default:
		in.Law, err = one(shift[0])
	}
	return in, err
}

// ownLies says how each joint lies by itself.
func ownLies(s *align.Stack) []align.Lie {
	out := make([]align.Lie, len(s.Joints))
	for i := range s.Joints {
		out[i] = s.Joints[i].Lies
	}
	return out
}

// lies says how each joint lies in a sample: as the record's study says, or else as the joint does.
func lies(rec *record.Record, s *align.Stack) []align.Lie {
	out := ownLies(s)
	words := map[string]align.Lie{"uniform": align.LiesUniform, "rim": align.LiesRim, "hang": align.LiesHang, "rest": align.LiesRest, "any": align.LiesAny}
	for i := range rec.Vary {
		v := &rec.Vary[i]
		for k := range s.Joints {
			if v.Float != "" && s.JointName(k) == v.Float {
				out[k] = words[v.Law.Word]
			}
		}
	}
	return out
}

// model is a plan as the engine wants it.
type model struct{ *align.Plan }

// NewEvaluator returns an evaluator for one goroutine.
func (m model) NewEvaluator() stackup.Evaluator { return evaluator{m.Plan.NewEvaluator()} }

type evaluator struct{ *align.Evaluator }

// Evaluate evaluates the plan; a bad sample is the engine's error.
func (e evaluator) Evaluate(dst, x [][]float64, n int) error {
	err := e.Evaluator.Evaluate(dst, x, n)
	if bad, ok := err.(*align.SampleError); ok {
		return &stackup.SampleError{Index: bad.Index, Err: bad.Err}
	}
	return err
}

// Searches reports whether samples of a record's study take the worst over some joint's float, which is a search in every sample and makes them dear.
func Searches(rec *record.Record) bool {
	s, err := rec.Stack()
	if err != nil {
		return false
	}
	for i, l := range lies(rec, &s) {
		if l == align.LiesAny && s.Joints[i].Float == nil {
			return true
		}
	}
	return false
}
