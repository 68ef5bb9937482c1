package record

import (
	"bytes"
	"encoding/json"
	"fmt"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"example.com/borestack/fault"
)

// Law is how a source of variation is distributed, or, with Word, how a joint lies. Numbers are in
// the unit of the number that it moves.
type Law struct {
	Word       string      // "uniform", "rim", "hang", "rest", "any": of a float
	Kind       string      // the law's name, such as "normal"; see RECORD.md
	Size       Number      // the law's own number, where it has one
	List       []Number    // its own numbers, where it has several: values, semi-axes, a deviation for each of a pair
	Laws       []Law       // of a mixture
	Fit        string      // the classes of a fit, "35 H7/g6"
	Parameters []Parameter // its further numbers, in the order written
	Shift      []Number    // none, one, or two
}

// Parameter is a further number of a law, or several: {"top": 0.5}, {"shapes": [2, 3]}.
type Parameter struct {
	Key    string
	Values []Number
	List   bool // written as a list
}

// How many numbers a key of a law takes.
const (
	oneNumber  = 1
	twoNumbers = 2
	manyNumber = 0  // one or more
	manyLaws   = -1 // laws in place of numbers
	classes    = -2 // a fit in place of numbers
)

// maxLawValues bounds the values of a discrete law or a measured sample.
const maxLawValues = 10000

// lawKey is a key of a law: its rule is that of each of its numbers.
type lawKey struct {
	key, rule string
	count     int
	optional  bool
}

// lawForm is a law in words: its own key, its further ones, and what it may move.
type lawForm struct {
	lawKey
	more        []lawKey
	alone, pair bool // it moves a number; it moves a pair of numbers
}

// lawForms are the laws that a record can name.
func lawForms() []lawForm {
	one := func(key, rule string, more ...lawKey) lawForm {
		return lawForm{lawKey{key: key, rule: rule, count: oneNumber}, more, true, false}
	}
	number := func(key, rule string) lawKey { return lawKey{key: key, rule: rule, count: oneNumber} }
	weights := lawKey{key: "weights", rule: "ratio,notnegative", count: manyNumber, optional: true}
	const width = "ratio,notnegative"
	normal := one("normal", width, lawKey{key: "correlation", rule: "correlation", count: oneNumber, optional: true})
	normal.pair = true
	return []lawForm{
		normal,
		one("uniform", width),
		one("triangular", width),
		{lawKey{key: "disc", rule: width, count: oneNumber}, nil, false, true},
		{lawKey{key: "ring", rule: width, count: oneNumber}, nil, false, true},
		{lawKey{key: "ellipse", rule: width, count: twoNumbers}, []lawKey{{key: "clock", rule: "angle", count: oneNumber, optional: true}}, false, true},
		one("trapezoidal", width, number("top", "share")),
		one("curvilinear", width, number("inexact", width)),
		one("arcsine", width),
		one("beta", width, lawKey{key: "shapes", rule: "ratio,shape", count: twoNumbers}),
		one("student", width, number("freedom", "ratio,abovetwo")),
		one("lognormal", "ratio,abovezero", number("spread", "spread")),
		one("weibull", width, number("shape", "ratio,shape")),
		{lawKey{key: "discrete", rule: "ratio", count: manyNumber}, []lawKey{weights}, true, false},
		{lawKey{key: "sample", rule: "ratio", count: manyNumber}, nil, true, false},
		{lawKey{key: "mixture", count: manyLaws}, []lawKey{weights}, true, false},
		{lawKey{key: "fit", count: classes}, nil, true, false},
	}
}

// formOf finds the form of a kind of law.
func formOf(kind string) (lawForm, bool) {
	for _, f := range lawForms() {
		if f.key == kind {
			return f, true
		}
	}
	return lawForm{}, false
}

// lawKinds are the names of the laws: how a number deviates. floatWords say how a joint lies in a study.
func lawKinds() []string {
	var out []string
	for _, f := range lawForms() {
		out = append(out, f.key)
	}
	return out
}

func floatWords() []string { return []string{"uniform", "rim", "hang", "rest", "any"} }

// Parameter returns the numbers of a key besides the law's own; nil where it is left out.
func (l *Law) Parameter(key string) []float64 {
	for i := range l.Parameters {
		if l.Parameters[i].Key == key {
			return valuesOf(l.Parameters[i].Values)
		}
	}
	return nil
}

// Values are the law's own numbers, however many.
func (l *Law) Values() []float64 {
	if l.List != nil {
		return valuesOf(l.List)
	}
	return []float64{l.Size.Value}
}

func valuesOf(list []Number) []float64 {
	out := make([]float64, len(list))
	for i := range list {
		out[i] = list[i].Value
	}
	return out
}

