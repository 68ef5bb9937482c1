package report

import (
	"bytes"
	"encoding/json"
	"fmt"
	"maps"
	"reflect"
	"slices"
	"strings"

	"example.com/borestack/fault"
	"example.com/borestack/internal/ieee"
)

// object is a JSON object whose keys stand in the order in which they were said.
type object []member

type member struct {
	key   string
	value any
}

// obj makes an object of keys and values in turn. A key that ends in "?" is left out where its value is nothing: nil, an empty
// text, an empty list or an empty object. A nil number behind any other key is null: it cannot be said. The members of an object
// behind an empty key become those of this one.
func obj(pairs ...any) object {
	var o object
	for i := 0; i+1 < len(pairs); i += 2 {
		key, optional := strings.CutSuffix(pairs[i].(string), "?")
		switch v := pairs[i+1]; {
		case pairs[i] == "":
			o = append(o, v.(object)...)
		case !optional || !empty(reflect.ValueOf(v)):
			o = append(o, member{key, v})
		}
	}
	return o
}

// empty reports whether an optional value is nothing.
func empty(v reflect.Value) bool {
	switch v.Kind() {
	case reflect.Pointer:
		return v.IsNil()
	case reflect.Slice, reflect.String:
		return v.Len() == 0
	}
	return false
}

// MarshalJSON writes the object on one line.
func (o object) MarshalJSON() ([]byte, error) {
	if o == nil {
		return []byte("null"), nil
	}
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	b.WriteByte('{')
	for i, m := range o {
		if i > 0 {
			b.WriteByte(',')
		}
		b.WriteString(`"` + m.key + `":`) // keys are written in the source: none has to be escaped
		if err := enc.Encode(m.value); err != nil {
			return nil, err
		}
	}
	b.WriteByte('}')
	return b.Bytes(), nil
}

func sorted(values map[string]*float64) object {
	o := object{}
	for _, k := range slices.Sorted(maps.Keys(values)) {
		o = append(o, member{k, values[k]})
	}
	return o
}

// finite refuses the first number of v that is not finite, by its JSON Pointer.
func finite(v any, path string) error {
	switch v := v.(type) {
	case float64:
		if !ieee.Finite(v) {
			return fmt.Errorf("report: %w", fault.At(path, fmt.Sprint(v), "a finite number", fault.ErrNotFinite))
		}
	case *float64:
		if v != nil {
			return finite(*v, path)
		}
	case object:
		for _, m := range v {
			if err := finite(m.value, path+"/"+m.key); err != nil {
				return err
			}
		}
	default:
		r := reflect.ValueOf(v)
		for i := 0; (r.Kind() == reflect.Slice || r.Kind() == reflect.Array) && i < r.Len(); i++ {
			if err := finite(r.Index(i).Interface(), fmt.Sprintf("%s/%d", path, i)); err != nil {
				return err
			}
		}
	}
	return nil
}
