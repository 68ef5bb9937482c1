package align

// Number refers to one number of a stack, so that it can be varied. The zero value refers to nothing and is rejected by [Stack.Compile].
type Number struct {
	bind func(s *Stack) binding
}

// binding is a number found in one stack: where it is, and how to set it to its nominal value plus a deviation.
type binding struct {
	at  any // the pointer, which tells one number from another
	set func(deviation float64)
}

// NumberOf returns a reference to the number that find points at: a length or clearance (millimetres), an angle (radians), a temperature (°C) or a ratio. find must point into the stack that it is given.
//
//	wedge := align.NumberOf(func(s *align.Stack) *float64 { return &s.Parts[1].Rear.Slope.X })
func NumberOf[T ~float64](find func(*Stack) *T) Number {
	return Number{func(s *Stack) binding {
		p := find(s)
		nominal := *p
		return binding{p, func(deviation float64) { *p = nominal + T(deviation) }}
	}}
}

// Move is a reference to one number and the gain with which a source's deviation is added to it.
type Move struct {
	Of   Number
	Gain float64
}

// Source is one source of deviation: everything that it moves, moves together. Deviations are in the base unit of what it moves, over the gain: millimetres, radians, degrees Celsius or ratios.
type Source struct {
	Name  string
	Moves []Move
}
