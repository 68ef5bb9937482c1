package fits

import (
	"errors"
	"fmt"

	"example.com/borestack/fault"
	"example.com/borestack/internal/ieee"
	"example.com/borestack/tolerance"
)

// Mounting is a radial rolling bearing in its place: the inner ring on a shaft, the outer ring in a
// housing. The zero value is refused.
//
// Raceways count as plain cylinders of the diameters given: Inner runs from the bore to its
// raceway, Outer from its raceway to the outside. For a ball bearing that is the bottom of the
// groove; the shoulders stiffen the ring a little, which this leaves out.
type Mounting struct {
	Clearance tolerance.Diametral // of the bearing by itself at 20 °C, as in [InternalClearance]

	Shaft, Inner, Outer, Housing Ring
	ShaftInterference            Interference // of the inner ring on the shaft; negative: loose
	HousingInterference          Interference // of the outer ring in the housing; negative: loose
}

// Running is the clearance that a mounted bearing has left, and where it went: Clearance is the
// bearing's own less ByShaft, ByHousing and ByHeat. The zero value is nothing.
type Running struct {
	Clearance tolerance.Diametral // negative: the bearing is preloaded
	ByShaft   tolerance.Length    // growth of the inner raceway by the pressure of the shaft
	ByHousing tolerance.Length    // shrinking of the outer raceway by the pressure of the housing
	ByHeat    tolerance.Length    // free growth of inner raceway and elements less that of the outer raceway

	Shaft, Housing Pressed // the two fits: shaft and inner ring, outer ring and housing
}

// Running returns the clearance left in the mounted bearing at the temperatures given.
//
// With inner raceway F, outer raceway E and clearance c at 20 °C, elements of diameter w = (E - F -
// c)/2 that expand as the inner ring and are half-way between the rings in temperature, ΔT = T -
// 20, and F′, E′ what the pressures of the two press fits change:
//
//	left = c - F′ + E′ - (α_i F ΔT_i + 2 w α_e ΔT_e - α_o E ΔT_o)
//
// F′ and E′ come from [PressFit.Solve] at the same temperatures, so a warm light-metal housing that
// lets go of its ring gives back what it took. For one steel without heat, a solid shaft of
// diameter d and a housing thick beside the outer ring of outside D, F′ = δ d/F and E′ = -δ E/D.
//
// The load on the bearing is not in it; it flattens the contacts and adds to the clearance
// opposite. Centrifugal growth is left out as well.
//
// Source: thick ring theory, as in [PressFit.Solve]; the sum is geometry. For one steel it is the
// reduction that bearing makers publish (from memory).
func (m Mounting) Running() (Running, error) {
	if err := m.validate(); err != nil {
		return Running{}, err
	}
	shaft, err := m.shaftFit().Solve()
	if err != nil {
		return Running{}, fmt.Errorf("fits: shaft and inner ring: %w", err)
	}
	housing, err := m.housingFit().Solve()
	if err != nil {
		return Running{}, fmt.Errorf("fits: outer ring and housing: %w", err)
	}
	free := tolerance.Length(m.Inner.Expansion * (m.Inner.rise() + m.Outer.rise()) / 2) // of the elements
	inner, outer := shaft.Outer.Outside, housing.Inner.Bore
	out := Running{
		ByShaft:   inner.Pressed,
		ByHousing: 0 - outer.Pressed,
		ByHeat:    inner.Warmed + (m.Outer.Inner-m.Inner.Outer-m.Clearance.Length())*free - outer.Warmed,
		Shaft:     shaft,
		Housing:   housing,
	}
	out.Clearance = m.Clearance - tolerance.Diametral(out.ByShaft+out.ByHousing+out.ByHeat)
	return out, nil
}

// Range returns the mounting with the least and the greatest clearance left, over the ranges of the
// bearing's clearance and of both fits (such as [InternalClearance], [ShaftSeat] and [HousingSeat]
// give them), in place of the three numbers in m. The clearance left never grows with an
// interference, so the corners are exact.
func (m Mounting) Range(bearing, shaft, housing Clearance) (least, greatest Running, err error) {
	for _, c := range []struct {
		path string
		r    Clearance
	}{{"bearing", bearing}, {"shaft", shaft}, {"housing", housing}} {
		if !(c.r.Least <= c.r.Greatest) {
			return Running{}, Running{}, fault.At(c.path, fmt.Sprintf("%v to %v mm", float64(c.r.Least), float64(c.r.Greatest)), "a least clearance of no more than the greatest", fault.ErrConflict)
		}
	}
	at := func(own tolerance.Diametral, onShaft, inHousing Interference) (Running, error) {
		m.Clearance, m.ShaftInterference, m.HousingInterference = own, onShaft, inHousing
		return m.Running()
	}
	shaftLeast, shaftMost := shaft.Interference()
	housingLeast, housingMost := housing.Interference()
	if least, err = at(bearing.Least, shaftMost, housingMost); err != nil {
		return Running{}, Running{}, err
	}
	if greatest, err = at(bearing.Greatest, shaftLeast, housingLeast); err != nil {
		return Running{}, Running{}, err
	}
	return least, greatest, nil
}

// validate returns every fault of the mounting, joined.
func (m Mounting) validate() error {
	out := append(m.shaftFit().faults("/shaft", "/inner", "/shaft_interference"), m.housingFit().faults("/outer", "/housing", "/housing_interference")...)
	if c := float64(m.Clearance); !ieee.Finite(c) {
		out = append(out, fault.At("/clearance", fmt.Sprint(c)+" mm", "the bearing's own clearance in mm", fault.ErrNotFinite))
	}
	// Room for the elements is judged only of diameters that are sound.
	if w := m.Outer.Inner - m.Inner.Outer - m.Clearance.Length(); len(out) == 0 && w <= 0 {
		out = append(out, fault.At("/outer/inner", fmt.Sprintf("%v mm", float64(m.Outer.Inner)), fmt.Sprintf("an outer raceway that leaves room for rolling elements over the inner raceway of %v mm", float64(m.Inner.Outer)), fault.ErrOutOfRange))
	}
	return errors.Join(out...)
}

func (m Mounting) shaftFit() PressFit { return PressFit{m.Shaft, m.Inner, m.ShaftInterference} }

func (m Mounting) housingFit() PressFit { return PressFit{m.Outer, m.Housing, m.HousingInterference} }
