package record

import (
	"reflect"
	"slices"
	"strconv"
	"strings"

	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// wordFaults checks every word of a record that was made in Go, by the same field tags that
// [Decode] goes by: a word that nobody knows would otherwise be taken for the default. An empty
// word is an absent key, and a fault only where the key is required.
func (r *Record) wordFaults() []error {
	w := wordWalk{}
	w.value(reflect.ValueOf(r).Elem(), "")
	return w.faults
}

type wordWalk struct{ faults []error }

func (w *wordWalk) fault(path, value string, class error, want string) {
	f := &fault.FieldError{Path: path, Want: want, Err: class}
	if value != "" {
		f.Value = strconv.Quote(value)
	}
	w.faults = append(w.faults, f)
}

// oneOf checks a word that may be absent unless it is required.
func (w *wordWalk) oneOf(path, got string, known []string, required bool) {
	switch {
	case got == "" && required:
		w.fault(path, "", fault.ErrMissing, wantOne(got, known))
	case got != "" && !slices.Contains(known, got):
		w.fault(path, got, errUnknown, wantOne(got, known))
	}
}

// value walks what may hold words; numbers do not.
func (w *wordWalk) value(v reflect.Value, path string) {
	switch x := v.Interface().(type) {
	case Number, Pair, Triple, Reading, Pointers, []Number, []Pair, []Triple, []Reading, []string, [][]string:
		return
	case Vary:
		w.vary(&x, path)
	case Material:
		if x.Name != "" {
			if _, err := tolerance.MaterialNamed(x.Name); err != nil {
				_, want, _ := strings.Cut(err.Error(), "want ")
				w.fault(path, x.Name, fault.ErrUnknownName, want)
			}
		}
		return
	}
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			w.value(v.Elem(), path)
		}
	case reflect.Slice:
		named := strings.HasPrefix(v.Type().Name(), "Named[")
		for i := range v.Len() {
			if named {
				w.value(v.Index(i).Field(1), path+step(v.Index(i).Field(0).String()))
			} else {
				w.value(v.Index(i), path+"/"+strconv.Itoa(i))
			}
		}
	case reflect.Struct:
		for _, f := range fields(v.Type()) {
			w.field(v.FieldByIndex(f.index), path+step(f.key), f)
		}
	}
}

// field checks one key by its rule, and what is in it.
func (w *wordWalk) field(v reflect.Value, path string, f field) {
	if v.Kind() == reflect.String {
		for _, rule := range strings.Split(f.rule, ",") {
			if known := words(rule); known != nil && rule != "format" {
				w.oneOf(path, v.String(), known, f.required)
			}
		}
		return
	}
	if v.Kind() == reflect.Slice && strings.Contains(","+f.rule+",", ",two,") && (f.required || v.Len() > 0) && v.Len() != 2 {
		w.fault(path, strconv.Itoa(v.Len()), fault.ErrOutOfRange, "a list of two")
	}
	w.value(v, path)
}

// vary checks the word that says how a source deviates, or how a joint lies.
func (w *wordWalk) vary(v *Vary, path string) {
	if v.Float != "" {
		w.oneOf(path+"/law", v.Law.Word, floatWords(), true)
		return
	}
	w.oneOf(path+"/law", v.Law.Kind, lawKinds(), v.Law.Word == "")
	if v.Law.Word != "" {
		w.fault(path+"/law", v.Law.Word, fault.ErrConflict, "a law such as {\"normal\": 0.01}")
	}
}
