package record

import (
	"fmt"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"example.com/borestack/fault"
)

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
		if !k.optional && x.parameter(k.key) == nil && !slices.Contains(n.keys, k.key) {
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
	case pair && form.pair == nil:
		wrong(at, l.Kind, fault.ErrConflict, "disc, ring, ellipse or normal for a pair of pointers")
	case !pair && (form.alone == nil || l.Kind == "normal" && l.List != nil):
		wrong(at, l.Kind, fault.ErrConflict, "a pair of pointers for "+l.Kind)
	case !pair && l.parameter("correlation") != nil:
		wrong(at+"/correlation", "", fault.ErrConflict, "a pair of pointers for a correlation")
	case pair && len(l.Shift) == 1 || !pair && len(l.Shift) == 2:
		wrong(at+"/shift", "", fault.ErrConflict, "a number for one pointer, a pair for two")
	case limits && (l.Kind == "ellipse" || l.parameter("correlation") != nil):
		wrong(at, l.Kind, fault.ErrConflict, "no limits beside "+l.Kind+" of a pair that hangs together")
	}
	if w := l.parameter("weights"); w != nil {
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
	if e := l.parameter("inexact"); e != nil && e[0] > l.Size.Value {
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
