package record

import (
	"fmt"
	"slices"
	"strconv"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/quantity"
	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// Bounds on the study's lists.
const (
	maxVary   = 2000
	maxAccept = 500
)

// studyCheck checks what accept, vary and shop refer to.
type studyCheck struct {
	rec    *Record
	stack  *align.Stack
	joints []string
	faults []error
}

// studyFaults are what accept, vary and shop get wrong.
func (r *Record) studyFaults(s *align.Stack) []error {
	c := &studyCheck{rec: r, stack: s}
	_, c.joints = s.Askable(align.GapSize)
	if n := len(r.Vary); n > maxVary {
		c.wrong("/vary", strconv.Itoa(n), fault.ErrTooMany, fmt.Sprintf("at most %d", maxVary))
		return c.faults
	}
	if n := len(r.Accept); n > maxAccept {
		c.wrong("/accept", strconv.Itoa(n), fault.ErrTooMany, fmt.Sprintf("at most %d", maxAccept))
		return c.faults
	}
	names := map[string]bool{}
	for i := range r.Vary {
		c.vary(&r.Vary[i], "/vary/"+strconv.Itoa(i), names)
	}
	for i := range r.Accept {
		c.accept(&r.Accept[i], "/accept/"+strconv.Itoa(i))
	}
	if r.Shop != nil {
		c.shop()
	}
	return c.faults
}

func (c *studyCheck) wrong(path, value string, class error, want string) {
	c.faults = append(c.faults, fault.At(path, value, want, class))
}

// named refuses a name that is none of those known, with the nearest.
func (c *studyCheck) named(path, kind, got string, known []string) {
	if slices.Contains(known, got) {
		return
	}
	want := "the name of a " + kind
	if near, ok := tolerance.Nearest(got, known); ok {
		want += fmt.Sprintf(": perhaps %q", near)
	}
	c.wrong(path, strconv.Quote(got), fault.ErrUnknownName, want)
}

func (c *studyCheck) vary(v *Vary, at string, names map[string]bool) {
	if v.Float != "" {
		c.named(at+"/float", "joint", v.Float, c.joints)
		if v.Law.Word == "" {
			c.wrong(at+"/law", v.Law.Kind, fault.ErrConflict, "uniform, rim, hang, rest or any, as text")
		}
		float := "/" + v.Float // names hold no slash
		if names[float] {
			c.wrong(at+"/float", strconv.Quote(v.Float), fault.ErrRepeated, "each joint's float once")
		}
		names[float] = true
		for _, key := range present(v, "at", "limits", "also") {
			c.wrong(at+"/"+key, key, fault.ErrConflict, "no "+key+" beside float: it is the joint's float that is drawn")
		}
		return
	}
	if v.Name == "" {
		c.wrong(at+"/name", "", fault.ErrMissing, "this key")
	} else if names[v.Name] {
		c.wrong(at+"/name", strconv.Quote(v.Name), fault.ErrRepeated, "each name once")
	}
	names[v.Name] = true
	c.pointers(&v.At, at+"/at")
	switch {
	case v.At.IsZero():
		c.wrong(at+"/at", "", fault.ErrMissing, "a pointer to a number, or a pair of them")
	case v.Law.Word != "":
		c.wrong(at+"/law", strconv.Quote(v.Law.Word), fault.ErrConflict, "a law such as {\"normal\": 0.01}")
	default:
		c.law(&v.Law, at+"/law", len(v.At.List) == 2, v.Limits != nil)
	}
	if v.Limits != nil {
		c.limits(&v.Law, at+"/limits", v.Limits[0], v.Limits[1])
	}
	for k := range v.Also {
		to := fmt.Sprintf("%s/also/%d/at", at, k)
		c.pointers(&v.Also[k].At, to)
		if len(v.Also[k].At.List) != len(v.At.List) {
			c.wrong(to, "", fault.ErrConflict, "as many pointers as in at")
		}
	}
}

// limits checks those of a source: in order, and none that would cut a disc or a ring, which are drawn whole.
func (c *studyCheck) limits(l *Law, at string, lowest, highest Number) {
	if lowest.Value > highest.Value {
		c.wrong(at, lowest.Text+" above "+highest.Text, fault.ErrConflict, "[lowest, highest]")
	}
	own, shift := l.numbers(l.Kind), append(l.numbers("shift"), 0, 0)
	if (l.Kind != "disc" && l.Kind != "ring") || len(own) == 0 {
		return
	}
	low, high := min(shift[0], shift[1])-own[0], max(shift[0], shift[1])+own[0]
	if scale := max(high, -low); exceeds(lowest.Value, low, scale) || exceeds(high, highest.Value, scale) {
		c.wrong(at, lowest.Text+" to "+highest.Text, fault.ErrConflict, "limits that leave the "+l.Kind+" whole: its radius bounds it")
	}
}

// pointers checks that pointers lead to numbers of the record.
func (c *studyCheck) pointers(p *Pointers, at string) {
	for i, to := range p.List {
		path := at
		if len(p.List) > 1 {
			path += "/" + strconv.Itoa(i)
		}
		if n := c.rec.number(to); n == nil || n.Text == "" {
			c.wrong(path, strconv.Quote(to), fault.ErrUnknownName, "a JSON Pointer (RFC 6901) to a number of this record")
		}
	}
}

func (c *studyCheck) accept(a *Accept, at string) {
	if a.Least != nil && a.Greatest != nil && a.Least.Value > a.Greatest.Value {
		c.wrong(at, a.Least.Text+" above "+a.Greatest.Text, fault.ErrConflict, "least at most greatest")
	}
	o, s := &a.Output, c.stack
	e, is := quantity.ByWord(o.Kind)
	if is { // else a fault of its own
		c.thing(o, &e, at+"/output")
	}
	if o.From != "" {
		c.named(at+"/output/from", "reference", o.From, namesOf(s.References, func(q *align.Reference) string { return q.Name }))
	}
	if o.State != "" {
		c.named(at+"/output/state", "state", o.State, namesOf(s.States, func(q *align.State) string { return q.Name }))
	}
}

// thing checks what an output is of.
func (c *studyCheck) thing(o *Output, e *quantity.Entry, at string) {
	s, kind := c.stack, strconv.Quote(o.Kind)
	switch {
	case e.Thing == quantity.Line && len(s.Shafts) == 0:
		c.wrong(at+"/kind", kind, fault.ErrMissing, "a record with shafts")
	case e.Thing == quantity.Line && o.Of != "":
		c.wrong(at+"/of", strconv.Quote(o.Of), fault.ErrConflict, "no of beside "+o.Kind+", which is of all shafts together")
	case e.Thing == quantity.Line, o.Of == "" && e.Measure == quantity.YesNo: // of every joint
	case o.Of == "":
		c.wrong(at+"/of", "", fault.ErrMissing, "the name of a "+e.Thing.String())
	default:
		_, known := s.Askable(e.What)
		c.named(at+"/of", e.Thing.String(), o.Of, slices.DeleteFunc(known, func(name string) bool { return name == "" }))
	}
	if e.Thing == quantity.Bore && len(s.References) == 0 && len(s.Shafts) == 0 {
		c.wrong(at+"/kind", kind, fault.ErrMissing, "a reference to measure it from")
	}
}

func namesOf[T any](list []T, name func(*T) string) (out []string) {
	for i := range list {
		out = append(out, name(&list[i]))
	}
	return out
}
