package align

import (
	"fmt"
	"reflect"
	"strconv"
	"strings"
	"unicode"

	"example.com/borestack/tolerance"
)

// shape is what there is to look at in a type: a check, a copy and a list of numbers walk a value
// along it. What each number and list of a stack must keep on its own stands in the tags of
// stack.go: "want" says what is wanted of a number, "more than 0" or "0 or more" of a length, or an
// interval and its name, and "-" leaves it to others; "most" limits a list; "at" is the key of the
// record where it is not the field's name.
type shape struct {
	kind     reflect.Kind
	length   bool   // a number that is a length
	optional bool   // a structure of a value, and whether it is given
	shares   bool   // it has something behind a pointer or in a list
	named    int    // its field "Name"; -1: none
	elem     *shape // of a pointer or a list
	fields   []shapeField
}

// shapeField is a field that holds numbers or lists.
type shapeField struct {
	*shape
	index   int
	key     string // as in a path; empty: its fields are those of the structure
	want    *wanted
	most    int  // of a list; 0: any number
	ignored bool // by checks of one number
}

// shapes holds the shape of every structure in a stack and in a result. It never changes.
var shapes = func() map[reflect.Type]*shape {
	m := map[reflect.Type]*shape{}
	shapeOf(reflect.TypeFor[Stack](), m)
	shapeOf(reflect.TypeFor[Assembly](), m)
	return m
}()

// wanted is what is wanted of a number: an interval, and how it is said. Of a length, only whether
// it must be positive counts.
type wanted struct {
	low, high float64
	open      [2]bool // an end is not within
	positive  bool
	says      string
}

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

// shapeOf works out the shape of a type; a structure's is in known, or kept there.
func shapeOf(t reflect.Type, known map[reflect.Type]*shape) *shape {
	if s := known[t]; s != nil {
		return s
	}
	s := &shape{kind: t.Kind(), named: -1}
	switch s.kind {
	case reflect.Float64:
		s.length = t == reflect.TypeFor[tolerance.Length]() || t == reflect.TypeFor[tolerance.Diametral]() || t == reflect.TypeFor[tolerance.TIR]()
	case reflect.Pointer, reflect.Slice, reflect.Array:
		s.elem = shapeOf(t.Elem(), known)
		s.shares = s.kind != reflect.Array || s.elem.shares
	case reflect.Struct:
		known[t] = s
		s.optional = t.NumField() == 2 && t.Field(1).Name == "Given"
		for i := range t.NumField() {
			f := t.Field(i)
			if f.Name == "Name" {
				s.named = i
			}
			if k := f.Type.Kind(); k != reflect.String && k != reflect.Bool && f.Type != reflect.TypeFor[Stack]() { // a result's stack was checked
				q := fieldOf(t, i, s.optional)
				q.shape = shapeOf(f.Type, known)
				s.shares = s.shares || q.shares
				s.fields = append(s.fields, q)
			}
		}
	}
	return s
}

// visit shows every number of a value and its path below at. Optional numbers that are not given are
// none.
func (s *shape) visit(v reflect.Value, at []byte, see func(at []byte, number reflect.Value)) {
	switch s.kind {
	case reflect.Pointer:
		if !v.IsNil() {
			s.elem.visit(v.Elem(), at, see)
		}
	case reflect.Slice, reflect.Array:
		for i := range v.Len() {
			s.elem.visit(v.Index(i), strconv.AppendInt(append(at, '/'), int64(i), 10), see)
		}
	case reflect.Struct:
		for i := range s.fields {
			if f := &s.fields[i]; !s.optional || v.Field(1).Bool() {
				f.visit(v.Field(f.index), append(at, f.key...), see)
			}
		}
	case reflect.Float64:
		see(at, v)
	}
}

// fieldOf is what the tags of field i of a structure say.
func fieldOf(t reflect.Type, i int, optional bool) shapeField {
	f := t.Field(i)
	q := shapeField{index: i, want: newWanted(f.Tag.Get("want"))}
	q.ignored = f.Tag.Get("want") == "-" || f.Type == reflect.TypeFor[tolerance.Celsius]() // warm knows the material
	q.most, _ = strconv.Atoi(f.Tag.Get("most"))
	switch key := f.Tag.Get("at"); {
	case t.Field(0).Name == "X" && t != reflect.TypeFor[Float](): // components
		q.key = "/" + strconv.Itoa(i)
	case key != "":
		q.key = "/" + key
	case !f.Anonymous && !optional:
		q.key = "/" + snakeCase(f.Name)
	}
	if t == reflect.TypeFor[Slope]() {
		q.want = newWanted(fmt.Sprintf("[-%[1]v,%[1]v] a slope as a ratio, at most %[1]v", steepest))
	}
	return q
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
