package align

import (
	"fmt"
	"reflect"

	"example.com/borestack/fault"
	"example.com/borestack/internal/ieee"
)

// Number refers to one number of a stack, so that it can be varied. The zero value refers to
// nothing and is rejected by [Stack.Compile].
type Number struct {
	find func(s *Stack) reflect.Value // a pointer
}

// NumberOf returns a reference to the number that find points at: a length or clearance
// (millimetres), an angle (radians), a temperature (°C) or a ratio, of those that the stack holds
// and, where they are optional, gives. find must point into the stack that it is given, and not
// change it; [Stack.Compile] calls it once, on a copy, and refuses what points elsewhere.
//
//	wedge := align.NumberOf(func(s *align.Stack) *float64 { return &s.Parts[1].Rear.Slope.X })
func NumberOf[T ~float64](find func(*Stack) *T) Number {
	if find == nil {
		return Number{}
	}
	return Number{func(s *Stack) reflect.Value { return reflect.ValueOf(find(s)) }}
}

// Move is a reference to one number and the gain with which a source's deviation is added to it,
// which is not 0.
type Move struct {
	Of   Number
	Gain float64
}

// Source is one source of deviation: everything that it moves, moves together; without moves it
// moves nothing. Deviations are in the base unit of what it moves, over the gain: millimetres,
// radians, degrees Celsius or ratios.
type Source struct {
	Name  string
	Moves []Move
}

// moved is one number that sources move: which one, counted as numbersOf lists them, and by which
// sources.
type moved struct {
	number int
	terms  []term
}

// term is a source and its gain.
type term struct {
	source int
	gain   float64
}

// resolveMoves finds what sources move in a stack, each number once, and adds every fault to c.
func resolveMoves(s Stack, sources []Source, c *checker) []moved {
	var out []moved
	own := s.Clone()
	at := map[uintptr]int{} // the numbers by their address in this copy, which nothing moves about
	for i, n := range numbersOf(&own) {
		at[n.Addr().Pointer()] = i
	}
	known := map[int]int{} // where in out
	for i := range sources {
		for k, m := range sources[i].Moves {
			place := fmt.Sprintf("/sources/%d/moves/%d", i, k)
			if m.Gain == 0 || !ieee.Finite(m.Gain) {
				c.add(fault.ErrOutOfRange, place+"/gain", fmt.Sprintf("%g of source %q", m.Gain, sources[i].Name), "a finite gain other than 0")
				continue
			}
			n, wrong := m.Of.in(&own, at)
			if wrong != nil {
				c.add(wrong.Err, place, fmt.Sprintf("source %q%s", sources[i].Name, wrong.Value), wrong.Want)
				continue
			}
			if _, is := known[n]; !is {
				known[n] = len(out)
				out = append(out, moved{number: n})
			}
			q := &out[known[n]]
			q.terms = append(q.terms, term{i, m.Gain})
		}
	}
	return out
}

// in finds the number in s, whose numbers have the addresses at. The fault lacks its place.
func (n Number) in(s *Stack, at map[uintptr]int) (index int, wrong *fault.FieldError) {
	if n.find == nil {
		return 0, &fault.FieldError{Want: "a number made by NumberOf", Err: fault.ErrMissing}
	}
	defer func() {
		if r := recover(); r != nil {
			wrong = &fault.FieldError{Value: fmt.Sprintf(": %v", r), Want: "a number that the stack has", Err: fault.ErrUnknownName}
		}
	}()
	p := n.find(s)
	if p.IsNil() {
		return 0, &fault.FieldError{Value: ": a nil pointer", Want: "a number that the stack has", Err: fault.ErrMissing}
	}
	index, own := at[p.Pointer()]
	if !own {
		return 0, &fault.FieldError{Value: ": not a number of the stack that its function is given, or one that is not given there", Want: "a pointer into that stack, to a number that is given", Err: fault.ErrUnknownName}
	}
	return index, nil
}

// numbersOf lists every number of a stack, in an order that its shape alone decides. Optional
// numbers that are not given are none.
func numbersOf(s *Stack) []reflect.Value { return numbersIn(reflect.ValueOf(s).Elem(), nil) }

// numbersIn appends the numbers of a value.
func numbersIn(v reflect.Value, list []reflect.Value) []reflect.Value {
	s := shapes[v.Type()]
	if s == nil { // nothing of a stack
		s = shapeOf(v.Type(), map[reflect.Type]*shape{})
	}
	s.visit(v, nil, func(_ []byte, n reflect.Value) { list = append(list, n) })
	return list
}

// slot is one number that some sources move.
type slot struct {
	number  reflect.Value
	nominal float64
	terms   []term
}

// set makes the number its nominal value plus a deviation.
func (s *slot) set(deviation float64) { s.number.SetFloat(s.nominal + deviation) }
