package align

import "reflect"

// Clone returns a deep copy: nothing that either holds is seen by the other.
func (s Stack) Clone() Stack {
	unshare(reflect.ValueOf(&s).Elem())
	return s
}

// unshare gives a value memory of its own for everything behind its pointers and slices.
func unshare(v reflect.Value) {
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			own := reflect.New(v.Type().Elem())
			own.Elem().Set(v.Elem())
			v.Set(own)
			unshare(own.Elem())
		}
	case reflect.Slice:
		if v.IsNil() {
			return
		}
		own := reflect.MakeSlice(v.Type(), v.Len(), v.Len())
		reflect.Copy(own, v)
		v.Set(own)
		for i := 0; i < v.Len() && v.Type().Elem().Kind() != reflect.Float64; i++ {
			unshare(v.Index(i))
		}
	case reflect.Struct:
		for i := range v.NumField() {
			unshare(v.Field(i))
		}
	}
}
