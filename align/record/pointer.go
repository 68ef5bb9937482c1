package record

import (
	"errors"
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"example.com/borestack/align"
	"example.com/borestack/fault"
)

// Numbers say which numbers of a stack follow which numbers of the record that it was made of, and
// by how much. They are resolved once by [Record.Numbers], never change, and may be shared. They
// hold for the record as it was then: after a number of it was changed, resolve them anew. The zero
// value knows of no number.
type Numbers struct {
	record    *Record
	given     labels
	stack     align.Stack         // of the record, with labels in place of its quantities
	own, here map[*Number][]place // in the record's own stack, and in the one that is meant
}

// place is where in a stack a number stands, and its gain: in the stack's base unit for one of the
// number's own.
type place struct {
	path []hop
	gain float64
}

// Numbers resolves every number of the record that the box depends on. in makes the stack that is
// meant from the record's, such as one of its states; nil: the record's own stack. It may copy
// numbers, and add them to zero, and do nothing else with them. The record is only read.
//
// The mapping of [Record.Stack] is run once with labels in place of the quantities; where a label
// comes to stand in the stack is what its number moves. So there is one mapping, and no table
// beside it that could differ.
func (r *Record) Numbers(in func(align.Stack) (align.Stack, error)) (*Numbers, error) {
	t := &Numbers{record: r}
	var faults []error
	if t.stack, faults = r.stack(&t.given); len(faults) > 0 {
		return nil, errors.Join(faults...)
	}
	t.own = t.given.places(t.stack)
	return t.In(in)
}

// In is the same for another stack that in makes of the record's, as [Record.Numbers] has it,
// without reading the record again.
func (t *Numbers) In(in func(align.Stack) (align.Stack, error)) (*Numbers, error) {
	out := *t
	out.here = t.own
	if in != nil {
		s, err := in(t.stack)
		if err != nil {
			return nil, err
		}
		out.here = t.given.places(s)
	}
	return &out, nil
}

// Moves says which numbers of the stack follow the number that a JSON Pointer leads to, and by how
// much each: none where only the record's own stack does, as of a number that a state fixes or of a
// part that a candidate replaces. It returns a [fault.FieldError] at the pointer when the record has
// no such number, or when no number of its own stack follows it.
func (t *Numbers) Moves(pointer string) ([]align.Move, error) {
	wrong := func(want string) error { return fault.At(pointer, "", want, fault.ErrUnknownName) }
	if t.record == nil {
		return nil, wrong("numbers of a record, made by Record.Numbers")
	}
	n := t.record.number(pointer)
	switch {
	case n == nil:
		return nil, wrong("a JSON Pointer (RFC 6901) to a number of this record")
	case len(t.own[n]) == 0:
		return nil, wrong("a number that the box depends on")
	}
	var out []align.Move
	for _, p := range t.here[n] {
		out = append(out, align.Move{Gain: p.gain, Of: align.NumberOf(func(s *align.Stack) *float64 { return follow(s, p.path) })})
	}
	return out, nil
}

// label is what stands in a stack for one number of the record: the number and its gain.
type label struct {
	number *Number
	gain   float64
}

// labels hand out one label after the other. The k-th is spelled in a stack as the k-th smallest
// float64 above zero, which no measured number is: copied, or added to zero, it stays itself on
// every machine.
type labels struct{ given []label }

// next spells a new label.
func (l *labels) next(n *Number, gain float64) float64 {
	l.given = append(l.given, label{n, gain})
	return math.Float64frombits(uint64(len(l.given)))
}

// places are where the labels stand in a stack, by the number that each is of.
func (l *labels) places(s align.Stack) map[*Number][]place {
	out := map[*Number][]place{}
	l.find(reflect.ValueOf(&s).Elem(), nil, func(of label, path []hop) {
		out[of.number] = append(out[of.number], place{slices.Clone(path), of.gain})
	})
	return out
}

// find reports every label in v, and the path to it, which is found's until it returns.
func (l *labels) find(v reflect.Value, path []hop, found func(of label, path []hop)) {
	at := func(i int) []hop { return append(path, hop(i)) }
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			l.find(v.Elem(), path, found)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if v.Type().Field(i).IsExported() {
				l.find(v.Field(i), at(i), found)
			}
		}
	case reflect.Slice, reflect.Array:
		for i := range v.Len() {
			l.find(v.Index(i), at(i), found)
		}
	case reflect.Float64:
		if k := math.Float64bits(v.Float()); k > 0 && k <= uint64(len(l.given)) {
			found(l.given[k-1], path)
		}
	}
}

