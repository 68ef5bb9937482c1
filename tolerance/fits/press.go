package fits

import (
	"errors"
	"fmt"
	"strconv"

	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// PressFit is two or more rings pressed over one another, the innermost first. Ring i's outer diameter is ring i+1's inner diameter: the nominal diameter of interface i, whose interference, at 20 °C, is given apart. The zero value is refused.
type PressFit struct {
	Rings         []Ring
	Interferences []Interference // one fewer than the rings; negative is a clearance
}

// Pressed is what a press fit comes to. The zero value is nothing.
type Pressed struct {
	Interfaces []Interface // inside out
	Rings      []RingState // in the order of the rings
}

// Interface is where one ring sits in the next.
type Interface struct {
	Diameter tolerance.Length    // nominal
	Pressure float64             // N/mm² (MPa), never less than 0
	Gap      tolerance.Diametral // clearance left where the rings do not touch; 0 in contact
}

// Open reports whether the rings do not press on each other.
func (i Interface) Open() bool { return i.Pressure == 0 }

// RingState is what a press fit does to a ring.
type RingState struct {
	HoopBore, HoopOutside float64 // hoop stress, N/mm², tension positive; of a solid shaft HoopBore is that in its axis
	Bore, Outside         Change  // of the diameters
}

// Change is how much a diameter grows from the free ring at 20 °C; negative when it shrinks.
type Change struct {
	Pressed tolerance.Length // by the pressures
	Warmed  tolerance.Length // by the temperature, α(T - 20) of the nominal diameter
}

// Total returns the whole change.
func (c Change) Total() tolerance.Length { return c.Pressed + c.Warmed }

// greatestStrain bounds interference over diameter: beyond it no metal stays elastic, and a unit was mistaken.
const greatestStrain = 0.01

// Validate returns every fault of the fit, joined.
func (f PressFit) Validate() error {
	var out []error
	if len(f.Rings) < 2 {
		return fault.At("/rings", strconv.Itoa(len(f.Rings)), "two rings or more, the innermost first", fault.ErrMissing)
	}
	if len(f.Interferences) != len(f.Rings)-1 {
		return fault.At("/interferences", strconv.Itoa(len(f.Interferences)), fmt.Sprintf("%d, one between each ring and the next", len(f.Rings)-1), fault.ErrConflict)
	}
	for i, r := range f.Rings {
		at := "/rings/" + strconv.Itoa(i)
		out = append(out, r.faults(at)...)
		if i > 0 {
			out = append(out, seatFaults(at, "/interferences/"+strconv.Itoa(i-1), f.Rings[i-1], r, f.Interferences[i-1])...)
		}
	}
	return errors.Join(out...)
}

// seatFaults lists what is wrong between the ring inside and the ring outside.
func seatFaults(at, interference string, in, out Ring, d Interference) []error {
	var faults []error
	if out.Inner != in.Outer {
		faults = append(faults, fault.At(at+"/inner", fmt.Sprintf("%v mm", float64(out.Inner)), fmt.Sprintf("%v mm, the outer diameter of what is inside; their interference is given apart", float64(in.Outer)), fault.ErrConflict))
	}
	switch limit := greatestStrain * in.Outer.Millimetres(); {
	case !finite(float64(d)):
		faults = append(faults, fault.At(interference, fmt.Sprintf("%v mm", float64(d)), "an interference on diameter in mm", fault.ErrNotFinite))
	case float64(d) > limit:
		faults = append(faults, fault.At(interference, fmt.Sprintf("%v mm", float64(d)), fmt.Sprintf("at most %v mm, 1 %% of the diameter: beyond it no ring stays elastic", limit), fault.ErrOutOfRange))
	}
	return faults
}

// Solve returns pressures, stresses and changes of diameter.
//
// At an interface of diameter d in contact, with K = (b² + a²)/(b² - a²) of a ring of inner and outer diameter a and b, p the pressure there, and p⁻ and p⁺ those of the next interface inside and outside,
//
//	p [(K_in - ν_in)/E_in + (K_out + ν_out)/E_out] - p⁻ (K_in - 1)/E_in - p⁺ (K_out + 1)/E_out = δ/d + α_in ΔT_in - α_out ΔT_out
//
// with δ the interference at 20 °C and ΔT = T - 20: the bore outside and the ring inside have the same diameter. An interface cannot pull: where that would take a negative pressure it is open, with pressure 0 and a gap. The pressures are unique, and none falls when an interference grows.
//
// Valid for even, thick or thin rings of one length with free ends (plane stress), elastic, small strains, frictionless along the axis while pressing. Wavy or rough seats settle by a few micrometres: take that off the interference first. Rounding stays below 1e-12 of the pressures while no ring between two others is thinner than a thousandth of its diameter (measured against exact fractions).
//
// Source: Lamé 1852, thick-walled cylinder; Shigley's Mechanical Engineering Design, press and shrink fits (from memory), for two rings; the contact as a linear complementarity problem with an M-matrix: Cottle, Pang and Stone, The Linear Complementarity Problem, 1992, 3.11 and 4.7 (from memory).
func (f PressFit) Solve() (Pressed, error) {
	if err := f.Validate(); err != nil {
		return Pressed{}, err
	}
	s := f.system()
	f.load(s.load)
	s.solve()
	out := Pressed{make([]Interface, len(f.Interferences)), make([]RingState, len(f.Rings))}
	for i := range out.Interfaces {
		d := f.Rings[i].Outer
		out.Interfaces[i] = Interface{Diameter: d, Pressure: s.pressure[i], Gap: tolerance.Diametral(s.gap(i)) * tolerance.Diametral(d)}
	}
	for i, r := range f.Rings {
		inside, outside := 0.0, 0.0
		if i > 0 {
			inside = s.pressure[i-1]
		}
		if i < len(s.pressure) {
			outside = s.pressure[i]
		}
		bore, out1 := r.strain(inside, outside)
		state := RingState{
			Bore:    Change{tolerance.Length(bore) * r.Inner, tolerance.Length(r.Expansion*r.rise()) * r.Inner},
			Outside: Change{tolerance.Length(out1) * r.Outer, tolerance.Length(r.Expansion*r.rise()) * r.Outer},
		}
		state.HoopBore, state.HoopOutside = r.hoop(inside, outside)
		if !finite(state.HoopBore) || !finite(state.HoopOutside) || !finite(bore) || !finite(out1) {
			return Pressed{}, fault.At("/rings/"+strconv.Itoa(i), fmt.Sprintf("%v to %v mm", float64(r.Inner), float64(r.Outer)), "numbers whose stresses a float64 can hold", fault.ErrOutOfRange)
		}
		out.Rings[i] = state
	}
	return out, nil
}

// load sets dst to the strain that each interface has to make up: interference over diameter, and what warmth adds.
func (f PressFit) load(dst []float64) {
	for i, d := range f.Interferences {
		in, out := &f.Rings[i], &f.Rings[i+1]
		dst[i] = float64(d)/in.Outer.Millimetres() + (in.Expansion*in.rise() - out.Expansion*out.rise())
	}
}
