package align

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"

	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// Bounds on a stack. Real machines stay far below; they keep a hostile record from taking for ever.
const (
	maxParts      = 40
	maxShafts     = 20
	maxSupports   = 100
	maxPockets    = 40
	maxPins       = 64 // a joint; bolts likewise
	maxReadings   = 2000
	maxPoints     = 20000
	maxCandidates = 100
	maxStates     = 20
	maxChains     = 200 // and links in each
	maxSections   = 100 // of a shaft, and loads on it
	maxListed     = 200 // faults listed by one check
)

// checker collects faults with their places.
type checker struct {
	faults []error
	broken map[int]bool // parts with faults of their own
}

func (c *checker) add(class error, path, value, want string) {
	if len(c.faults) < maxListed {
		c.faults = append(c.faults, &fault.FieldError{Path: path, Value: value, Want: want, Err: class})
	}
}

// finite and in range, or a fault.
func (c *checker) length(path string, v tolerance.Length) bool {
	switch {
	case math.IsNaN(float64(v)) || math.IsInf(float64(v), 0):
		c.add(fault.ErrNotFinite, path, fmt.Sprint(float64(v)), "a finite length")
	case math.Abs(v.Metres()) > 100:
		c.add(fault.ErrOutOfRange, path, v.String(), "a size of at most 100 m")
	default:
		return true
	}
	return false
}

func (c *checker) positive(path string, v tolerance.Length) {
	if c.length(path, v) && v <= 0 {
		c.add(fault.ErrOutOfRange, path, v.String(), "more than 0")
	}
}

func (c *checker) notNegative(path string, v tolerance.Length) {
	if c.length(path, v) && v < 0 {
		c.add(fault.ErrOutOfRange, path, v.String(), "0 or more")
	}
}

// steepest is the greatest slope, a ratio, that a face or an axis may have: no such part is turned or bored.
const steepest = 10

func (c *checker) ratio(path string, v float64) {
	if math.IsNaN(v) || math.Abs(v) > steepest {
		c.add(fault.ErrOutOfRange, path, fmt.Sprint(v), fmt.Sprintf("a slope as a ratio, at most %v", steepest))
	}
}

func (c *checker) finite(path string, v float64) {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		c.add(fault.ErrNotFinite, path, fmt.Sprint(v), "a finite number")
	}
}

// choice checks one of a few named values, counted from 0.
func (c *checker) choice(path string, got, most uint8, want string) {
	if got > most {
		c.add(fault.ErrOutOfRange, path, fmt.Sprint(got), want)
	}
}

func (c *checker) slope(path string, s Slope) {
	c.ratio(path+"/0", s.X)
	c.ratio(path+"/1", s.Y)
}

func (c *checker) vec2(path string, v Vec2) {
	c.length(path+"/0", v.X)
	c.length(path+"/1", v.Y)
}

func (c *checker) vec3(path string, v Vec3) {
	c.length(path+"/0", v.X)
	c.length(path+"/1", v.Y)
	c.length(path+"/2", v.Z)
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
