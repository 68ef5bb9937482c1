package align

// Number refers to one number of a stack, so that it can be varied. The zero value refers to nothing and is rejected by [Stack.Compile].
type Number struct {
	add func(s *Stack, deviation float64)
}

// NumberOf returns a reference to the number that find points at: a length or clearance (millimetres), an angle (radians), a temperature (°C) or a ratio.
//
//	wedge := align.NumberOf(func(s *align.Stack) *float64 { return &s.Parts[1].Rear.Slope.X })
func NumberOf[T ~float64](find func(*Stack) *T) Number {
	return Number{func(s *Stack, deviation float64) { *find(s) += T(deviation) }}
}

// Move is a reference to one number and the gain with which a source's deviation is added to it.
type Move struct {
	Of   Number
	Gain float64
}

// Source is one source of deviation: everything that it moves, moves together.
type Source struct {
	Name  string
	Moves []Move
}
