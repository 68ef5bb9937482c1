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
	"example.com/borestack/tolerance"
)

// Stack maps the record to typed quantities. The record's numbers are not changed. A word that
// means nothing, in a record made in Go, is a [fault.FieldError] at its place, as is one that is
// missing and required; several are joined.
func (r *Record) Stack() (align.Stack, error) {
	s, faults := r.stack(nil)
	if len(faults) > 0 {
		return align.Stack{}, errors.Join(faults...)
	}
	return s, nil
}

// stack maps a record, and holds its words against the field tags: one that nobody knows counts as
// the default, and is a fault; a length unit that is not known counts as millimetres. With labels
// it writes those in place of the quantities.
func (r *Record) stack(labels *labels) (s align.Stack, faults []error) {
	m := mapper{unit: r.LengthUnit(), labels: labels}
	m.object(reflect.ValueOf(r).Elem(), reflect.ValueOf(&s).Elem(), "")
	return s, m.faults
}

// mapper walks a record and, beside it, the stack that it makes: a field goes to that of the same
// name, or to where its tag says ("." is the struct itself). Numbers turn into quantities in base
// units, each times a gain that the kind of its rule decides; words into their place among those
// that the rule lists. What the stack has no field for is looked through for its words alone.
type mapper struct {
	unit, block tolerance.Length // of the record, and of the readings of the block that is walked
	labels      *labels          // nil: quantities are wanted
	faults      []error
}

// object maps a struct.
func (m *mapper) object(src, dst reflect.Value, path string) {
	m.block = m.unit
	if own := src.FieldByName("Unit"); own.IsValid() {
		if u, err := tolerance.ParseUnit(own.String()); err == nil {
			m.block = u.Size()
		}
	}
	block := m.block
	for _, f := range fields(src.Type()) {
		to := dst
		for _, name := range strings.Split(f.to, ".") {
			if name != "" && to.Kind() == reflect.Struct {
				to = to.FieldByName(name)
			}
		}
		m.block = block
		m.value(src.FieldByIndex(f.index), to, path+step(f.key), f)
	}
}

// value maps what one key holds; dst is not valid where the stack has no place for it.
func (m *mapper) value(src, dst reflect.Value, path string, f field) {
	if src.Kind() == reflect.Pointer {
		if src.IsNil() {
			return
		}
		src = src.Elem()
	}
	if material, ok := src.Addr().Interface().(*Material); ok {
		m.material(material, dst, path)
		return
	}
	dst = given(dst)
	switch x := src.Addr().Interface().(type) {
	case *Number:
		m.number(x, dst, f)
		return
	case *Fit:
		m.number(&x.Middle, dst, f)
		return
	case *RoundPoints:
		gives, err := x.of(m.unit)
		if err != nil {
			m.faults = append(m.faults, wrongPoints(path, err))
			return
		}
		m.object(reflect.ValueOf(gives).Elem(), dst, path)
		dst.FieldByName("Errors").Set(reflect.ValueOf(gives.errors))
		return
	case *Reading:
		src = reflect.ValueOf(&x.Repeats).Elem()
	case *Vary:
		m.law(x, path+"/law")
	case *Pointers, *Law:
		return
	}
	m.plain(src, dst, path, f)
}

// given makes what may be left out be there, and returns it.
func given(dst reflect.Value) reflect.Value {
	switch {
	case !dst.IsValid():
	case dst.Kind() == reflect.Pointer:
		dst.Set(reflect.New(dst.Type().Elem()))
		return dst.Elem()
	case dst.Kind() == reflect.Struct && dst.NumField() == 2 && dst.Type().Field(1).Name == "Given": // tolerance.Optional
		dst.Field(1).SetBool(true)
		return dst.Field(0)
	}
	return dst
}

// plain maps what no type of the record stands for.
func (m *mapper) plain(src, dst reflect.Value, path string, f field) {
	switch src.Kind() {
	case reflect.Struct:
		m.object(src, dst, path)
	case reflect.Array: // of numbers
		for i := range src.Len() {
			if dst.IsValid() && i < dst.NumField() {
				m.number(src.Index(i).Addr().Interface().(*Number), dst.Field(i), f)
			}
		}
	case reflect.Slice:
		m.list(src, dst, path, f)
	case reflect.Bool:
		if dst.IsValid() {
			dst.SetBool(src.Bool())
		}
	case reflect.String:
		m.word(src.String(), dst, path, f)
	}
}

