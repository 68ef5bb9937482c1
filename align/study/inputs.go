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

// follows says which numbers of this box in a state follow the record's numbers.
func (o Origin) follows(state string) (*record.Numbers, error) {
	base, err := o.numbers()
	if err != nil {
		return nil, err
	}
	return base.In(o.in(state))
}

// sources resolves the record's sources because of process or gauge, in a state of this box. A number that
// it does not depend on there is left alone.
func (o Origin) sources(because, state string) (varies, error) {
	var out varies
	var here *record.Numbers
	for i := range o.rec.Vary {
		if v := &o.rec.Vary[i]; v.Float != "" || becauseOf(v) != because {
			continue
		}
		if here == nil {
			var err error
			if here, err = o.follows(state); err != nil {
				return out, err
			}
		}
		input, list, err := o.source(i, here)
		if err != nil {
			return out, err
		}
		out.inputs = append(out.inputs, input)
		out.sources = append(out.sources, list...)
	}
	return out, nil
}

// source resolves one of the record's sources: its distribution, and what each of its columns moves.
func (o Origin) source(i int, here *record.Numbers) (stackup.Input, []align.Source, error) {
	v := &o.rec.Vary[i]
	at := fmt.Sprintf("/vary/%d", i)
	input, err := inputOf(v, o.rec.LengthUnit())
	if err != nil {
		f := &fault.FieldError{Path: at + "/law", Value: err.Error(), Want: "limits that leave some of the law", Err: fault.ErrConflict}
		if errors.Is(err, fault.ErrUnknownName) {
			f.Value, f.Want, f.Err = strconv.Quote(v.Law.Kind), "a law that RECORD.md names", fault.ErrUnknownName
		}
		return input, nil, f
	}
	type target struct {
		list []string
		gain float64
		path string
	}
	to := []target{{v.At.List, 1, at + "/at"}}
	for k := range v.Also {
		also := target{v.Also[k].At.List, 1, fmt.Sprintf("%s/also/%d/at", at, k)}
		if g := v.Also[k].Gain; g != nil {
			also.gain = g.Value
		}
		to = append(to, also)
	}
	out := make([]align.Source, input.Columns())
	for _, t := range to {
		if n := len(t.list); n != len(out) { // of a record made in Go
			return input, nil, fault.At(t.path, fmt.Sprintf("%d pointers", n), fmt.Sprintf("as many as the law moves: %d", len(out)), fault.ErrConflict)
		}
		for axis, pointer := range t.list {
			moves, err := here.Moves(pointer)
			if err != nil {
				return input, nil, fault.At(t.path, fmt.Sprintf("%q", pointer), "a JSON Pointer to a number that the box depends on", fault.ErrUnknownName)
			}
			out[axis].Name = v.Name
			for _, m := range moves {
				if t.gain != 0 { // else, as written, it does not move
					out[axis].Moves = append(out[axis].Moves, align.Move{Of: m.Of, Gain: m.Gain * t.gain})
				}
			}
		}
	}
	if input.Joint != nil && becauseOf(v) == "gauge" { // guard bands are of independent columns
		if input.Joint, out[0], out[1], err = upright(input.Joint, out[0], out[1]); err != nil {
			return input, nil, fault.At(at+"/law", err.Error(), "a law that can be turned to its axes", fault.ErrConflict)
		}
	}
	return input, out, nil
}

// becauseOf is what a source varies because of; floats that are drawn go with the process.
func becauseOf(v *record.Vary) string {
	if v.Because == "gauge" && v.Float == "" {
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
