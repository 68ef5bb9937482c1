package record

import (
	"fmt"
	"math"
	"reflect"
	"strconv"
	"strings"

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
		d.fault(path, n, errWrongType, "a number")
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
	bad := func(want string) {
		d.fault(path, n, fault.ErrOutOfRange, want)
	}
	for _, r := range strings.Split(rule, ",") {
		switch r {
		case "length", "positive", "reading":
			unit := d.lengthUnit
			if r == "reading" {
				unit = d.blockUnit
			}
			if math.Abs(v)*float64(unit) > maxLength {
				bad("a size of at most 100 m")
				return
			}
			if r == "positive" && !(v > 0) {
				bad("more than 0")
				return
			}
		case "abovezero":
			if !(v > 0) {
				bad("more than 0")
				return
			}
		case "notnegative":
			if v < 0 {
				bad("0 or more")
				return
			}
		case "angle":
			if math.Abs(v) > 3600 {
				bad("an angle in degrees, at most ten turns")
				return
			}
		case "celsius":
			if v < -273.15 || v > 2000 {
				bad("a temperature in °C from -273.15 to 2000")
				return
			}
		case "slope":
			if math.Abs(v) > 10 {
				bad("a slope as a ratio, at most 10")
				return
			}
		case "share":
			if !(v >= 0 && v <= 1) {
				bad("a share from 0 to 1")
				return
			}
		case "correlation":
			if !(v >= -1 && v <= 1) {
				bad("a correlation from -1 to 1")
				return
			}
		case "abovetwo":
			if !(v > 2) {
				bad("more than 2: with fewer degrees of freedom there is no standard deviation")
				return
			}
		case "shape":
			if !(v >= leastShape && v <= greatestShape) {
				bad(fmt.Sprintf("a shape from %g to %g", leastShape, greatestShape))
				return
			}
		case "spread":
			if !(v >= 0 && v <= greatestSpread) {
				bad(fmt.Sprintf("a standard deviation of the logarithm from 0 to %g", greatestSpread))
				return
			}
		case "ratio":
			if math.Abs(v) > 1e12 {
				bad("a number of at most 1e12")
				return
			}
		}
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
	const most = 1e-3 // 1/K: nothing that machines are made of expands more
	if math.Abs(x.Expansion.Value) > most {
		d.fault(path+"/expansion", &node{kind: isNumber, text: x.Expansion.Text}, fault.ErrOutOfRange, "an expansion in 1/K, such as 11.5e-6")
	}
	if x.Poisson != nil && x.Poisson.Value >= 0.5 {
		d.fault(path+"/poisson", &node{kind: isNumber, text: x.Poisson.Text}, fault.ErrOutOfRange, "less than 0.5")
	}
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
