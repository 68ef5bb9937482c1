package record

import (
	"reflect"
	"strconv"
	"strings"

	"example.com/borestack/align"
)

// Moves says which numbers of the stack follow the number that a JSON Pointer of this record leads to, and by how much each: in the stack's base units for one of the number's own. in makes the stack that is meant from the record's: the record's own stack when it is nil, or one of its states.
//
// The mapping from record to stack is linear in every number; it is read off by setting the number to 0 and to 1 and comparing. It returns a [align.FieldError] at the pointer when there is no such number, or when no number of the stack follows it.
func (r *Record) Moves(pointer string, in func(align.Stack) (align.Stack, error)) ([]align.Move, error) {
	fault := func(want string) error {
		return &align.FieldError{Path: pointer, Want: want, Err: align.ErrUnknownName}
	}
	c := *r
	n := locate(reflect.ValueOf(&c).Elem(), strings.Split(strings.TrimPrefix(pointer, "/"), "/"))
	if n == nil {
		return nil, fault("a JSON Pointer (RFC 6901) to a number of this record")
	}
	written := *n
	defer func() { *n = written }()
	build := func(v float64) (reflect.Value, error) {
		*n = Number{Value: v}
		s := c.stack()
		var err error
		if in != nil {
			s, err = in(s)
		}
		return reflect.ValueOf(&s).Elem(), err
	}
	zero, err := build(0)
	if err != nil {
		return nil, err
	}
	one, err := build(1)
	if err != nil {
		return nil, err
	}
	var out []align.Move
	compare(zero, one, nil, func(path []hop, gain float64) {
		out = append(out, align.Move{Gain: gain, Of: align.NumberOf(func(s *align.Stack) *float64 { return follow(s, path) })})
	})
	if len(out) == 0 {
		return nil, fault("a number that the box depends on")
	}
	return out, nil
}

// hop is one step into a value: a field, or an element.
type hop int

// compare reports every number of a that differs in b. Shapes are the same.
func compare(a, b reflect.Value, path []hop, differs func(path []hop, by float64)) {
	at := func(i int) []hop { return append(path[:len(path):len(path)], hop(i)) }
	switch a.Kind() {
	case reflect.Pointer:
		if !a.IsNil() && !b.IsNil() {
			compare(a.Elem(), b.Elem(), path, differs)
		}
	case reflect.Struct:
		for i := range a.NumField() {
			if a.Type().Field(i).IsExported() {
				compare(a.Field(i), b.Field(i), at(i), differs)
			}
		}
	case reflect.Slice, reflect.Array:
		for i := range min(a.Len(), b.Len()) {
			compare(a.Index(i), b.Index(i), at(i), differs)
		}
	case reflect.Float64:
		if d := b.Float() - a.Float(); d != 0 {
			differs(path, d)
		}
	}
}

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

// locate finds the number that the steps of a JSON Pointer lead to; nil when there is none.
func locate(v reflect.Value, steps []string) *Number {
	for v.Kind() == reflect.Pointer {
		if v.IsNil() {
			return nil
		}
		v = v.Elem()
	}
	if n, ok := v.Addr().Interface().(*Number); ok {
		if len(steps) > 0 {
			return nil
		}
		return n
	}
	if x, ok := v.Addr().Interface().(*Reading); ok && !x.List {
		if len(steps) > 0 || len(x.Repeats) == 0 {
			return nil
		}
		return &x.Repeats[0]
	}
	if len(steps) == 0 {
		return nil
	}
	key, rest := unstep(steps[0]), steps[1:]
	if x, ok := v.Addr().Interface().(*Reading); ok {
		return locate(reflect.ValueOf(&x.Repeats).Elem(), steps)
	}
	if m, ok := v.Addr().Interface().(*Material); ok {
		return locate(reflect.ValueOf(&struct {
			Expansion *Number `json:"expansion"`
			Modulus   *Number `json:"modulus"`
			Poisson   *Number `json:"poisson"`
		}{&m.Expansion, m.Modulus, m.Poisson}).Elem(), steps)
	}
	switch v.Kind() {
	case reflect.Struct:
		for _, f := range fields(v.Type()) {
			if f.key == key {
				return locate(v.FieldByIndex(f.index), rest)
			}
		}
	case reflect.Slice, reflect.Array:
		if v.Kind() == reflect.Slice && strings.HasPrefix(v.Type().Name(), "Named[") {
			for i := range v.Len() {
				if v.Index(i).Field(0).String() == key {
					return locate(v.Index(i).Field(1), rest)
				}
			}
			return nil
		}
		if i, err := strconv.Atoi(key); err == nil && i >= 0 && i < v.Len() {
			return locate(v.Index(i), rest)
		}
	}
	return nil
}
