package tolerance

import (
	"fmt"
	"math"
)

// Kelvin is a difference of temperatures. The zero value is none.
type Kelvin float64

// Expansion is a coefficient of thermal expansion in 1/K, and its standard uncertainty. Limits of
// ±1e-6 give a standard uncertainty of 1e-6/[Rectangular.Divisor]. The zero value does not expand.
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
