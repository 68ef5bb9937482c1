package fits

import (
	"errors"
	"fmt"
	"math"

	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

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
	case !finite(d):
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
		if !finite(v) {
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
	if at := tolerance.Reference + tolerance.Celsius(rise); f.Interference > 0 && finite(rise) && at >= absoluteZero {
		t = tolerance.Given(at)
	}
	return t
}
