package fits

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
	"unicode"

	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// ErrUnknownClass is the class of faults of a tolerance class that the tables do not carry.
var ErrUnknownClass = errors.New("unknown class")

// Class is a tolerance class of ISO 286, such as H7 or k6: the letter places the tolerance
// interval, the grade says how wide it is. Capital letters are holes, small ones shafts. The zero
// value is not a class and is refused.
//
// The tables here reach grades 4 to 11 and the letters that fits in machines use: d e f g h j js k
// m n p r s for shafts and the same in capitals for holes.
type Class struct {
	Letter string
	Grade  int
}

// Deviations are the limit deviations of a size: what may be added to the nominal size at the least
// and at the most. Each is the float64 nearest its decimal value. The zero value allows no
// deviation.
type Deviations struct {
	Lower, Upper tolerance.Length
}

// Width returns the upper less the lower limit deviation: the tolerance.
func (d Deviations) Width() tolerance.Length {
	return d.Upper - d.Lower
}

// ParseClass reads a class such as "H7" or "js6". It returns fault.ErrSyntax for what is no class
// at all and ErrUnknownClass for one that the tables here do not carry, naming those that they do.
func ParseClass(s string) (Class, error) {
	t := strings.TrimSpace(s)
	end := strings.IndexFunc(t, func(r rune) bool { return !unicode.IsLetter(r) })
	if end < 1 || end == len(t) || strings.Trim(t[end:], "0123456789") != "" {
		return Class{}, fault.At("class", strconv.Quote(s), "a letter and a grade, such as \"H7\" or \"k6\"", fault.ErrSyntax)
	}
	grade, err := strconv.Atoi(t[end:])
	if err != nil {
		return Class{}, fault.At("class", strconv.Quote(s), fmt.Sprintf("a grade from %d to %d", leastGrade, greatestGrade), fault.ErrSyntax)
	}
	c := Class{t[:end], grade}
	if err := c.validate(); err != nil {
		return Class{}, err
	}
	return c, nil
}

// validate returns ErrUnknownClass for a class that the tables do not carry, naming those that they
// do.
func (c Class) validate() error {
	least, greatest, known := grades(c.Letter)
	if known && c.Grade >= least && c.Grade <= greatest {
		return nil
	}
	want := "the letters carried here, d, e, f, g, h, j, js, k, m, n, p, r, s for shafts or the same in capitals for holes"
	if known {
		want = fmt.Sprintf("%s%d to %s%d", c.Letter, least, c.Letter, greatest)
	}
	return fault.At("class", strconv.Quote(c.String()), want, ErrUnknownClass)
}

// hole reports whether c is a class of holes.
func (c Class) hole() bool { return c.Letter != "" && unicode.IsUpper(rune(c.Letter[0])) }

// String returns the class as drawings write it: "H7".
func (c Class) String() string { return c.Letter + strconv.Itoa(c.Grade) }

// At returns the limit deviations of c at a nominal size over 0 up to and including 500 mm. js and
// JS lie at half the standard tolerance on either side, half micrometres kept.
//
// Source: ISO 286-1:2010, Tables 1 to 5; ISO 286-2:2010. What is from memory stands with the tables
// (grade.go).
func (c Class) At(size tolerance.Length) (Deviations, error) {
	in, err := c.interval(size)
	if err != nil {
		return Deviations{}, err
	}
	return in.deviations(), nil
}

func (c Class) interval(size tolerance.Length) (interval, error) {
	if err := c.validate(); err != nil {
		return interval{}, err
	}
	mm := size.Millimetres()
	if err := outside("size", mm, 0, greatestSize, isoSizes); err != nil {
		return interval{}, err
	}
	if c.hole() {
		return holeInterval(c.Letter, c.Grade, mm), nil
	}
	return shaftInterval(c.Letter, c.Grade, mm), nil
}

// deviations are the interval's ends.
func (in interval) deviations() Deviations {
	return Deviations{micrometres(in.lower), micrometres(in.upper)}
}
