package fits

import (
	"fmt"
	"slices"
	"strconv"

	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// OpensAt returns the temperature at which an interface opens to a clearance (0: just loses contact), counted from 20 °C: the rings named in heated, all of them when none is named, have that temperature, the others their own. Not given: it opens at no temperature above -273.15 °C.
//
// The pressures are linear in the temperature while the same interfaces touch, and convex overall; so an interface opens on one side of 20 °C at most, above (a bush of steel in light metal, a hub that is heated) or below (a shaft that is cooled), and following the tangent from one set of contacts to the next finds it exactly in a few steps. It returns ErrOpen if the clearance is there at 20 °C already, and fault.ErrOutOfRange for an interface or ring that does not exist. Linear means: a temperature that the material does not stand says that the fit does not open.
//
// Derivation: the pressures are the least solution of M p ≥ load, p ≥ 0 with M⁻¹ ≥ 0 on every set of contacts, so p is the largest of the solutions on such sets, each linear in the load.
func (f PressFit) OpensAt(at int, clearance tolerance.Diametral, heated ...int) (tolerance.Optional[tolerance.Celsius], error) {
	var never tolerance.Optional[tolerance.Celsius]
	if err := f.Validate(); err != nil {
		return never, err
	}
	if at < 0 || at >= len(f.Interferences) {
		return never, fault.At("interface", strconv.Itoa(at), fmt.Sprintf("0 to %d", len(f.Interferences)-1), fault.ErrOutOfRange)
	}
	if err := positive("clearance", float64(clearance), " mm", "a clearance on diameter, 0 or more"); err != nil {
		return never, err
	}
	rings := slices.Clone(f.Rings)
	if len(heated) == 0 {
		heated = make([]int, len(rings))
		for i := range heated {
			heated[i] = i
		}
	}
	hot := make([]bool, len(rings))
	for _, i := range heated {
		if i < 0 || i >= len(rings) {
			return never, fault.At("heated", strconv.Itoa(i), fmt.Sprintf("rings 0 to %d", len(rings)-1), fault.ErrOutOfRange)
		}
		hot[i], rings[i].Temperature = true, tolerance.Optional[tolerance.Celsius]{}
	}
	g := PressFit{rings, slices.Clone(f.Interferences)}
	// To stand open by a clearance is to just lose contact with that much more interference.
	g.Interferences[at] += Interference(clearance)
	s := g.system()
	g.load(s.load)
	perKelvin := make([]float64, len(s.load))
	for i := range perKelvin {
		if hot[i] {
			perKelvin[i] += rings[i].Expansion
		}
		if hot[i+1] {
			perKelvin[i] -= rings[i+1].Expansion
		}
	}
	rise, open := s.opening(at, perKelvin)
	switch t := tolerance.Reference + tolerance.Celsius(rise); {
	case open && rise == 0:
		return never, fault.At("interface", strconv.Itoa(at), "one without this clearance while the heated rings are at 20 °C", ErrOpen)
	case open && t >= absoluteZero && finite(rise):
		return tolerance.Given(t), nil
	}
	return never, nil
}

// opening returns the rise of temperature at which interface i opens, 0 when it is open at the load as it stands, and false when it never does: Newton's method on a convex function made of straight pieces, from the side where it is positive. Along the way each interface changes at most twice (it is open over one range of temperatures), which bounds the pieces.
func (s *contact) opening(i int, perKelvin []float64) (float64, bool) {
	n := len(s.load)
	start, slope, last := slices.Clone(s.load), make([]float64, n), []bool(nil)
	rise := 0.0
	for range 2*n + 2 {
		for j := range s.load {
			s.load[j] = start[j] + rise*perKelvin[j]
		}
		s.solve()
		if s.pressure[i] <= 0 || slices.Equal(last, s.closed) {
			break
		}
		last = append(last[:0], s.closed...)
		s.balance(slope, perKelvin)
		next := rise - s.pressure[i]/slope[i]
		if slope[i] == 0 || !finite(next) || (next-rise)*rise < 0 {
			return 0, false // it does not press less, however far one goes
		}
		rise = next
	}
	return rise, true
}
