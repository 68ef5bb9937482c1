package fits

import (
	"errors"
	"fmt"
	"math"
	"strconv"

	"example.com/borestack/fault"
	"example.com/borestack/internal/ieee"
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
		case !ieee.Finite(c.v):
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

// PressFit is one ring in another: a bush in its case, a bearing ring on its shaft. The outer
// diameter of Inner is the inner diameter of Outer: the nominal diameter, whose interference, at 20
// °C, is given apart. The zero value is refused.
type PressFit struct {
	Inner, Outer Ring
	Interference Interference // negative is a clearance
}

// Pressed is what a press fit comes to. The zero value is nothing.
type Pressed struct {
	Diameter     tolerance.Length    // nominal, where the rings meet
	Pressure     float64             // N/mm² (MPa), never less than 0
	Gap          tolerance.Diametral // clearance left where the rings do not touch; 0 in contact
	Inner, Outer RingState
}

// RingState is what a press fit does to a ring.
type RingState struct {
	HoopBore, HoopOutside float64 // hoop stress, N/mm², tension positive; of a solid shaft HoopBore is that in its axis
	Bore, Outside         Change  // of the diameters
}

// Change is how much a diameter grows from the free ring at 20 °C; negative when it shrinks.
type Change struct {
	Pressed tolerance.Length // by the pressure
	Warmed  tolerance.Length // by the temperature, α(T - 20) of the nominal diameter
}

// Total returns the whole change.
func (c Change) Total() tolerance.Length { return c.Pressed + c.Warmed }

// greatestStrain bounds interference over diameter: beyond it no metal stays elastic, and a unit was
// mistaken.
const greatestStrain = 0.01

// validate returns every fault of the fit, joined.
func (f PressFit) validate() error {
	return errors.Join(f.faults("/inner", "/outer", "/interference")...)
}

// faults lists what is wrong with the two rings and what is between them.
func (f PressFit) faults(inner, outer, interference string) []error {
	out := append(f.Inner.faults(inner), f.Outer.faults(outer)...)
	if f.Outer.Inner != f.Inner.Outer {
		out = append(out, fault.At(outer+"/inner", fmt.Sprintf("%v mm", float64(f.Outer.Inner)), fmt.Sprintf("%v mm, the outer diameter of what is inside; their interference is given apart", float64(f.Inner.Outer)), fault.ErrConflict))
	}
	d, limit := float64(f.Interference), greatestStrain*f.Inner.Outer.Millimetres()
	switch {
	case !ieee.Finite(d):
		out = append(out, fault.At(interference, fmt.Sprintf("%v mm", d), "an interference on diameter in mm", fault.ErrNotFinite))
	case d > limit:
		out = append(out, fault.At(interference, fmt.Sprintf("%v mm", d), fmt.Sprintf("at most %v mm, 1 %% of the diameter: beyond it no ring stays elastic", limit), fault.ErrOutOfRange))
	}
	return out
}

// Solve returns pressure, stresses and changes of diameter.
//
// At diameter d, with K = (b² + a²)/(b² - a²) of a ring of inner and outer diameter a and b,
//
//	p [(K_in - ν_in)/E_in + (K_out + ν_out)/E_out] = δ/d + α_in ΔT_in - α_out ΔT_out
//
// with δ the interference at 20 °C and ΔT = T - 20: the bore outside and the ring inside have the same
// diameter. An interface cannot pull: where that would take a negative pressure the rings stand apart,
// with pressure 0 and a gap.
//
// Valid for even, thick or thin rings of one length with free ends (plane stress), elastic, small
// strains, frictionless along the axis while pressing. Wavy or rough seats settle by a few
// micrometres: take that off the interference first.
//
// Source: Lamé 1852, thick-walled cylinder; Shigley's Mechanical Engineering Design, press and
// shrink fits (from memory).
func (f PressFit) Solve() (Pressed, error) {
	if err := f.validate(); err != nil {
		return Pressed{}, err
	}
	_, kIn, _ := f.Inner.shape()
	_, kOut, _ := f.Outer.shape()
	strain := f.strain()
	d := f.Inner.Outer
	out := Pressed{Diameter: d, Pressure: math.Max(0, strain/((kIn-f.Inner.Poisson)/f.Inner.Modulus+(kOut+f.Outer.Poisson)/f.Outer.Modulus))}
	if strain < 0 {
		out.Gap = tolerance.Diametral(-strain) * tolerance.Diametral(d)
	}
	out.Inner, out.Outer = f.Inner.under(0, out.Pressure), f.Outer.under(out.Pressure, 0)
	for _, v := range []float64{out.Inner.HoopBore, out.Inner.HoopOutside, out.Outer.HoopBore, out.Outer.HoopOutside, float64(out.Inner.Bore.Pressed), float64(out.Outer.Outside.Pressed)} {
		if !ieee.Finite(v) {
			return Pressed{}, fault.At("/inner", fmt.Sprintf("%v to %v mm", float64(f.Inner.Inner), float64(f.Outer.Outer)), "numbers whose stresses a float64 can hold", fault.ErrOutOfRange)
		}
	}
	return out, nil
}

// strain is what the rings have to make up: interference over diameter, and what warmth adds.
func (f PressFit) strain() float64 {
	in, out := &f.Inner, &f.Outer
	return float64(f.Interference)/in.Outer.Millimetres() + (in.Expansion*in.rise() - out.Expansion*out.rise())
}

// LetsGo returns the temperature at which both rings, warmed or cooled together from 20 °C, just
// lose contact. Not given: they never do, or stand apart at 20 °C already. Linear means: a
// temperature that the material does not stand says that the fit does not let go.
//
// Derivation: δ/d = (α_out - α_in)(T - 20).
func (f PressFit) LetsGo() (t tolerance.Optional[tolerance.Celsius]) {
	rise := float64(f.Interference) / f.Inner.Outer.Millimetres() / (f.Outer.Expansion - f.Inner.Expansion)
	if at := tolerance.Reference + tolerance.Celsius(rise); f.Interference > 0 && ieee.Finite(rise) && at >= absoluteZero {
		t = tolerance.Given(at)
	}
	return t
}
