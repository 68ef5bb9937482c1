package fits

import (
	"fmt"
	"math"
	"strconv"

	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// Ring is one ring of a press fit: a tube of even wall, elastic and of one temperature throughout.
// Diameters are nominal, at 20 °C; Inner 0 is a solid shaft. The zero value is no ring and is
// refused.
type Ring struct {
	Inner, Outer tolerance.Length
	Modulus      float64                               // Young's, N/mm²
	Poisson      float64                               // Poisson's ratio; over -1, up to 0.5
	Expansion    float64                               // 1/K; 0 does not expand
	Temperature  tolerance.Optional[tolerance.Celsius] // not given: 20 °C
}

// RingOf returns a ring of a material at 20 °C. It returns fault.ErrMissing for a material without
// modulus or Poisson's ratio.
func RingOf(m tolerance.Material, inner, outer tolerance.Length) (Ring, error) {
	if !m.Modulus.Given {
		return Ring{}, fault.At("material/modulus", "", "Young's modulus of "+strconv.Quote(m.Name)+" in N/mm²", fault.ErrMissing)
	}
	if !m.Poisson.Given {
		return Ring{}, fault.At("material/poisson", "", "Poisson's ratio of "+strconv.Quote(m.Name), fault.ErrMissing)
	}
	return Ring{Inner: inner, Outer: outer, Modulus: m.Modulus.Value, Poisson: m.Poisson.Value, Expansion: m.Expansion}, nil
}

// At returns the ring at another temperature.
func (r Ring) At(t tolerance.Celsius) Ring {
	r.Temperature = tolerance.Given(t)
	return r
}

// absoluteZero in °C.
//
// Source: BIPM, The International System of Units, 9th edition, 2.3.1.
const absoluteZero tolerance.Celsius = -273.15

// greatestExpansion, 1/K, is ten times that of the metals that expand most; above it somebody wrote
// 11.5 for 11.5e-6.
const greatestExpansion = 1e-3

// faults lists what is wrong with the ring.
func (r Ring) faults(at string) (out []error) {
	inner, outer := r.Inner.Millimetres(), r.Outer.Millimetres()
	t := float64(r.Temperature.Or(tolerance.Reference))
	for _, c := range []struct {
		field string
		v     float64
		good  bool
		unit  string
		want  string
	}{
		{"/inner", inner, inner >= 0, " mm", "an inner diameter, 0 for a solid shaft or more"},
		{"/outer", outer, outer > 0 && outer > inner, " mm", fmt.Sprintf("an outer diameter of more than the inner, %v mm", inner)},
		{"/modulus", r.Modulus, r.Modulus > 0, " N/mm²", "Young's modulus in N/mm², more than 0, such as 206000 for steel"},
		{"/poisson", r.Poisson, r.Poisson > -1 && r.Poisson <= 0.5, "", "Poisson's ratio, over -1 and at most 0.5, such as 0.3"},
		{"/expansion", r.Expansion, math.Abs(r.Expansion) <= greatestExpansion, " 1/K", "an expansion in 1/K within ±0.001, such as 11.5e-6"},
		{"/temperature", t, t >= float64(absoluteZero), " °C", "a temperature in °C, not below -273.15 °C"},
	} {
		switch {
		case !finite(c.v):
			out = append(out, fault.At(at+c.field, fmt.Sprint(c.v)+c.unit, c.want, fault.ErrNotFinite))
		case !c.good:
			out = append(out, fault.At(at+c.field, fmt.Sprint(c.v)+c.unit, c.want, fault.ErrOutOfRange))
		}
	}
	return out
}

// rise is the temperature above 20 °C.
func (r Ring) rise() float64 {
	return float64(r.Temperature.Or(tolerance.Reference) - tolerance.Reference)
}

// shape returns k = (b² + a²)/(b² - a²) with k - 1 = 2a²/(b² - a²) and k + 1 = 2b²/(b² - a²), each
// without cancellation; a and b are the inner and outer diameter.
func (r Ring) shape() (less, k, more float64) {
	a, b := r.Inner.Millimetres()/r.Outer.Millimetres(), 1.0
	wall := (b - a) * (b + a)
	return 2 * a * a / wall, (b*b + a*a) / wall, 2 * b * b / wall
}

// strain is the strain of the bore and of the outside under the pressures inside and outside:
// diameters change by it. Plane stress: the ends are free.
//
// Source: Lamé 1852, thick-walled cylinder; e.g. Timoshenko and Goodier, Theory of Elasticity, art.
// 28 (from memory).
func (r Ring) strain(inside, outside float64) (bore, out float64) {
	less, k, more := r.shape()
	return (inside*(k+r.Poisson) - outside*more) / r.Modulus, (inside*less - outside*(k-r.Poisson)) / r.Modulus
}

// hoop is the hoop stress at the bore, or in the axis of a solid shaft, and at the outside; tension
// is positive.
func (r Ring) hoop(inside, outside float64) (bore, out float64) {
	less, k, more := r.shape()
	if r.Inner == 0 {
		return -outside, -outside // the pressure is the same everywhere; the limit of a vanishing hole is twice that
	}
	return inside*k - outside*more, inside*less - outside*k
}

// under is the state of the ring under the pressures inside and outside.
func (r Ring) under(inside, outside float64) RingState {
	bore, out := r.strain(inside, outside)
	warmed := tolerance.Length(r.Expansion * r.rise())
	s := RingState{
		Bore:    Change{tolerance.Length(bore) * r.Inner, warmed * r.Inner},
		Outside: Change{tolerance.Length(out) * r.Outer, warmed * r.Outer},
	}
	s.HoopBore, s.HoopOutside = r.hoop(inside, outside)
	return s
}