// String says the law in words, with its numbers as they were written: "beta 0.02, shapes 2 and 3,
// shifted by 0.01".
func (l Law) String() string {
	if l.Word != "" {
		return l.Word
	}
	said := []string{l.Kind}
	switch {
	case len(l.Laws) > 0:
		var of []string
		for _, m := range l.Laws {
			of = append(of, "("+m.String()+")")
		}
		said[0] += " of " + strings.Join(of, ", ")
	case l.Fit != "":
		said[0] += " " + l.Fit
	case l.List != nil:
		said[0] += " " + sayNumbers(l.List)
	default:
		said[0] += " " + l.Size.Text
	}
	for _, p := range l.Parameters {
		said = append(said, p.Key+" "+sayNumbers(p.Values))
	}
	if len(l.Shift) > 0 {
		said = append(said, "shifted by "+sayNumbers(l.Shift))
	}
	return strings.Join(said, ", ")
}

// fewSaid is how many numbers of a list are said; of more, how many there are, and the ends.
const fewSaid = 6

// sayNumbers joins numbers as they were written.
func sayNumbers(list []Number) string {
	var out []string
	for _, n := range list {
		out = append(out, n.Text)
	}
	switch n := len(out); {
	case n == 2:
		return out[0] + " and " + out[1]
	case n > fewSaid:
		least := slices.MinFunc(list, func(a, b Number) int { return cmpNumbers(a, b) })
		greatest := slices.MaxFunc(list, func(a, b Number) int { return cmpNumbers(a, b) })
		return fmt.Sprintf("%d values from %s to %s", n, least.Text, greatest.Text)
	}
	return strings.Join(out, ", ")
}

func cmpNumbers(a, b Number) int {
	switch {
	case a.Value < b.Value:
		return -1
	case a.Value > b.Value:
		return 1
	}
	return 0
}

// MarshalJSON writes the law as it was read.
func (l Law) MarshalJSON() ([]byte, error) {
	if l.Word != "" {
		return json.Marshal(l.Word)
	}
	var b bytes.Buffer
	write := func(key string, v any) error {
		text, err := json.Marshal(v)
		if err != nil {
			return err
		}
		if b.Len() > 0 {
			b.WriteByte(',')
		}
		b.WriteString(strconv.Quote(key) + ":")
		b.Write(text)
		return nil
	}
	own := any(l.Size)
	switch {
	case l.Laws != nil:
		own = l.Laws
	case l.Fit != "":
		own = l.Fit
	case l.List != nil:
		own = l.List
	}
	if err := write(l.Kind, own); err != nil {
		return nil, err
	}
	for _, p := range l.Parameters {
		var v any = p.Values
		if !p.List && len(p.Values) == 1 {
			v = p.Values[0]
		}
		if err := write(p.Key, v); err != nil {
			return nil, err
		}
	}
	if len(l.Shift) > 0 {
		var v any = l.Shift
		if len(l.Shift) == 1 {
			v = l.Shift[0]
		}
		if err := write("shift", v); err != nil {
			return nil, err
		}
	}
	return []byte("{" + b.String() + "}"), nil
}

// decodeNode reads a law: its name with its numbers, further keys and a shift; or a word for a float.
func (x *Law) decodeNode(d *decoder, n *node, path, _ string) {
	if n.kind == isString {
		x.Word = n.text
		d.word(n, path, strings.Join(floatWords(), "|"))
		return
	}
	if n.kind != isObject {
		d.fault(path, n, errWrongType, "a law such as {\"normal\": 0.01}")
		return
	}
	kinds := lawKinds()
	var form lawForm
	for _, key := range n.keys {
		if f, ok := formOf(key); ok {
			form = f
			break
		}
	}
	known := append(slices.Clone(kinds), "shift")
	for _, k := range form.more {
		known = append(known, k.key)
	}
	for i, key := range n.keys {
		x.decodeKey(d, n.vals[i], path+step(key), key, form, known)
	}
	if x.Kind == "" {
		d.fault(path, n, fault.ErrMissing, "one of "+strings.Join(kinds, ", "))
		x.Kind, x.Size = "normal", Num(0) // any: the record is refused
		return
	}
	for _, k := range form.more {
		if !k.optional && x.Parameter(k.key) == nil && !slices.Contains(n.keys, k.key) {
			d.fault(path+step(k.key), nil, fault.ErrMissing, "this key")
		}
	}
}

// decodeKey reads one key of a law.
func (x *Law) decodeKey(d *decoder, n *node, at, key string, form lawForm, known []string) {
	_, law := formOf(key)
	more := slices.IndexFunc(form.more, func(k lawKey) bool { return k.key == key })
	switch {
	case key == "shift" && n.kind == isArray:
		var p Pair
		d.value(reflect.ValueOf(&p).Elem(), n, at, "ratio")
		x.Shift = p[:]
	case key == "shift":
		x.Shift = make([]Number, 1)
		x.Shift[0].decodeNode(d, n, at, "ratio")
	case more >= 0:
		p := Parameter{Key: key, List: n.kind == isArray}
		p.Values = d.numbers(n, at, form.more[more])
		x.Parameters = append(x.Parameters, p)
	case !law:
		d.fault(at, n, errUnknownKey, wantOne(key, known))
	case x.Kind != "":
		d.fault(at, n, fault.ErrRepeated, "one law")
	default:
		x.Kind = key
		x.decodeOwn(d, n, at, form)
	}
}

