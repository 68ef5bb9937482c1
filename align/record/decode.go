package record

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"io"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"example.com/borestack/align/internal/quantity"
	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// Format is the format that this package reads and writes.
const Format = "borestack-record/1"

// Bounds on what is read.
const (
	maxBytes  = 12 << 20
	maxFaults = 50     // more are counted, not listed
	maxLength = 100000 // mm: sizes over 100 m are absurd
)

// Decode reads one record, strictly. All independent faults come back together, joined, in the
// order of the record: each is an [*fault.FieldError] with a JSON Pointer, the value as written and
// what would be right. Text that is not JSON is one error with line and column.
func Decode(r io.Reader) (*Record, error) {
	d, rec, err := decodeFields(r)
	if err != nil {
		return nil, err
	}
	if err := d.semantics(rec); err != nil {
		return nil, err
	}
	return rec, nil
}

// decodeFields reads a record field by field; the decoder holds the faults found so far, and what
// only the whole can tell is still to come.
func decodeFields(r io.Reader) (*decoder, *Record, error) {
	written, err := text(r, "stack")
	if err != nil {
		return nil, nil, err
	}
	tree, err := parse(written)
	if err != nil {
		return nil, nil, err
	}
	d := &decoder{root: tree, rules: numberRules(), lengthUnit: tolerance.Millimetre}
	if u, ok := tree.find("/units/length"); ok {
		if unit, err := tolerance.ParseUnit(u.text); err == nil {
			d.lengthUnit = unit.Size()
		}
	}
	rec := &Record{}
	d.value(reflect.ValueOf(rec).Elem(), tree, "", "")
	return d, rec, nil
}

// semantics adds what only the whole can tell, unless it follows from a fault already found, and
// joins everything.
func (d *decoder) semantics(rec *Record) error {
	if d.fatal {
		return d.join()
	}
	if _, err := tolerance.ParseUnit(rec.Units.Length); err != nil {
		return d.join() // found already, and lengths cannot be judged without it
	}
	stack, _ := rec.stack(nil)
	var faults []error
	if err := stack.Validate(); err != nil {
		faults = append(faults, fault.List(err)...)
	}
	if len(d.faults) == 0 {
		faults = append(faults, rec.studyFaults(&stack)...)
	}
	found := slices.Clip(d.faults)
	d.sources(rec)
	sources := d.faults[len(found):]
	for _, err := range faults {
		var f *fault.FieldError
		if !errors.As(err, &f) {
			d.add(err)
			found = append(found, err)
			continue
		}
		if follows(f, found) || within(f, sources) {
			continue
		}
		g := *f
		if n, ok := d.root.find(f.Path); ok && f.Value != "" {
			g.Value = n.show()
			if blank(n) {
				g.Value, g.Want, g.Err = "null alone", "a reading in place of each null", errNotFilled
			}
		}
		d.add(&g)
		found = append(found, &g)
	}
	return d.join()
}

// within reports whether a fault's place is inside or around one of others.
func within(f *fault.FieldError, others []error) bool {
	for _, e := range others {
		var g *fault.FieldError
		if errors.As(e, &g) && (strings.HasPrefix(f.Path+"/", g.Path+"/") || strings.HasPrefix(g.Path, f.Path+"/")) {
			return true
		}
	}
	return false
}

// follows reports whether a fault of the whole is, or may be, a consequence of one already found:
// its place is inside or around a faulty one, or it misses something that a faulty part, or its own
// faulty section, may hold.
func follows(f *fault.FieldError, found []error) bool {
	section := func(path string) string {
		s, _, _ := strings.Cut(strings.TrimPrefix(path, "/"), "/")
		return s
	}
	if within(f, found) {
		return true
	}
	misses := strings.Count(f.Path, "/") > 1 && (errors.Is(f.Err, fault.ErrUnknownName) || errors.Is(f.Err, fault.ErrMissing) || errors.Is(f.Err, fault.ErrNotLocated) || errors.Is(f.Err, fault.ErrConflict))
	for _, e := range found {
		var g *fault.FieldError
		if !errors.As(e, &g) {
			continue
		}
		holds := section(g.Path) == "parts" || section(g.Path) == section(f.Path)
		if misses && holds && !errors.Is(g.Err, errUnknownKey) {
			return true
		}
	}
	return false
}

