package tolerance

import (
	"fmt"
	"math"
	"strconv"

	"gonum.org/v1/gonum/stat"

	"example.com/borestack/fault"
)

// Certificate is a calibration certificate's expanded uncertainty of a gauge or master. What the
// certificate finds the gauge to be out by is corrected beforehand. The uncertainty that a maker
// permits is not a certificate: use [Bounded].
//
// The standard uncertainty is Expanded/K. A standard uncertainty that is known already, such as
// another budget's result, is one with K 1.
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

// Resolution is the step of a scale or display, to which each reading is rounded. The error is
// rectangular within half a step; the standard uncertainty is Step/√12.
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

// Repeatability is how readings of one station scatter. The standard uncertainty is their sample
// standard deviation s/√Averaged, with one degree of freedom less than readings. A record averages
// the repeats of a station itself: leave Averaged out for it.
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
	about := make([]float64, n) // the first reading, so that the scatter keeps its digits
	for i, v := range s.Readings {
		about[i] = float64(v - s.Readings[0])
	}
	scatter := stat.StdDev(about, nil)
	basis := fmt.Sprintf("repeatability: s = %v of %d readings, mean of %d", Length(scatter), n, m)
	return []Contribution{{
		Name: s.Name, Basis: basis, Standard: Length(scatter / math.Sqrt(float64(m))),
		DegreesOfFreedom: Given(float64(n - 1)), Acts: OnEach,
	}}, 0
}

// Shape is how an error lies between limits of which nothing beyond is known. The zero value is
// rectangular.
type Shape uint8

// The shapes.
const (
	Rectangular Shape = iota // anywhere alike
	Triangular               // rather in the middle: the sum of two equal rectangular ones
	Arcsine                  // rather at the limits: a cycle, such as a thermostat's
)

// shapes are the names of the shapes, and what a half-width is divided by to give the standard
// uncertainty.
//
// Source: JCGM 100:2008, 4.3.7, 4.3.9 and H.1.3.4.
var shapes = [...]struct {
	name    string
	divisor float64
}{{"rectangular", math.Sqrt(3)}, {"triangular", math.Sqrt(6)}, {"arcsine", math.Sqrt2}}

// Bounded is an error within plus or minus Half: a maker's permissible error, the flatness of a
// table, a cosine error.
//
// Source: JCGM 100:2008, 4.3.7 and 4.3.9.
type Bounded struct {
	Name             string
	Half             Length
	Shape            Shape
	DegreesOfFreedom Optional[float64]
	Acts             Scope
}

func (s Bounded) label() string { return s.Name }

func (s Bounded) contribute(c *budgetCheck) ([]Contribution, Length) {
	c.length("/half", s.Half)
	c.degrees(s.DegreesOfFreedom)
	c.acts(s.Acts)
	if int(s.Shape) >= len(shapes) {
		c.add("/shape", fmt.Sprint(uint8(s.Shape)), fault.ErrOutOfRange, "Rectangular, Triangular or Arcsine")
		return nil, 0
	}
	q := shapes[s.Shape]
	basis := fmt.Sprintf("limits: %v within ±%v", q.name, s.Half)
	return []Contribution{{Name: s.Name, Basis: basis, Standard: Length(float64(s.Half) / q.divisor), DegreesOfFreedom: s.DegreesOfFreedom, Acts: s.Acts}}, 0
}

// Kelvin is a difference of temperatures. The zero value is none.
type Kelvin float64

// Expansion is a coefficient of thermal expansion in 1/K, and its standard uncertainty. Limits of
// ±1e-6 give a standard uncertainty of 1e-6/√3 (JCGM 100:2008, 4.3.7). The zero value does not expand.
type Expansion struct {
	Mean, Standard float64
}

