package fits

import "example.com/borestack/tolerance"

// Clearance is the range of a clearance, bore less shaft on diameters. Negative is interference.
// The zero value is size for size.
type Clearance struct {
	Least, Greatest tolerance.Diametral
}

// Kind is what a fit can be.
type Kind uint8

// The kinds of fit; the zero value is no fit.
const (
	noFit           Kind = iota
	ClearanceFit         // never tighter than size for size
	TransitionFit        // loose or tight, as the parts happen to come
	InterferenceFit      // never looser than size for size
)

// String returns "no fit", "clearance", "transition" or "interference".
func (k Kind) String() string {
	if names := [...]string{"no fit", "clearance", "transition", "interference"}; int(k) < len(names) {
		return names[k]
	}
	return "no fit"
}

// kind is what fit the range is. A least clearance of zero is still a clearance fit, a
// greatest of zero an interference fit.
//
// Source: ISO 286-1:2010, 3.4 (from memory).
func (c Clearance) kind() Kind {
	switch {
	case c.Least > c.Greatest:
		return noFit
	case c.Least >= 0:
		return ClearanceFit
	case c.Greatest <= 0:
		return InterferenceFit
	}
	return TransitionFit
}

// Interference returns the range as interferences, the least first. A negative one is a clearance.
func (c Clearance) Interference() (least, greatest Interference) {
	return Interference(0 - c.Greatest), Interference(0 - c.Least) // 0 - x: no negative zero
}

// Interference is how much larger a shaft is than the bore it goes into, on diameters at 20 °C: a
// negative clearance, as a type of its own so that the sign cannot be mistaken. Base millimetre;
// the zero value is size for size, and a negative one is a clearance.
type Interference float64

// String says what it is: "0.035 mm interference".
func (i Interference) String() string { return tolerance.Length(i).String() + " interference" }
