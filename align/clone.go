package align

import "reflect"

// Clone returns a deep copy: nothing that either holds is seen by the other.
func (s Stack) Clone() Stack {
	v := reflect.ValueOf(&s).Elem()
	unshare(v, shapes[v.Type()])
	return s
}

// unshare gives a value memory of its own for everything behind its pointers and slices.
func unshare(v reflect.Value, s *shape) {
	if !s.shares {
		return
	}
	switch s.kind {
	case reflect.Pointer:
		if !v.IsNil() {
			own := reflect.New(v.Type().Elem())
			own.Elem().Set(v.Elem())
			v.Set(own)
			unshare(own.Elem(), s.elem)
		}
	case reflect.Slice:
		if v.IsNil() {
			return
		}
		own := reflect.MakeSlice(v.Type(), v.Len(), v.Len())
		reflect.Copy(own, v)
		v.Set(own)
		for i := 0; i < v.Len() && s.elem.shares; i++ {
			unshare(v.Index(i), s.elem)
		}
	case reflect.Array:
		for i := range v.Len() {
			unshare(v.Index(i), s.elem)
		}
	case reflect.Struct:
		for i := range s.fields {
			unshare(v.Field(s.fields[i].index), s.fields[i].shape)
		}
	}
}
