package tolerance

import (
	"fmt"
	"math"
	"strconv"

	"example.com/borestack/fault"
)

// Certificate is a calibration certificate's expanded uncertainty of a gauge or master. What the certificate finds the gauge to be out by is corrected beforehand. The uncertainty that a maker permits is not a certificate: use [Bounded].
//
// The standard uncertainty is Expanded/K.
//
// Source: JCGM 100:2008, 4.3.3.
type Certificate struct {
	Name             string
	Expanded         Length
	K                float64           // the certificate's coverage factor
	DegreesOfFreedom Optional[float64] // when the certificate gives them
	Acts             Scope             // OnAll for a setting master; OnEach for errors that change along a scale
}

func (s Certificate) label() string { return s.Name }

func (s Certificate) contribute(c *budgetCheck) ([]Contribution, Length) {
	c.length("/expanded", s.Expanded)
	if s.K == 0 {
		c.add("/k", "", fault.ErrMissing, "the certificate's coverage factor, often 2")
	} else {
		const most = 1000 // Student's factors for one degree of freedom stay below
		c.between("/k", s.K, 1, most, "")
	}
	c.degrees(s.DegreesOfFreedom)
	c.acts(s.Acts)
	basis := fmt.Sprintf("certificate: %v expanded, k = %v", s.Expanded, s.K)
	return []Contribution{{Name: s.Name, Basis: basis, Standard: s.Expanded / Length(s.K), DegreesOfFreedom: s.DegreesOfFreedom, Acts: s.Acts}}, 0
}

// Resolution is the step of a scale or display, to which each reading is rounded. The error is rectangular within half a step; the standard uncertainty is Step/√12.
//
// Source: JCGM 100:2008, F.2.2.1.
type Resolution struct {
	Name string
	Step Length
}

func (s Resolution) label() string { return s.Name }

func (s Resolution) contribute(c *budgetCheck) ([]Contribution, Length) {
	c.more("/step", s.Step, "the step of the scale or display")
	basis := fmt.Sprintf("resolution: rectangular within half a step of %v", s.Step)
	return []Contribution{{Name: s.Name, Basis: basis, Standard: s.Step / Length(math.Sqrt(12)), Acts: OnEach}}, 0
}

// Repeatability is how readings of one station scatter. The standard uncertainty is their sample standard deviation s/√Averaged, with one degree of freedom less than readings. A record averages the repeats of a station itself: leave Averaged out for it.
//
// Source: JCGM 100:2008, 4.2.2 and 4.2.3.
type Repeatability struct {
	Name     string
	Readings []Length // of one station, two or more
	Averaged int      // how many readings the reported one is the mean of; 0 counts as 1
}

func (s Repeatability) label() string { return s.Name }

func (s Repeatability) contribute(c *budgetCheck) ([]Contribution, Length) {
	n := len(s.Readings)
	if n < 2 {
		c.add("/readings", fmt.Sprintf("a list of %d", n), fault.ErrMissing, "two or more readings of one station; ten are usual")
	}
	if s.Averaged < 0 {
		c.add("/averaged", strconv.Itoa(s.Averaged), fault.ErrOutOfRange, "1 or more, or 0 for 1")
	}
	for i, v := range s.Readings {
		c.between("/readings/"+strconv.Itoa(i), float64(v), -longest, longest, " mm")
	}
	if n < 2 || s.Averaged < 0 {
		return nil, 0
	}
	m := max(s.Averaged, 1)
	scatter := sampleDeviation(s.Readings)
	basis := fmt.Sprintf("repeatability: s = %v of %d readings, mean of %d", Length(scatter), n, m)
	return []Contribution{{
		Name: s.Name, Basis: basis, Standard: Length(scatter / math.Sqrt(float64(m))),
		DegreesOfFreedom: Given(float64(n - 1)), Acts: OnEach,
	}}, 0
}