var (
	errUnknownKey = errors.New("unknown key")
	errWrongType  = errors.New("wrong kind of value")
	errUnknown    = errors.New("unknown word")
)

// decoder fills a record from a tree by the field tags, and collects faults.
type decoder struct {
	root       *node
	rules      map[string]numberRule
	lengthUnit tolerance.Length // of the record
	blockUnit  tolerance.Length // of the block that is being read: its own where it names one, else the record's
	faultList
	fatal bool // the frame is too faulty to judge the whole
}

// faultList is the first faults, and how many more there are.
type faultList struct {
	faults []error
	more   int
}

func (l *faultList) add(err error) {
	if len(l.faults) >= maxFaults {
		l.more++
		return
	}
	l.faults = append(l.faults, err)
}

func (l *faultList) join() error {
	if l.more > 0 {
		l.faults = append(l.faults, fmt.Errorf("record: and %d more faults", l.more))
	}
	return errors.Join(l.faults...)
}

func (d *decoder) fault(path string, n *node, class error, want string) {
	f := &fault.FieldError{Path: path, Want: want, Err: class}
	if n != nil {
		f.Value = n.show()
	}
	d.add(f)
}

// special is a type that reads itself.
type special interface {
	decodeNode(d *decoder, n *node, path, rule string)
}

// value fills v, which is settable, from n.
func (d *decoder) value(v reflect.Value, n *node, path, rule string) {
	if v.Kind() == reflect.Pointer {
		v.Set(reflect.New(v.Type().Elem()))
		d.value(v.Elem(), n, path, rule)
		return
	}
	if s, ok := v.Addr().Interface().(special); ok {
		s.decodeNode(d, n, path, rule)
		return
	}
	switch v.Kind() {
	case reflect.Struct:
		d.object(v, n, path)
	case reflect.Slice, reflect.Array:
		d.list(v, n, path, rule)
	case reflect.String:
		if n.kind != isString {
			d.fault(path, n, errWrongType, "text in double quotes")
			return
		}
		v.SetString(n.text)
		d.word(n, path, rule)
	case reflect.Bool:
		if n.kind != isBool {
			d.fault(path, n, errWrongType, "true or false")
			return
		}
		v.SetBool(n.text == "true")
	}
}

// list fills a list, or an array of numbers.
func (d *decoder) list(v reflect.Value, n *node, path, rule string) {
	fixed := v.Kind() == reflect.Array
	switch {
	case fixed && (n.kind != isArray || len(n.vals) != v.Len()):
		d.fault(path, n, errWrongType, fmt.Sprintf("a list of %d numbers", v.Len()))
		return
	case n.kind != isArray:
		d.fault(path, n, errWrongType, "a list")
		return
	case strings.HasSuffix(rule, "two") && len(n.vals) != 2:
		d.fault(path, n, fault.ErrOutOfRange, "a list of two")
		return
	}
	if !fixed {
		v.Set(reflect.MakeSlice(v.Type(), len(n.vals), len(n.vals)))
	}
	for i, c := range n.vals {
		d.value(v.Index(i), c, path+"/"+strconv.Itoa(i), rule)
	}
}

// words are what a rule says that a text may be; nil for a rule that is not about words.
func words(rule string) []string {
	switch {
	case strings.Contains(rule, "|"):
		return strings.Split(rule, "|")
	case rule == "unit":
		return tolerance.Units()
	case rule == "quantity":
		return quantity.Words()
	case rule == "format":
		return []string{Format}
	}
	return nil
}

// word checks a text against its rule: one of several words, or a name.
func (d *decoder) word(n *node, path, rule string) {
	for _, r := range strings.Split(rule, ",") {
		known := words(r)
		switch {
		case r == "name" && (n.text == "" || strings.TrimSpace(n.text) != n.text || strings.Contains(n.text, "/")):
			d.fault(path, n, fault.ErrOutOfRange, "a name, not empty, without \"/\" or spaces at its ends")
		case known != nil && !slices.Contains(known, n.text):
			d.fault(path, n, errUnknown, wantOne(n.text, known))
		}
	}
}