// hop is one step into a value: a field, or an element.
type hop int

// follow takes a path into a stack of the same shape.
func follow(s *align.Stack, path []hop) *float64 {
	v := reflect.ValueOf(s).Elem()
	for _, i := range path {
		for v.Kind() == reflect.Pointer {
			v = v.Elem()
		}
		if v.Kind() == reflect.Struct {
			v = v.Field(int(i))
		} else {
			v = v.Index(int(i))
		}
	}
	return v.Addr().Convert(reflect.TypeFor[*float64]()).Interface().(*float64)
}

// number is the number that a JSON Pointer leads to; nil where it leads to none. A class of fit stands
// for the middle of what it leaves.
func (r *Record) number(pointer string) *Number {
	switch x := r.find(pointer).(type) {
	case *Number:
		return x
	case *Fit:
		return &x.Middle
	case *Reading:
		if !x.List && len(x.Repeats) > 0 {
			return &x.Repeats[0]
		}
	}
	return nil
}

// leaves are the pointers to all numbers at or below a place.
func (r *Record) leaves(pointer string) (out []string) {
	n := 0
	switch x := r.find(pointer).(type) {
	case nil:
	case *Number:
		return []string{pointer}
	case *Reading:
		if n = len(x.Repeats); !x.List && n > 0 {
			return []string{pointer}
		}
	default:
		if v := reflect.ValueOf(x).Elem(); v.Kind() == reflect.Slice || v.Kind() == reflect.Array {
			n = v.Len()
		}
	}
	for i := range n {
		out = append(out, r.leaves(pointer+"/"+strconv.Itoa(i))...)
	}
	return out
}

// find is a pointer to what a JSON Pointer leads to; nil where it leads to nothing.
func (r *Record) find(pointer string) any {
	x, _ := r.locate(pointer)
	return x
}

// locate is find, and the unit of length that the numbers there count in; empty for other numbers.
func (r *Record) locate(pointer string) (x any, unit string) {
	if pointer == "" || pointer[0] != '/' {
		return nil, ""
	}
	v, rule, block := reflect.ValueOf(r).Elem(), "", r.Units.Length
	for _, s := range strings.Split(pointer[1:], "/") {
		if v, rule = child(v, unstep(s), rule); !v.IsValid() {
			return nil, ""
		}
		if v.Kind() == reflect.Struct {
			if own := v.FieldByName("Unit"); own.IsValid() && own.String() != "" {
				block = own.String()
			}
		}
	}
	switch kind, _, _ := strings.Cut(rule, ","); {
	case kind == "reading", rule == "": // of a round, or a number of it
		unit = block
	case isLength(kind):
		unit = r.Units.Length
	}
	return v.Addr().Interface(), unit
}

// child is what a value of the record holds under a key or an index, and its rule, which a list's is as
// well; not valid where there is nothing.
func child(v reflect.Value, key, rule string) (out reflect.Value, of string) {
	v = inside(v, key)
	switch i, isIndex := index(key); {
	case !v.IsValid():
	case v.Kind() == reflect.Struct:
		var f field
		out, f = under(v, key)
		rule = f.rule
	case isNamed(v.Type()):
		for i := range v.Len() {
			if v.Index(i).Field(0).String() == key {
				return v.Index(i).Field(1), rule
			}
		}
	case (v.Kind() == reflect.Slice || v.Kind() == reflect.Array) && isIndex && i < v.Len():
		out = v.Index(i)
	}
	if out.Kind() == reflect.Pointer {
		out = out.Elem()
	}
	return out, rule
}

// inside is what a pointer goes on in at a value; not valid where it ends there.
func inside(v reflect.Value, key string) reflect.Value {
	switch x := v.Addr().Interface().(type) {
	case *Number, *Fit, *Law, *Pointers:
		return reflect.Value{}
	case *Reading:
		if !x.List {
			return reflect.Value{}
		}
		return reflect.ValueOf(&x.Repeats).Elem()
	case *RoundPoints:
		if x.gives != nil && key != "points" && key != "uncertainty" {
			return reflect.ValueOf(x.gives).Elem()
		}
	}
	return v
}

// under is the field of a struct that has a key; not valid where none has.
func under(v reflect.Value, key string) (reflect.Value, field) {
	for _, f := range fields(v.Type()) {
		if f.key == key {
			return v.FieldByIndex(f.index), f
		}
	}
	return reflect.Value{}, field{}
}
