package align

import (
	"fmt"
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// Bounds on a stack; those of one list stand in its tag in stack.go. Real machines stay far below;
// they keep a hostile record from taking for ever.
const (
	maxSupports   = 100
	maxTogether   = 32   // circles of one shaft, and of those that run in each other's ends: a support, a pocket, each mouth of a bush
	maxOverFloats = 2000 // circles times what bounds the floats of joints that lie anywhere: a second or two of Solve
	maxCandidates = 1000
	maxTried      = 4_000_000  // candidates times readings and points of the stack, which each is checked with
	maxPairs      = 20_000_000 // of a station on one face and one on the other, all joints and candidates: every one is tried
	maxListed     = 200        // faults listed by one check
)

// checker collects faults with their places.
type checker struct {
	faults  []error
	at      []byte         // path of what is looked at
	mounted []*mountedPart // the parts as mounted; nil: not looked at yet, or faulty
	only    int            // the one part that has not been checked before; -1: none has
}

// add notes a fault below what is looked at.
func (c *checker) add(class error, below, value, want string) {
	if len(c.faults) < maxListed {
		c.faults = append(c.faults, &fault.FieldError{Path: string(c.at) + below, Value: value, Want: want, Err: class})
	}
}

// refuse notes a fault where something is bad: what would be right, and the value as it is formatted.
func (c *checker) refuse(bad bool, class error, below, want, value string, of ...any) {
	if bad {
		c.add(class, below, fmt.Sprintf(value, of...), want)
	}
}

// below looks at something below.
func (c *checker) below(key string, look func()) {
	before := len(c.at)
	c.at = append(c.at, key...)
	look()
	c.at = c.at[:before]
}

// each looks at the n elements of a list below.
func (c *checker) each(key string, n int, look func(i int)) {
	before := len(c.at)
	for i := range n {
		c.at = strconv.AppendInt(append(append(c.at[:before], key...), '/'), int64(i), 10)
		look(i)
	}
	c.at = c.at[:before]
}

// named looks at every element of a list of structures with names: its name and its numbers first.
func named[T any](c *checker, key string, list []T, look func(i int, q *T)) {
	seen := map[string]bool{}
	c.each(key, len(list), func(i int) {
		v := reflect.ValueOf(&list[i]).Elem()
		s := shapes[v.Type()]
		c.name("/name", v.Field(s.named).String(), seen)
		if c.value(v, s, nil) {
			look(i, &list[i])
		}
	})
}

// name checks one name, and that it is new.
func (c *checker) name(below, name string, seen map[string]bool) {
	switch {
	case name == "" || strings.TrimSpace(name) != name || strings.Contains(name, "/"):
		c.add(fault.ErrOutOfRange, below, strconv.Quote(name), "a name, not empty, without \"/\" or spaces at its ends")
	case seen[name]:
		c.add(fault.ErrRepeated, below, strconv.Quote(name), "each name once")
	}
	seen[name] = true
}

// known checks that a name is one of a kind.
func (c *checker) known(below, kind, name string, known []string) bool {
	if slices.Contains(known, name) {
		return true
	}
	want := "the name of a " + kind
	if near, ok := tolerance.Nearest(name, slices.Sorted(slices.Values(known))); ok {
		want = fmt.Sprintf("the name of a %s: perhaps %q", kind, near)
	}
	c.add(fault.ErrUnknownName, below, strconv.Quote(name), want)
	return false
}

func (c *checker) atMost(below string, n, most int) bool {
	if n > most {
		c.add(fault.ErrTooMany, below, strconv.Itoa(n), fmt.Sprintf("at most %d", most))
	}
	return n <= most
}

// warm checks that away from 20 °C a material is given.
func (c *checker) warm(below string, t tolerance.Optional[tolerance.Celsius], material bool) {
	if !t.Given {
		return
	}
	v := float64(t.Value)
	switch {
	case math.IsNaN(v) || v < -273.15 || v > 2000:
		c.add(fault.ErrOutOfRange, below, fmt.Sprint(v), "a temperature in °C from -273.15 to 2000")
	case t.Value != tolerance.Reference && !material:
		c.add(fault.ErrMissing, below, fmt.Sprintf("%v", v), "a material beside a temperature other than 20 °C")
	}
}

// oneOf counts how many of several ways are taken.
func oneOf(ways ...bool) (n int) {
	for _, w := range ways {
		if w {
			n++
		}
	}
	return n
}

// escaped is a name as a JSON Pointer has it.
func escaped(name string) string {
	return strings.ReplaceAll(strings.ReplaceAll(name, "~", "~0"), "/", "~1")
}
