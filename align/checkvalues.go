package align

import (
	"fmt"
	"math"
	"reflect"

	"example.com/borestack/fault"
	"example.com/borestack/internal/ieee"
	"example.com/borestack/tolerance"
)

// values checks every number that a structure holds, and that the names in each of its lists are
// new. It reports false where a list is too long to look at.
func (c *checker) values(pointer any) bool {
	v := reflect.ValueOf(pointer).Elem()
	return c.value(v, shapes[v.Type()], nil)
}

func (c *checker) value(v reflect.Value, s *shape, want *wanted) (fits bool) {
	switch s.kind {
	case reflect.Pointer:
		return v.IsNil() || c.value(v.Elem(), s.elem, want)
	case reflect.Slice, reflect.Array:
		return c.list(v, s, want)
	case reflect.Struct:
		return c.fields(v, s, want)
	case reflect.Float64:
		c.number(v, s.length, want)
	case reflect.Uint8:
		if want != nil && !want.takes(float64(v.Uint())) {
			c.add(fault.ErrOutOfRange, "", fmt.Sprint(v.Uint()), want.says)
		}
	}
	return true
}

func (c *checker) fields(v reflect.Value, s *shape, want *wanted) bool {
	if s.optional && !v.Field(1).Bool() {
		return true
	}
	fits, before := true, len(c.at)
	for i := range s.fields {
		q := &s.fields[i]
		if q.ignored {
			continue
		}
		own := q.want
		if own == nil {
			own = want
		}
		c.at = append(c.at[:before], q.key...)
		f := v.Field(q.index)
		if q.most > 0 && !c.atMost("", f.Len(), q.most) {
			fits = false
			continue
		}
		fits = c.value(f, q.shape, own) && fits
	}
	c.at = c.at[:before]
	return fits
}

// list checks a list. A station that was read once is its reading.
func (c *checker) list(v reflect.Value, s *shape, want *wanted) bool {
	var seen map[string]bool
	if s.elem.named >= 0 && v.Len() > 0 {
		seen = map[string]bool{}
	}
	if s.elem.kind == reflect.Float64 && v.Len() == 1 && want == nil {
		return c.value(v.Index(0), s.elem, want)
	}
	fits := true
	c.each("", v.Len(), func(i int) {
		e := v.Index(i)
		if s.elem.named >= 0 {
			c.name("/name", e.Field(s.elem.named).String(), seen)
		}
		fits = c.value(e, s.elem, want) && fits
	})
	return fits
}

// number checks one number.
func (c *checker) number(v reflect.Value, length bool, want *wanted) {
	x := v.Float()
	switch {
	case length:
		c.length("", tolerance.Length(x), want)
	case want != nil && !want.takes(x):
		c.add(fault.ErrOutOfRange, "", fmt.Sprint(v.Interface()), want.says)
	case !ieee.Finite(x):
		c.add(fault.ErrNotFinite, "", fmt.Sprint(x), "a finite number")
	}
}

// largest is the greatest length: no machine comes near.
const largest = 100 * tolerance.Metre

// length checks one length.
func (c *checker) length(below string, v tolerance.Length, want *wanted) {
	switch {
	case !ieee.Finite(v):
		c.add(fault.ErrNotFinite, below, fmt.Sprint(float64(v)), "a finite length")
	case math.Abs(float64(v)) > float64(largest):
		c.add(fault.ErrOutOfRange, below, v.String(), "a size of at most 100 m")
	case want != nil && (v < 0 || want.positive && v == 0):
		c.add(fault.ErrOutOfRange, below, v.String(), want.says)
	}
}

// positive checks a length that is more than 0.
func (c *checker) positive(below string, v tolerance.Length) {
	c.length(below, v, &wanted{says: moreThanZero, positive: true})
}
