package record

import (
	"fmt"
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
	if i := slices.IndexFunc(n.keys, func(key string) bool { return slices.Contains(kinds, key) }); i >= 0 {
		form = formOf(n.keys[i])
		x.Kind = form.key
	}
	of, known := append(slices.Clip(form.more), lawKey{"shift", "ratio", oneOrTwo, true}, form.lawKey), append(slices.Clone(kinds), "shift")
	for _, k := range form.more {
		known = append(known, k.key)
	}
	for i, key := range n.keys {
		at, v := path+step(key), n.vals[i]
		switch k := slices.IndexFunc(of, func(k lawKey) bool { return k.key == key }); {
		case k >= 0 && x.key(key) == nil:
			x.Keys = append(x.Keys, d.lawKey(v, at, of[k]))
		case slices.Contains(kinds, key):
			d.fault(at, v, fault.ErrRepeated, "one law")
		case k >= 0:
			d.fault(at, v, fault.ErrRepeated, "each key once")
		default:
			d.fault(at, v, errUnknownKey, wantOne(key, known))
		}
	}
	if x.Kind == "" {
		d.fault(path, n, fault.ErrMissing, "one of "+strings.Join(kinds, ", "))
		*x = Law{Kind: "normal"} // any: the record is refused
		return
	}
	for _, k := range form.more {
		if !k.optional && x.key(k.key) == nil {
			d.fault(path+step(k.key), nil, fault.ErrMissing, "this key")
		}
	}
}

// lawKey reads what stands beside a key of a law: laws, classes, a number or a list of them, as many
// as the key takes.
func (d *decoder) lawKey(n *node, at string, k lawKey) LawKey {
	out := LawKey{Key: k.key, List: n.kind == isArray}
	if k.count == classes {
		if _, ok := d.fit(n, at, ""); ok {
			out.Fit = n.text
		}
		return out
	}
	if k.count == oneNumber || k.count == oneOrTwo && !out.List {
		out.Numbers = make([]Number, 1)
		out.Numbers[0].decodeNode(d, n, at, k.rule)
		return out
	}
	if want, class := k.wrongList(n); class != nil {
		d.fault(at, n, class, want)
		out.Numbers = []Number{Num(1)} // any: the record is refused
		return out
	}
	for i, v := range n.vals {
		if to := at + "/" + strconv.Itoa(i); k.count == manyLaws {
			var l Law
			l.decodeNode(d, v, to, "")
			out.Laws = append(out.Laws, l)
		} else {
			var x Number
			x.decodeNode(d, v, to, k.rule)
			out.Numbers = append(out.Numbers, x)
		}
	}
	return out
}

// wrongList is what is wrong with the list that stands beside a key of several laws or numbers.
func (k lawKey) wrongList(n *node) (want string, class error) {
	list := n.kind == isArray && len(n.vals) > 0
	switch {
	case k.count == manyLaws && !list:
		return "a list of laws", errWrongType
	case k.count == manyNumbers && !list:
		return "a list of numbers", errWrongType
	case (k.count == twoNumbers || k.count == oneOrTwo) && (!list || len(n.vals) != 2):
		return "a list of two numbers", errWrongType
	case k.count == manyNumbers && len(n.vals) > maxLawValues:
		return fmt.Sprintf("at most %d", maxLawValues), fault.ErrTooMany
	}
	return "", nil
}

// law checks what a law's numbers and keys mean together, and that it fits what it moves: a
// number, or a pair of them.
func (c *studyCheck) law(l *Law, at string, pair, limits bool) {
	form := formOf(l.Kind)
	if form.key == "" {
		return // said already
	}
	c.lawMoves(l, form, at, pair, limits)
	c.weights(l, at)
	if e, own := l.numbers("inexact"), l.numbers(l.Kind); e != nil && e[0] > own[0] {
		c.wrong(at+"/inexact", Num(e[0]).Text, fault.ErrConflict, "at most the half width")
	}
	for i, m := range l.own().Laws {
		to := fmt.Sprintf("%s/mixture/%d", at, i)
		if m.Kind == "mixture" || m.Word != "" {
			c.wrong(to, m.Kind+m.Word, fault.ErrConflict, "a law such as {\"normal\": 0.01}")
		} else {
			c.law(&m, to, false, false)
		}
	}
}

// lawMoves checks that a law fits what it moves.
func (c *studyCheck) lawMoves(l *Law, form lawForm, at string, pair, limits bool) {
	shift, own, moved := len(l.numbers("shift")), l.numbers(l.Kind), 1
	if pair {
		moved = 2
	}
	switch {
	case pair && form.pair == nil:
		c.wrong(at, l.Kind, fault.ErrConflict, "disc, ring, ellipse or normal for a pair of pointers")
	case !pair && (form.alone == nil || l.Kind == "normal" && len(own) == 2):
		c.wrong(at, l.Kind, fault.ErrConflict, "a pair of pointers for "+l.Kind)
	case !pair && l.key("correlation") != nil:
		c.wrong(at+"/correlation", "", fault.ErrConflict, "a pair of pointers for a correlation")
	case shift > 0 && shift != moved:
		c.wrong(at+"/shift", "", fault.ErrConflict, "a number for one pointer, a pair for two")
	case limits && (l.Kind == "ellipse" || l.key("correlation") != nil):
		c.wrong(at, l.Kind, fault.ErrConflict, "no limits beside "+l.Kind+" of a pair that hangs together")
	}
}

// weights checks those of a law of several values or laws.
func (c *studyCheck) weights(l *Law, at string) {
	w, of := l.numbers("weights"), max(len(l.numbers(l.Kind)), len(l.own().Laws))
	switch {
	case w == nil:
	case len(w) != of:
		c.wrong(at+"/weights", strconv.Itoa(len(w)), fault.ErrConflict, fmt.Sprintf("one for each of %d", of))
	case !(slices.Max(w) > 0):
		c.wrong(at+"/weights", "all 0", fault.ErrConflict, "at least one above 0")
	}
}
