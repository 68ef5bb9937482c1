package align

import (
	"fmt"
	"maps"
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
	maxParts      = 40
	maxShafts     = 20
	maxSupports   = 100
	maxTogether   = 32   // circles of one shaft, and of those that run in each other's ends: a support, a pocket, each mouth of a bush
	maxOverFloats = 2000 // circles times what bounds the floats of joints that lie anywhere: a second or two of Solve
	maxPockets    = 40
	maxCandidates = 1000
	maxTried      = 4_000_000 // candidates times readings and points of the stack, which each is checked with
	maxStates     = 20
	maxChains     = 200        // and links in each
	maxPairs      = 20_000_000 // of a station on one face and one on the other, all joints and candidates: every one is tried
	maxListed     = 200        // faults listed by one check
)

// checker collects faults with their places.
type checker struct {
	faults []error
	broken map[int]bool // parts with faults of their own
	at     []byte       // path of the value that is looked at
	shapes map[reflect.Type]*shape
}

func (c *checker) add(class error, path, value, want string) {
	if len(c.faults) < maxListed {
		c.faults = append(c.faults, &fault.FieldError{Path: path, Value: value, Want: want, Err: class})
	}
}

// name checks one name, and that it is new.
func (c *checker) name(path, name string, seen map[string]bool) {
	switch {
	case name == "" || strings.TrimSpace(name) != name || strings.Contains(name, "/"):
		c.add(fault.ErrOutOfRange, path, strconv.Quote(name), "a name, not empty, without \"/\" or spaces at its ends")
	case seen[name]:
		c.add(fault.ErrRepeated, path, strconv.Quote(name), "each name once")
	}
	seen[name] = true
}

// nameSet holds the names of a list.
func nameSet[T any](list []T, name func(*T) string) map[string]bool {
	set := map[string]bool{}
	for _, n := range namesOf(list, name) {
		set[n] = true
	}
	return set
}

// known checks that a name is one of a kind.
func (c *checker) known(path, kind, name string, known map[string]bool) bool {
	if known[name] {
		return true
	}
	want := "the name of a " + kind
	if near, ok := tolerance.Nearest(name, slices.Sorted(maps.Keys(known))); ok {
		want = fmt.Sprintf("the name of a %s: perhaps %q", kind, near)
	}
	c.add(fault.ErrUnknownName, path, strconv.Quote(name), want)
	return false
}

func (c *checker) atMost(path string, n, most int) bool {
	if n > most {
		c.add(fault.ErrTooMany, path, strconv.Itoa(n), fmt.Sprintf("at most %d", most))
	}
	return n <= most
}

// warm checks that away from 20 °C a material is given.
func (c *checker) warm(path string, t tolerance.Optional[tolerance.Celsius], material bool) {
	if !t.Given {
		return
	}
	v := float64(t.Value)
	switch {
	case math.IsNaN(v) || v < -273.15 || v > 2000:
		c.add(fault.ErrOutOfRange, path, fmt.Sprint(v), "a temperature in °C from -273.15 to 2000")
	case t.Value != tolerance.Reference && !material:
		c.add(fault.ErrMissing, path, fmt.Sprintf("%v", v), "a material beside a temperature other than 20 °C")
	}
}

// wanted is what is wanted of a number: an interval, and how it is said. Of a length, only whether
// it must be positive counts.
type wanted struct {
	low, high float64
	open      [2]bool // an end is not within
	positive  bool
	says      string
}

// shape is what is looked at in a structure.
type shape struct {
	optional bool // it is a value, and whether it is given
	named    int  // its field "Name"; -1: none
	fields   []shapeField
}

type shapeField struct {
	index int
	key   string // as in a path; empty: its fields are those of the structure
	want  *wanted
	most  int // of a list; 0: any number
}
