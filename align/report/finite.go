package report

import (
	"fmt"
	"math"
	"reflect"
	"strings"

	"example.com/borestack/fault"
)

// finite refuses the first number of v that is not finite, by its JSON Pointer.
func finite(v reflect.Value, path string) error {
	switch v.Kind() {
	case reflect.Float64:
		if x := v.Float(); math.IsNaN(x) || math.IsInf(x, 0) {
			return fmt.Errorf("report: %w", &fault.FieldError{Path: path, Value: fmt.Sprint(x), Want: "a finite number", Err: fault.ErrNotFinite})
		}
	case reflect.Pointer:
		if !v.IsNil() {
			return finite(v.Elem(), path)
		}
	case reflect.Slice, reflect.Array:
		for i := range v.Len() {
			if err := finite(v.Index(i), fmt.Sprintf("%s/%d", path, i)); err != nil {
				return err
			}
		}
	case reflect.Struct:
		for i := range v.NumField() {
			key, _, _ := strings.Cut(v.Type().Field(i).Tag.Get("json"), ",")
			if err := finite(v.Field(i), path+"/"+key); err != nil {
				return err
			}
		}
	}
	return nil
}
