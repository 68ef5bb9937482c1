package align

import (
	"fmt"
	"math"
	"reflect"
	"strconv"
	"strings"
	"unicode"

	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// What each number and list of a stack must keep on its own stands in the tags of stack.go: "want"
// says what is wanted of a number, "more than 0" or "0 or more" of a length, or an interval and its
// name, and "-" leaves it to others; "most" limits a list; "at" is the key of the record where it
// is not the field's name.

// moreThanZero is the wording of a tag that leaves 0 out; any other wording of a length takes it
// in.
const moreThanZero = "more than 0"

// newWanted reads a tag such as "(0,1e12) a force in N" or "[0°,60°) an angle", in which a square
// bracket takes its end in; nil when nothing is wanted.
func newWanted(tag string) *wanted {
	if tag == "" {
		return nil
	}
	close := strings.IndexAny(tag, ")]")
	if close < 0 {
		return &wanted{says: tag, positive: tag == moreThanZero}
	}
	end := func(s string) float64 {
		number, degrees := strings.CutSuffix(s, "°")
		v, _ := strconv.ParseFloat(number, 64)
		if degrees {
			v *= float64(tolerance.Degree)
		}
		return v
	}
	low, high, _ := strings.Cut(tag[1:close], ",")
	return &wanted{low: end(low), high: end(high), open: [2]bool{tag[0] == '(', tag[close] == ')'}, says: strings.TrimSpace(tag[close+1:])}
}

// takes reports whether x lies within.
func (w *wanted) takes(x float64) bool {
	return x > w.low && x < w.high || x == w.low && !w.open[0] || x == w.high && !w.open[1]
}

// steepest is the greatest slope, a ratio, that a face or an axis may have: no such part is turned
// or bored.
const steepest = 10

// shapeOf works out the shape of a type, once a check.
func (c *checker) shapeOf(t reflect.Type) *shape {
	if s := c.shapes[t]; s != nil {
		return s
	}
	s := &shape{named: -1, optional: t.NumField() == 2 && t.Field(1).Name == "Given"}
	components := t.Field(0).Name == "X" && t != reflect.TypeFor[Float]()
	for i := range t.NumField() {
		f := t.Field(i)
		if f.Name == "Name" {
			s.named = i
		}
		kind := f.Type.Kind()
		if f.Tag.Get("want") == "-" || kind == reflect.String || kind == reflect.Bool || f.Type == reflect.TypeFor[tolerance.Celsius]() { // warm knows the material
			continue
		}
		q := shapeField{index: i, want: newWanted(f.Tag.Get("want"))}
		q.most, _ = strconv.Atoi(f.Tag.Get("most"))
		switch key := f.Tag.Get("at"); {
		case components:
			q.key = "/" + strconv.Itoa(i)
		case key != "":
			q.key = "/" + key
		case !f.Anonymous:
			q.key = "/" + snakeCase(f.Name)
		}
		if t == reflect.TypeFor[Slope]() {
			q.want = newWanted(fmt.Sprintf("[-%[1]v,%[1]v] a slope as a ratio, at most %[1]v", steepest))
		}
		s.fields = append(s.fields, q)
	}
	c.shapes[t] = s
	return s
}

// snakeCase is a field's name as the record writes it.
func snakeCase(name string) string {
	var b strings.Builder
	for i, r := range name {
		if i > 0 && unicode.IsUpper(r) {
			b.WriteByte('_')
		}
		b.WriteRune(unicode.ToLower(r))
	}
	return b.String()
}

// values checks every number that a value holds, and that the names in each of its lists are new.
// It reports false where a list is too long to look at.
func (c *checker) values(at string, v any) bool {
	c.at = append(c.at[:0], at...)
	return c.value(reflect.ValueOf(v), nil)
}

func (c *checker) value(v reflect.Value, want *wanted) (fits bool) {
	switch v.Kind() {
	case reflect.Pointer:
		return v.IsNil() || c.value(v.Elem(), want)
	case reflect.Slice, reflect.Array:
		return c.list(v, want)
	case reflect.Struct:
		return c.fields(v, want)
	case reflect.Float64:
		c.number(v, want)
	case reflect.Uint8:
		if want != nil && !want.takes(float64(v.Uint())) {
			c.add(fault.ErrOutOfRange, string(c.at), fmt.Sprint(v.Uint()), want.says)
		}
	}
	return true
}

func (c *checker) fields(v reflect.Value, want *wanted) bool {
	s := c.shapeOf(v.Type())
	if s.optional && !v.Field(1).Bool() {
		return true
	}
	fits, before := true, len(c.at)
	for i := range s.fields {
		q := &s.fields[i]
		own := q.want
		if own == nil {
			own = want
		}
		if !s.optional {
			c.at = append(c.at[:before], q.key...)
		}
		f := v.Field(q.index)
		if q.most > 0 && !c.atMost(string(c.at), f.Len(), q.most) {
			fits = false
			continue
		}
		fits = c.value(f, own) && fits
	}
	c.at = c.at[:before]
	return fits
}

// list checks a list. A station that was read once is its reading.
func (c *checker) list(v reflect.Value, want *wanted) bool {
	fits, before := true, len(c.at)
	kind, named := v.Type().Elem().Kind(), -1
	if kind == reflect.Struct {
		named = c.shapeOf(v.Type().Elem()).named
	}
	var seen map[string]bool
	if named >= 0 && v.Len() > 0 {
		seen = map[string]bool{}
	}
	for i := range v.Len() {
		if kind != reflect.Float64 || v.Len() > 1 || want != nil {
			c.at = strconv.AppendInt(append(c.at[:before], '/'), int64(i), 10)
		}
		e := v.Index(i)
		if named >= 0 {
			c.name(string(c.at)+"/name", e.Field(named).String(), seen)
		}
		fits = c.value(e, want) && fits
	}
	c.at = c.at[:before]
	return fits
}

// number checks one number.
func (c *checker) number(v reflect.Value, want *wanted) {
	x := v.Float()
	switch t := v.Type(); {
	case t == reflect.TypeFor[tolerance.Length](), t == reflect.TypeFor[tolerance.Diametral](), t == reflect.TypeFor[tolerance.TIR]():
		c.length(tolerance.Length(x), want)
	case want != nil && !want.takes(x):
		c.add(fault.ErrOutOfRange, string(c.at), fmt.Sprint(v.Interface()), want.says)
	case math.IsNaN(x) || math.IsInf(x, 0):
		c.add(fault.ErrNotFinite, string(c.at), fmt.Sprint(x), "a finite number")
	}
}

// largest is the greatest length: no machine comes near.
const largest = 100 * tolerance.Metre

// length checks one length.
func (c *checker) length(v tolerance.Length, want *wanted) {
	switch {
	case math.IsNaN(float64(v)) || math.IsInf(float64(v), 0):
		c.add(fault.ErrNotFinite, string(c.at), fmt.Sprint(float64(v)), "a finite length")
	case math.Abs(float64(v)) > float64(largest):
		c.add(fault.ErrOutOfRange, string(c.at), v.String(), "a size of at most 100 m")
	case want != nil && (v < 0 || want.positive && v == 0):
		c.add(fault.ErrOutOfRange, string(c.at), v.String(), want.says)
	}
}

// positive checks a length that is more than 0.
func (c *checker) positive(at string, v tolerance.Length) {
	c.at = append(c.at[:0], at...)
	c.length(v, &wanted{says: moreThanZero, positive: true})
}