// wantOne says which words would be right, the nearest first.
func wantOne(got string, known []string) string {
	all := strings.Join(known, ", ")
	if near, ok := tolerance.Nearest(got, known); ok {
		if len(known) == 1 {
			return strconv.Quote(near)
		}
		return fmt.Sprintf("%q (one of %s)", near, all)
	}
	if len(known) == 1 {
		return strconv.Quote(known[0])
	}
	return "one of " + all
}

// field is one key of an object: its rule, and where the mapping to a stack puts it, in a list of
// words the one that counts as 0.
type field struct {
	key, rule, to, zero string
	index               []int
	required            bool
}

// fields lists a struct's keys, embedded ones included.
func fields(t reflect.Type) []field {
	var out []field
	for i := range t.NumField() {
		f := t.Field(i)
		if f.Anonymous {
			for _, e := range fields(f.Type) {
				e.index = append([]int{i}, e.index...)
				out = append(out, e)
			}
			continue
		}
		key, _, _ := strings.Cut(f.Tag.Get("json"), ",")
		if key == "" || key == "-" {
			continue
		}
		rule := f.Tag.Get("rule")
		rest, required := strings.CutPrefix(rule, "required")
		out = append(out, field{key, strings.TrimPrefix(rest, ","), cmp.Or(f.Tag.Get("to"), f.Name), f.Tag.Get("zero"), []int{i}, required})
	}
	return out
}

// unitOf is the unit of a block's readings.
func (d *decoder) unitOf(n *node) tolerance.Length {
	if own, ok := n.find("/unit"); ok {
		if u, err := tolerance.ParseUnit(own.text); err == nil {
			return u.Size()
		}
	}
	return d.lengthUnit
}

// object fills a struct.
func (d *decoder) object(v reflect.Value, n *node, path string) {
	if n.kind != isObject {
		d.fault(path, n, errWrongType, "an object")
		if path == "" {
			d.fatal = true
		}
		return
	}
	defer func(outer tolerance.Length) { d.blockUnit = outer }(d.blockUnit)
	d.blockUnit = d.unitOf(n)
	known := fields(v.Type())
	seen := make(map[string]bool, len(n.keys))
	for i, key := range n.keys {
		at := path + step(key)
		if len(d.faults) >= maxFaults {
			d.more++
			continue
		}
		if seen[key] {
			d.fault(at, n.vals[i], fault.ErrRepeated, "each key once")
			continue
		}
		seen[key] = true
		if k := slices.IndexFunc(known, func(f field) bool { return f.key == key }); k >= 0 {
			d.value(v.FieldByIndex(known[k].index), n.vals[i], at, known[k].rule)
			continue
		}
		var keys []string
		for _, f := range known {
			keys = append(keys, f.key)
		}
		d.fault(at, n.vals[i], errUnknownKey, wantOne(key, keys))
	}
	for _, f := range known {
		if f.required && !seen[f.key] {
			d.fault(path+step(f.key), nil, fault.ErrMissing, "this key")
			if path == "" {
				d.fatal = true
			}
		}
	}
}

// blank reports whether a list holds null alone.
func blank(n *node) bool {
	return n.kind == isArray && len(n.vals) > 0 && !slices.ContainsFunc(n.vals, func(c *node) bool { return c.kind != isNull })
}

// text reads a whole table or record.
func text(r io.Reader, what string) (string, error) {
	raw, err := io.ReadAll(io.LimitReader(r, maxBytes+1))
	if err != nil {
		return "", fmt.Errorf("record: %w", err)
	}
	if len(raw) > maxBytes {
		return "", fmt.Errorf("record: longer than %d bytes: want one %s", maxBytes, what)
	}
	return string(bytes.TrimPrefix(raw, []byte("\ufeff"))), nil
}