// Thermal is what temperature does to a length read on a gauge whose scale or master is right at 20
// °C: work and gauge expand by different materials and at different temperatures. For a comparison,
// Length is the whole length compared, not the small reading.
//
// With α and θ the expansion and the temperature less 20 °C of work w and gauge g, a reading R is
// corrected by R((1 + αg θg)/(1 + αw θw) − 1). The standard uncertainty has these contributions,
// exact for independent inputs to first order in αθ, the products of two uncertain inputs included:
//
//	expansion of the work     L u(αw) √(θw² + u²(θw))
//	expansion of the gauge    L u(αg) √(θg² + u²(θg))
//	expansion of both         L u(α) √(δ² + u²(δ)), δ = θw − θg
//	temperature               L |αw − αg| u(θw)
//	difference                L |αg| u(δ)
//
// So a length measured at 20 °C give or take two is uncertain even though its correction is 0.
//
// Source: JCGM 100:2008, H.1.2 and H.1.7 (with expansion of both for its αs); ISO/TR 16015:2003.
type Thermal struct {
	Name             string
	Length           Length
	Workpiece, Gauge Expansion
	Both             float64           // standard uncertainty, 1/K, of what the two expansions have in common, when they are one material
	Temperature      Optional[Celsius] // of the work; 20 °C when not given
	TemperatureU     Kelvin            // its standard uncertainty, of work and gauge together
	Warmer           Kelvin            // temperature of the work less that of the gauge
	WarmerU          Kelvin            // its standard uncertainty
	DegreesOfFreedom Optional[float64] // of each of its contributions
}

func (s Thermal) label() string { return s.Name }

func (s Thermal) contribute(c *budgetCheck) (list []Contribution, correction Length) {
	const (
		steepest = 1e-3 // 1/K: nothing that gauges and machines are made of expands more
		coldest  = -273.15
		hottest  = 500 // nobody measures a machine hotter
	)
	c.more("/length", s.Length, "the length measured")
	for _, e := range []struct {
		field string
		Expansion
	}{{"/workpiece", s.Workpiece}, {"/gauge", s.Gauge}} {
		c.between(e.field+"/mean", e.Mean, -steepest, steepest, " 1/K")
		c.between(e.field+"/standard", e.Standard, 0, steepest, " 1/K")
	}
	at := s.Temperature.Or(Reference)
	c.between("/both", s.Both, 0, steepest, " 1/K")
	c.between("/temperature", float64(at), coldest, hottest, " °C")
	c.between("/temperature_u", float64(s.TemperatureU), 0, hottest, " K")
	c.between("/warmer", float64(s.Warmer), -hottest, hottest, " K")
	c.between("/warmer_u", float64(s.WarmerU), 0, hottest, " K")
	c.degrees(s.DegreesOfFreedom)

	work := float64(at - Reference)
	gauge := work - float64(s.Warmer)
	l, u, ud := float64(s.Length), float64(s.TemperatureU), float64(s.WarmerU)
	root := func(mean, sd float64) float64 { return math.Hypot(mean, sd) }
	one := func(what, basis string, size float64) Contribution {
		return Contribution{Name: s.Name + ": " + what, Basis: basis, Standard: Length(l * size), DegreesOfFreedom: s.DegreesOfFreedom, Acts: OnAll}
	}
	list = []Contribution{
		one("expansion of the work", fmt.Sprintf("%.3g 1/K over %.3g K", s.Workpiece.Standard, root(work, u)), s.Workpiece.Standard*root(work, u)),
		one("expansion of the gauge", fmt.Sprintf("%.3g 1/K over %.3g K", s.Gauge.Standard, root(gauge, root(u, ud))), s.Gauge.Standard*root(gauge, root(u, ud))),
		one("temperature", fmt.Sprintf("%.3g K times %.3g 1/K", u, math.Abs(s.Workpiece.Mean-s.Gauge.Mean)), u*math.Abs(s.Workpiece.Mean-s.Gauge.Mean)),
		one("difference of temperatures", fmt.Sprintf("%.3g K times %.3g 1/K", ud, math.Abs(s.Gauge.Mean)), ud*math.Abs(s.Gauge.Mean)),
	}
	if s.Both != 0 {
		list = append(list, one("expansion of both", fmt.Sprintf("%.3g 1/K over %.3g K", s.Both, root(float64(s.Warmer), ud)), s.Both*root(float64(s.Warmer), ud)))
	}
	// l ((1 + αg θg)/(1 + αw θw) − 1) without the cancellation
	return list, Length(l * (s.Gauge.Mean*gauge - s.Workpiece.Mean*work) / (1 + s.Workpiece.Mean*work))
}