// sampleDeviation is the sample standard deviation of two or more readings, in mm.
func sampleDeviation(readings []Length) float64 {
	n := float64(len(readings))
	var mean, square, left float64
	for _, v := range readings {
		mean += float64(v-readings[0]) / n
	}
	for _, v := range readings {
		d := float64(v-readings[0]) - mean
		square += d * d
		left += d // what rounding left in the mean
	}
	return math.Sqrt(math.Max(0, square-left*left/n) / (n - 1))
}

// Shape is how an error lies between limits of which nothing beyond is known. The zero value is rectangular.
type Shape uint8

// The shapes.
const (
	Rectangular Shape = iota // anywhere alike
	Triangular               // rather in the middle: the sum of two equal rectangular ones
	Arcsine                  // rather at the limits: a cycle, such as a thermostat's
)

// String returns "rectangular", "triangular" or "arcsine".
func (s Shape) String() string {
	switch s {
	case Rectangular:
		return "rectangular"
	case Triangular:
		return "triangular"
	case Arcsine:
		return "arcsine"
	}
	return fmt.Sprintf("shape(%d)", uint8(s))
}

// Divisor returns what a half-width is divided by to give the standard uncertainty: √3, √6 or √2; NaN for no shape.
//
// Source: JCGM 100:2008, 4.3.7, 4.3.9 and H.1.3.4.
func (s Shape) Divisor() float64 {
	switch s {
	case Rectangular:
		return math.Sqrt(3)
	case Triangular:
		return math.Sqrt(6)
	case Arcsine:
		return math.Sqrt2
	}
	return math.NaN()
}

// Bounded is an error within plus or minus Half: a maker's permissible error, the flatness of a table, a cosine error. Sensitivity is what the reading changes by per unit of the error, 1 when not given.
//
// Source: JCGM 100:2008, 4.3.7 and 4.3.9.
type Bounded struct {
	Name             string
	Half             Length
	Shape            Shape
	Sensitivity      Optional[float64]
	DegreesOfFreedom Optional[float64]
	Acts             Scope
}

func (s Bounded) label() string { return s.Name }

func (s Bounded) contribute(c *budgetCheck) ([]Contribution, Length) {
	c.length("/half", s.Half)
	if s.Shape > Arcsine {
		c.add("/shape", fmt.Sprint(uint8(s.Shape)), fault.ErrOutOfRange, "Rectangular, Triangular or Arcsine")
	}
	c.degrees(s.DegreesOfFreedom)
	c.acts(s.Acts)
	gain := c.gain(s.Sensitivity)
	basis := fmt.Sprintf("limits: %v within ±%v", s.Shape, s.Half) + times(gain)
	return []Contribution{{Name: s.Name, Basis: basis, Standard: Length(gain * float64(s.Half) / s.Shape.Divisor()), DegreesOfFreedom: s.DegreesOfFreedom, Acts: s.Acts}}, 0
}

// Stated is a standard uncertainty that is known already: a pooled standard deviation, another budget's result. Sensitivity is what the reading changes by per unit of the error, 1 when not given.
type Stated struct {
	Name             string
	Standard         Length
	Sensitivity      Optional[float64]
	DegreesOfFreedom Optional[float64]
	Acts             Scope
}

func (s Stated) label() string { return s.Name }

func (s Stated) contribute(c *budgetCheck) ([]Contribution, Length) {
	c.length("/standard", s.Standard)
	c.degrees(s.DegreesOfFreedom)
	c.acts(s.Acts)
	gain := c.gain(s.Sensitivity)
	basis := fmt.Sprintf("stated: %v standard", s.Standard) + times(gain)
	return []Contribution{{Name: s.Name, Basis: basis, Standard: Length(gain * float64(s.Standard)), DegreesOfFreedom: s.DegreesOfFreedom, Acts: s.Acts}}, 0
}

// times says a sensitivity other than 1.
func times(gain float64) string {
	if gain == 1 {
		return ""
	}
	return fmt.Sprintf(", times %v", gain)
}
