package fits

import (
	"fmt"
	"strconv"
	"strings"

	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// Fit is a hole and a shaft of one nominal size, such as 72 H7/k6. The zero value is not a fit and
// is refused.
type Fit struct {
	Size  tolerance.Length
	Hole  Class
	Shaft Class
}

// Mating is a hole and its shaft by their limit deviations, and what comes of them. The zero value
// is size for size.
type Mating struct {
	Hole, Shaft Deviations
	Clearance   Clearance
	Kind        Kind
}

// cutSize takes the size from the front of a fit, a sign of diameter before it and a unit behind it left out.
func cutSize(s string) (number, rest string) {
	s = strings.TrimSpace(s)
	for _, sign := range []string{"ø", "Ø", "⌀"} {
		if after, has := strings.CutPrefix(s, sign); has {
			s = after
			break
		}
	}
	s = strings.TrimSpace(s)
	rest = strings.TrimLeft(s, ".0123456789")
	number = s[:len(s)-len(rest)]
	rest = strings.TrimSpace(rest)
	return number, strings.TrimPrefix(rest, "mm")
}

// ParseFit reads a fit in millimetres: "72 H7/k6", "72H7/k6", "ø72 mm H7/k6". The hole comes first.
func ParseFit(s string) (Fit, error) {
	want := "the nominal size in mm and two classes, the hole first, such as \"72 H7/k6\""
	number, classes := cutSize(s)
	holeText, shaftText, both := strings.Cut(classes, "/")
	size, err := strconv.ParseFloat(number, 64)
	if !both || err != nil || strings.HasPrefix(classes, ",") {
		if number != "" && strings.HasPrefix(classes, ",") {
			want = "a decimal point, not a comma: " + want
		}
		return Fit{}, fault.At("fit", strconv.Quote(s), want, fault.ErrSyntax)
	}
	hole, err := ParseClass(holeText)
	if err != nil {
		return Fit{}, fmt.Errorf("fits: %q: hole: %w", s, err)
	}
	shaft, err := ParseClass(shaftText)
	if err != nil {
		return Fit{}, fmt.Errorf("fits: %q: shaft: %w", s, err)
	}
	f := Fit{tolerance.Length(size), hole, shaft}
	if _, err := f.Limits(); err != nil {
		return Fit{}, err
	}
	return f, nil
}

// Limits returns the limit deviations of hole and shaft, and the clearance between them. It refuses classes that the
// tables do not carry, two holes or two shafts, and sizes beyond the tables.
//
//	greatest clearance = ES - ei    least clearance = EI - es    (negative: interference)
//
// Source: ISO 286-1:2010, 3.3 and 3.4 (from memory).
func (f Fit) Limits() (Mating, error) {
	hole, err := f.Hole.interval(f.Size)
	if err != nil {
		return Mating{}, err
	}
	shaft, err := f.Shaft.interval(f.Size)
	switch {
	case err != nil:
		return Mating{}, err
	case !f.Hole.hole():
		return Mating{}, fault.At("hole", f.Hole.String(), "a class of holes, in capitals, before the slash", fault.ErrConflict)
	case f.Shaft.hole():
		return Mating{}, fault.At("shaft", f.Shaft.String(), "a class of shafts, in small letters, after the slash", fault.ErrConflict)
	}
	return between(hole, shaft), nil
}

// between subtracts in micrometres, where whole and half numbers are exact, and converts once.
func between(hole, shaft interval) Mating {
	c := Clearance{
		Least:    tolerance.Diametral(micrometres(hole.lower - shaft.upper)),
		Greatest: tolerance.Diametral(micrometres(hole.upper - shaft.lower)),
	}
	return Mating{hole.deviations(), shaft.deviations(), c, c.kind()}
}

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
