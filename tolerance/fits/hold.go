package fits

import (
	"fmt"
	"math"

	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// Hold is what friction at an interface carries before it slips: one or the other, not both at once. The zero value holds nothing.
type Hold struct {
	Force  float64 // along the axis, N
	Torque float64 // N·m
}

// Hold returns what the interface holds by friction over a length of seat: force μ p π d l and torque force × d/2. An open interface holds nothing.
//
// Source: hand calculation: friction μ on the pressure p over the area π d l.
func (i Interface) Hold(friction float64, length tolerance.Length) (Hold, error) {
	if err := positive("friction", friction, "", "a coefficient of friction, 0 or more"); err != nil {
		return Hold{}, err
	}
	if err := positive("length", length.Millimetres(), " mm", "the length of the seat, 0 or more"); err != nil {
		return Hold{}, err
	}
	d := i.Diameter.Millimetres()
	force := friction * i.Pressure * math.Pi * d * length.Millimetres()
	return Hold{Force: force, Torque: force * d / 2 / 1000}, nil
}

func positive(path string, v float64, unit, want string) error {
	switch {
	case !finite(v):
		return fault.At(path, fmt.Sprint(v)+unit, want, fault.ErrNotFinite)
	case v < 0:
		return fault.At(path, fmt.Sprint(v)+unit, want, fault.ErrOutOfRange)
	}
	return nil
}
