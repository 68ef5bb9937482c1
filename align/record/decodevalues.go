package record

import (
	"fmt"
	"math"
	"reflect"
	"strconv"
	"strings"

	"example.com/borestack/align/internal/spell"
	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// Bounds on the shapes of laws: beyond them moments overflow, or no process looks like that.
const (
	leastShape     = 0.1
	greatestShape  = 1e6
	greatestSpread = 5.0
)

// decodeNode reads a number and holds it against its rule.
func (x *Number) decodeNode(d *decoder, n *node, path, rule string) {
	if n.kind != isNumber {
		d.fault(path, n, errWrongType, "a number"+spell.If(n.kind == isString, " without quotes, with a decimal point"))
		*x = Num(1) // any: the record is refused
		return
	}
	v, err := strconv.ParseFloat(n.text, 64)
	*x = Number{n.text, v}
	if err != nil || math.IsInf(v, 0) {
		d.fault(path, n, fault.ErrNotFinite, "a finite number")
		*x = Num(1)
		return
	}
	for _, r := range strings.Split(rule, ",") {
		unit := d.lengthUnit
		if r == "reading" {
			unit = d.blockUnit
		}
		if k, known := d.rules[r]; known && !k.holds(v, float64(unit)) {
			d.fault(path, n, fault.ErrOutOfRange, k.want)
			return
		}
	}
}

// numberRule is what a word of a field's rule asks of a number: a length comes with its unit in
// millimetres.
type numberRule struct {
	want  string
	holds func(v, unit float64) bool
}

// numberRules are the rules that numbers keep, by the word in the field tags.
func numberRules() map[string]numberRule {
	within := func(want string, least, most float64) numberRule {
		return numberRule{want, func(v, _ float64) bool { return v >= least && v <= most }}
	}
	above := func(want string, least float64) numberRule {
		return numberRule{want, func(v, _ float64) bool { return v > least }}
	}
	whole := func(want string, least, most float64) numberRule {
		return numberRule{want, func(v, _ float64) bool { return v >= least && v <= most && v == math.Trunc(v) }}
	}
	length := numberRule{"a size of at most 100 m", func(v, unit float64) bool { return math.Abs(v)*unit <= maxLength }}
	return map[string]numberRule{
		"length": length, "reading": length,
		"abovezero":   above("more than 0", 0),
		"notnegative": within("0 or more", 0, math.Inf(1)),
		"angle":       within("an angle in degrees, at most ten turns", -3600, 3600),
		"celsius":     within("a temperature in °C from -273.15 to 2000", -273.15, 2000),
		"slope":       within("a slope as a ratio, at most 10", -10, 10),
		"share":       within("a share from 0 to 1", 0, 1),
		"correlation": within("a correlation from -1 to 1", -1, 1),
		"abovetwo":    above("more than 2: with fewer degrees of freedom there is no standard deviation", 2),
		"shape":       within(fmt.Sprintf("a shape from %g to %g", leastShape, greatestShape), leastShape, greatestShape),
		"spread":      within(fmt.Sprintf("a standard deviation of the logarithm from 0 to %g", greatestSpread), 0, greatestSpread),
		"expansion":   within("an expansion in 1/K, such as 11.5e-6", -1e-3, 1e-3), // nothing that machines are made of expands more
		"poisson":     {"less than 0.5", func(v, _ float64) bool { return v < 0.5 }},
		"holes":       whole(fmt.Sprintf("%d to %d equal steps in a turn", leastHoles, mostHoles), leastHoles, mostHoles),
		"pairs":       whole(fmt.Sprintf("0 to %d corrections, tried with a second", mostPairs), 0, mostPairs),
		"clockstep":   within(fmt.Sprintf("%g to %d degrees", finestClock, coarsestClock), finestClock, coarsestClock),
		"ratio":       within("a number of at most 1e12", -1e12, 1e12),
	}
}

// decodeNode reads null, a number, or a list of repeats.
func (x *Reading) decodeNode(d *decoder, n *node, path, rule string) {
	switch n.kind {
	case isNull:
	case isArray:
		x.List = true
		if len(n.vals) == 0 {
			d.fault(path, n, fault.ErrMissing, "at least one repeat, or null")
		}
		x.Repeats = make([]Number, len(n.vals))
		for i, c := range n.vals {
			x.Repeats[i].decodeNode(d, c, path+"/"+strconv.Itoa(i), rule)
		}
	case isNumber:
		x.Repeats = make([]Number, 1)
		x.Repeats[0].decodeNode(d, n, path, rule)
	default:
		d.fault(path, n, errWrongType, "a number, a list of repeats, or null")
	}
}

// decodeNode reads one pointer or two.
func (x *Pointers) decodeNode(d *decoder, n *node, path, _ string) {
	one := func(n *node, path string) {
		if n.kind != isString {
			d.fault(path, n, errWrongType, "a JSON Pointer in double quotes")
			return
		}
		x.List = append(x.List, n.text)
	}
	if n.kind != isArray {
		one(n, path)
		return
	}
	if len(n.vals) != 2 {
		d.fault(path, n, fault.ErrOutOfRange, "one pointer or a list of two")
		return
	}
	for i, c := range n.vals {
		one(c, path+"/"+strconv.Itoa(i))
	}
}

// decodeNode reads a name from the table or numbers.
func (x *Material) decodeNode(d *decoder, n *node, path, _ string) {
	if n.kind == isString {
		x.Name = n.text
		if _, err := tolerance.MaterialNamed(n.text); err != nil {
			_, want, _ := strings.Cut(err.Error(), "want ")
			d.fault(path, n, fault.ErrUnknownName, want)
		}
		return
	}
	if n.kind != isObject {
		d.fault(path, n, errWrongType, "a material's name, or an object with \"expansion\"")
		return
	}
	d.object(reflect.ValueOf(x).Elem(), n, path)
}

// decodeNode reads an object whose keys are names.
func (x *Named[T]) decodeNode(d *decoder, n *node, path, rule string) {
	if n.kind != isObject {
		d.fault(path, n, errWrongType, "an object whose keys are names")
		return
	}
	seen := make(map[string]bool, len(n.keys))
	for i, key := range n.keys {
		at := path + step(key)
		if seen[key] {
			d.fault(at, n.vals[i], fault.ErrRepeated, "each name once")
			continue
		}
		seen[key] = true
		e := Entry[T]{Name: key}
		d.value(reflect.ValueOf(&e.Value).Elem(), n.vals[i], at, rule)
		*x = append(*x, e)
	}
}