// decodeOwn reads what stands beside a law's name.
func (x *Law) decodeOwn(d *decoder, n *node, at string, form lawForm) {
	switch {
	case form.count == manyLaws:
		if n.kind != isArray || len(n.vals) == 0 {
			d.fault(at, n, errWrongType, "a list of laws")
			return
		}
		x.Laws = make([]Law, len(n.vals))
		for i, v := range n.vals {
			x.Laws[i].decodeNode(d, v, at+"/"+strconv.Itoa(i), "")
		}
	case form.count == classes:
		if _, ok := d.fit(n, at, ""); ok {
			x.Fit = n.text
		}
	case form.count == oneNumber && n.kind != isArray:
		x.Size.decodeNode(d, n, at, form.rule)
	case form.key == "normal": // a pair of unlike deviations
		x.List = d.numbers(n, at, lawKey{rule: form.rule, count: twoNumbers})
	default:
		x.List = d.numbers(n, at, form.lawKey)
	}
}

// numbers reads one number or a list of them, as many as a key takes.
func (d *decoder) numbers(n *node, at string, k lawKey) []Number {
	if k.count == oneNumber {
		out := make([]Number, 1)
		out[0].decodeNode(d, n, at, k.rule)
		return out
	}
	if n.kind != isArray || len(n.vals) == 0 || k.count == twoNumbers && len(n.vals) != twoNumbers {
		want := "a list of numbers"
		if k.count == twoNumbers {
			want = "a list of two numbers"
		}
		d.fault(at, n, errWrongType, want)
		return []Number{Num(1)} // any: the record is refused
	}
	if len(n.vals) > maxLawValues {
		d.fault(at, n, fault.ErrTooMany, fmt.Sprintf("at most %d", maxLawValues))
		return []Number{Num(1)}
	}
	out := make([]Number, len(n.vals))
	for i, v := range n.vals {
		out[i].decodeNode(d, v, at+"/"+strconv.Itoa(i), k.rule)
	}
	return out
}

// lawFaults checks what a law's numbers and keys mean together, and that it fits what it moves: a
// number, or a pair of them.
func lawFaults(l *Law, at string, pair, limits bool, wrong func(path, value string, class error, want string)) {
	form, ok := formOf(l.Kind)
	if !ok {
		return // said already
	}
	switch {
	case pair && !form.pair:
		wrong(at, l.Kind, fault.ErrConflict, "disc, ring, ellipse or normal for a pair of pointers")
	case !pair && (!form.alone || l.Kind == "normal" && l.List != nil):
		wrong(at, l.Kind, fault.ErrConflict, "a pair of pointers for "+l.Kind)
	case !pair && l.Parameter("correlation") != nil:
		wrong(at+"/correlation", "", fault.ErrConflict, "a pair of pointers for a correlation")
	case pair && len(l.Shift) == 1 || !pair && len(l.Shift) == 2:
		wrong(at+"/shift", "", fault.ErrConflict, "a number for one pointer, a pair for two")
	case limits && (l.Kind == "ellipse" || l.Parameter("correlation") != nil):
		wrong(at, l.Kind, fault.ErrConflict, "no limits beside "+l.Kind+" of a pair that hangs together")
	}
	if w := l.Parameter("weights"); w != nil {
		sum := 0.0
		for _, v := range w {
			sum += v
		}
		of := len(l.List)
		if l.Kind == "mixture" {
			of = len(l.Laws)
		}
		if len(w) != of {
			wrong(at+"/weights", strconv.Itoa(len(w)), fault.ErrConflict, fmt.Sprintf("one for each of %d", of))
		} else if !(sum > 0) {
			wrong(at+"/weights", "all 0", fault.ErrConflict, "at least one above 0")
		}
	}
	if e := l.Parameter("inexact"); e != nil && e[0] > l.Size.Value {
		wrong(at+"/inexact", strconv.FormatFloat(e[0], 'g', -1, 64), fault.ErrConflict, "at most the half width")
	}
	for i := range l.Laws {
		to := fmt.Sprintf("%s/mixture/%d", at, i)
		if m := &l.Laws[i]; m.Kind == "mixture" || m.Word != "" {
			wrong(to, m.Kind+m.Word, fault.ErrConflict, "a law such as {\"normal\": 0.01}")
		} else {
			lawFaults(m, to, false, false, wrong)
		}
	}
}
