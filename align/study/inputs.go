package study

import (
	"errors"
	"fmt"
	"strconv"

	"example.com/borestack/align"
	"example.com/borestack/align/record"
	"example.com/borestack/fault"
	"example.com/borestack/stackup"
)

// varies are the sources of a record that vary because of one thing, resolved for one state of the box.
type varies struct {
	inputs  []stackup.Input // distributions in the record's own units
	sources []align.Source  // what each column moves
}

// sources resolves the record's sources because of process or gauge. in makes the stack of the
// state that is meant; nil: as measured. A number that this state does not depend on is left alone.
func (o Origin) sources(because string, in func(align.Stack) (align.Stack, error)) (varies, error) {
	var out varies
	var refs *references
	for i := range o.rec.Vary {
		if v := &o.rec.Vary[i]; v.Float != "" || becauseOf(v) != because {
			continue
		}
		if refs == nil {
			var err error
			if refs, err = o.references(in); err != nil {
				return out, err
			}
		}
		input, list, err := refs.source(i)
		if err != nil {
			return out, err
		}
		out.inputs = append(out.inputs, input)
		out.sources = append(out.sources, list...)
	}
	return out, nil
}

// source resolves one of the record's sources: its distribution, and what each of its columns moves.
func (r *references) source(i int) (stackup.Input, []align.Source, error) {
	v := &r.rec.Vary[i]
	at := fmt.Sprintf("/vary/%d", i)
	input, err := inputOf(v, r.rec.LengthUnit())
	if err != nil {
		f := &fault.FieldError{Path: at + "/law", Value: err.Error(), Want: "limits that leave some of the law", Err: fault.ErrConflict}
		if errors.Is(err, fault.ErrUnknownName) {
			f.Value, f.Want, f.Err = strconv.Quote(v.Law.Kind), "a law that RECORD.md names", fault.ErrUnknownName
		}
		return input, nil, f
	}
	var out []align.Source
	for axis, pointer := range v.At.List {
		s := align.Source{Name: v.Name}
		move := func(pointer string, gain float64, path string) error {
			moves, err := r.moves(pointer)
			if err != nil {
				return &fault.FieldError{Path: path, Value: fmt.Sprintf("%q", pointer), Want: "a JSON Pointer to a number that the box depends on", Err: fault.ErrUnknownName}
			}
			for _, m := range moves {
				if gain == 0 { // as written: it does not move
					continue
				}
				s.Moves = append(s.Moves, align.Move{Of: m.Of, Gain: m.Gain * gain})
			}
			return nil
		}
		if err := move(pointer, 1, at+"/at"); err != nil {
			return input, nil, err
		}
		for k := range v.Also {
			gain := 1.0
			if g := v.Also[k].Gain; g != nil {
				gain = g.Value
			}
			if err := move(v.Also[k].At.List[axis], gain, fmt.Sprintf("%s/also/%d/at", at, k)); err != nil {
				return input, nil, err
			}
		}
		out = append(out, s)
	}
	if input.Joint != nil && becauseOf(v) == "gauge" { // guard bands are of independent columns
		if input.Joint, out[0], out[1], err = upright(input.Joint, out[0], out[1]); err != nil {
			return input, nil, fault.At(at+"/law", err.Error(), "a law that can be turned to its axes", fault.ErrConflict)
		}
	}
	return input, out, nil
}

// becauseOf is what a source varies because of.
func becauseOf(v *record.Vary) string {
	if v.Because == "gauge" {
		return "gauge"
	}
	return "process"
}

// liesFor says how each joint lies in a sample: as the record's study says, or else as the joint does. A
// drawn float is part of making a batch; this very box, of which the gauge's study is, lies as its joints
// say.
func liesFor(because string, rec *record.Record, s *align.Stack) []align.Lie {
	words := map[string]align.Lie{"uniform": align.LiesUniform, "rim": align.LiesRim, "hang": align.LiesHang, "rest": align.LiesRest, "any": align.LiesAny}
	out := make([]align.Lie, len(s.Joints))
	for k := range s.Joints {
		out[k] = s.Joints[k].Lies
		for i := range rec.Vary {
			if v := &rec.Vary[i]; because == "process" && v.Float != "" && s.JointName(k) == v.Float {
				out[k] = words[v.Law.Word]
			}
		}
	}
	return out
}