// list maps a list, or an object whose keys are names to a list of a name and a value each.
func (m *mapper) list(src, dst reflect.Value, path string, f field) {
	n := src.Len()
	if strings.HasSuffix(f.rule, "two") && (f.required || n > 0) && n != 2 {
		m.fault(path, strconv.Itoa(n), fault.ErrOutOfRange, "a list of two")
	}
	if dst.IsValid() && dst.Kind() == reflect.Slice && n > 0 {
		dst.Set(reflect.MakeSlice(dst.Type(), n, n))
	}
	for i := range n {
		e, to, at := src.Index(i), reflect.Value{}, path+"/"+strconv.Itoa(i)
		if dst.IsValid() && i < dst.Len() {
			to = dst.Index(i)
		}
		if isNamed(src.Type()) {
			name := e.Field(0).String()
			e, at = e.Field(1), path+step(name)
			to.Field(0).SetString(name)
			to = to.Field(1)
		}
		m.value(e, to, at, f)
	}
}

// isNamed reports whether a type is a [Named].
func isNamed(t reflect.Type) bool { return strings.HasPrefix(t.Name(), "Named[") }

// number maps a number that is not left out. It is the one place that reads one.
func (m *mapper) number(n *Number, dst reflect.Value, f field) {
	if !dst.IsValid() || *n == (Number{}) {
		return
	}
	gain := 1.0
	switch kind, _, _ := strings.Cut(f.rule, ","); {
	case isLength(kind):
		gain = float64(m.unit)
	case kind == "reading":
		gain = float64(m.block)
	case kind == "angle":
		gain = math.Pi / 180
	}
	if m.labels != nil {
		dst.SetFloat(m.labels.next(n, gain))
		return
	}
	dst.SetFloat(n.Value * gain)
}

// isLength reports whether numbers of a rule of that kind count in the record's unit of length.
func isLength(kind string) bool {
	return slices.Contains([]string{"length", ofClearance, ofHole, ofShaft, ofDiameter}, kind)
}

// word maps a text, or one of several words: to its place among them, 0 for none, or to whether it
// is not the first.
func (m *mapper) word(got string, dst reflect.Value, path string, f field) {
	place := 0
	for _, rule := range strings.Split(f.rule, ",") {
		if known := words(rule); known != nil && rule != "format" {
			m.oneOf(path, got, known, f.required)
			place = max(slices.Index(known, got), 0)
			if got != "" && f.zero != "" {
				place = (place - slices.Index(known, f.zero) + len(known)) % len(known)
			}
		}
	}
	switch {
	case !dst.IsValid():
	case dst.Kind() == reflect.String:
		dst.SetString(got)
	case dst.Kind() == reflect.Bool:
		dst.SetBool(place > 0)
	default:
		dst.SetUint(uint64(place))
	}
}

func (m *mapper) fault(path, value string, class error, want string) {
	f := &fault.FieldError{Path: path, Want: want, Err: class}
	if value != "" {
		f.Value = strconv.Quote(value)
	}
	m.faults = append(m.faults, f)
}

// oneOf checks a word that may be absent unless it is required.
func (m *mapper) oneOf(path, got string, known []string, required bool) {
	switch {
	case got == "" && required:
		m.fault(path, "", fault.ErrMissing, wantOne(got, known))
	case got != "" && !slices.Contains(known, got):
		m.fault(path, got, errUnknown, wantOne(got, known))
	}
}

// law checks the word that says how a source deviates, or how a joint lies.
func (m *mapper) law(v *Vary, path string) {
	if v.Float != "" {
		m.oneOf(path, v.Law.Word, floatWords(), true)
		return
	}
	m.oneOf(path, v.Law.Kind, lawKinds(), v.Law.Word == "")
	if v.Law.Word != "" {
		m.fault(path, v.Law.Word, fault.ErrConflict, "a law such as {\"normal\": 0.01}")
	}
}

// material maps a material to an optional one: from the library's table, or the record's own numbers.
func (m *mapper) material(of *Material, dst reflect.Value, path string) {
	if of.Name == "" {
		v := tolerance.Material{Name: "as given", Source: "the record"}
		m.object(reflect.ValueOf(of).Elem(), reflect.ValueOf(&v).Elem(), path)
		dst.Set(reflect.ValueOf(tolerance.Given(v)))
		return
	}
	v, err := tolerance.MaterialNamed(of.Name)
	if err != nil {
		_, want, _ := strings.Cut(err.Error(), "want ")
		m.fault(path, of.Name, fault.ErrUnknownName, want)
		return
	}
	dst.Set(reflect.ValueOf(tolerance.Given(v)))
}
