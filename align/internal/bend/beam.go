package bend

import (
	"math"
	"slices"
)

// Shaft is one elastic shaft: its sections in order, none for a rigid one, and what acts on it
// beside the circles.
type Shaft struct {
	Sections []Section
	Modulus  float64 // N/mm²
	Weight   float64 // N/mm³, along −y
	Loads    []Load
}

// Section is a length of a round shaft, mm; the end sections reach on beyond the shaft's ends.
type Section struct{ From, To, Diameter, Bore float64 }

// Load is a force, in N, and a couple about the axes across, in N·mm (work: couple·v′), at Z.
type Load struct {
	Z             float64
	Force, Couple [2]float64
}

// beam is a shaft with the circles that touch it. Moments are those of the forces in front of a
// station about it, in both planes, so that EI v″ = M.
type beam struct {
	*Shaft
	points []beamPoint
	cuts   []float64 // where the moment's polynomial or the stiffness changes
}

// beamPoint is where a circle touches the shaft; its force acts with this sign.
type beamPoint struct {
	z      float64
	circle int
	sign   float64
}

// lay sorts out the cuts.
func (b *beam) lay() {
	b.cuts = b.cuts[:0]
	lo, hi := math.Inf(1), math.Inf(-1)
	reach := func(z float64) {
		lo, hi = math.Min(lo, z), math.Max(hi, z)
		b.cuts = append(b.cuts, z)
	}
	for _, p := range b.points {
		reach(p.z)
	}
	for _, l := range b.Loads {
		reach(l.Z)
	}
	for i := range b.Sections {
		q := &b.Sections[i]
		for _, z := range [2]float64{q.From, q.To} {
			if b.Weight > 0 {
				reach(z)
			} else if z > lo && z < hi {
				b.cuts = append(b.cuts, z)
			}
		}
	}
	slices.Sort(b.cuts)
	b.cuts = slices.Compact(b.cuts)
}

// section is the section at z; the end sections reach on beyond the shaft's ends.
func (b *beam) section(z float64) *Section {
	for i := range b.Sections {
		if z < b.Sections[i].To {
			return &b.Sections[i]
		}
	}
	return &b.Sections[len(b.Sections)-1]
}

// secondMoment of area in mm⁴: π/64 (D⁴ − d⁴).
func (s *Section) secondMoment() float64 {
	outer, inner := s.Diameter, s.Bore
	return math.Pi / 64 * (outer*outer*outer*outer - inner*inner*inner*inner)
}

// line weight of a section in N/mm.
func (b *beam) lineWeight(s *Section) float64 {
	outer, inner := s.Diameter, s.Bore
	return b.Weight * math.Pi / 4 * (outer*outer - inner*inner)
}

// resultant is the force of the loads, and their moment about z = 0, in each plane: what they do to
// a shift and a slope.
func (b *beam) resultant() (force, moment [2]float64) {
	for _, l := range b.Loads {
		for d := range 2 {
			force[d] += l.Force[d]
			moment[d] += l.Force[d]*l.Z + l.Couple[d]
		}
	}
	if b.Weight > 0 {
		for i := range b.Sections {
			q := &b.Sections[i]
			w := b.lineWeight(q) * (q.To - q.From)
			force[1] -= w
			moment[1] -= w * (q.To + q.From) / 2
		}
	}
	return force, moment
}

// loadMoment is the moment of the loads at z, those at z itself not counted.
func (b *beam) loadMoment(z float64) (m [2]float64) {
	for _, l := range b.Loads {
		if l.Z < z {
			for d := range 2 {
				m[d] += l.Force[d]*(z-l.Z) - l.Couple[d]
			}
		}
	}
	if b.Weight > 0 {
		for i := range b.Sections {
			q := &b.Sections[i]
			from, to := q.From, math.Min(q.To, z)
			if to > from {
				m[1] -= b.lineWeight(q) * (to - from) * (z - (from+to)/2)
			}
		}
	}
	return m
}

// gaussPoints and gaussWeights integrate polynomials to the fifth degree over (−1, 1). Source:
// Abramowitz and Stegun, Handbook of Mathematical Functions, table 25.4.
var (
	gaussPoints  = [3]float64{-0.7745966692414834, 0, 0.7745966692414834}
	gaussWeights = [3]float64{5.0 / 9, 8.0 / 9, 5.0 / 9}
)

// moment is the total moment at z from forces on the points, F[d][circle], and the loads.
func (b *beam) moment(z float64, force *[2][]float64) [2]float64 {
	m := b.loadMoment(z)
	for _, p := range b.points {
		if p.z < z {
			for d := range 2 {
				m[d] += p.sign * force[d][p.circle] * (z - p.z)
			}
		}
	}
	return m
}

// Bent is where a shaft runs at a station, mm, and its slope.
type Bent struct{ At, Slope [2]float64 }

// deflect integrates the curvature up to z, from a straight start at the first cut.
func (b *beam) deflect(z float64, force *[2][]float64) (out Bent) {
	if len(b.Sections) == 0 || len(b.cuts) == 0 {
		return out
	}
	at := b.cuts[0]
	step := func(to float64) {
		h := to - at
		ei := b.Modulus * b.section((at+to)/2).secondMoment()
		var turn, lift [2]float64
		for g, t := range gaussPoints {
			s := at + h*(1+t)/2
			m := b.moment(s, force)
			for d := range 2 {
				turn[d] += gaussWeights[g] * m[d] / ei * h / 2
				lift[d] += gaussWeights[g] * m[d] / ei * h / 2 * (to - s)
			}
		}
		for d := range 2 {
			out.At[d] += out.Slope[d]*h + lift[d]
			out.Slope[d] += turn[d]
		}
		at = to
	}
	for _, c := range b.cuts[1:] {
		if c >= z {
			break
		}
		step(c)
	}
	if z != at {
		step(z)
	}
	return out
}

// stress is the greatest bending stress and where: |M| D / 2 I at every change of moment or
// section, both sides of a step. Within a length under its own weight it is taken at the ends and
// three points.
func (b *beam) stress(force *[2][]float64) (greatest, z float64) {
	look := func(s, at float64) {
		q := b.section(s)
		m := b.moment(at, force)
		if v := math.Hypot(m[0], m[1]) * q.Diameter / 2 / q.secondMoment(); v > greatest {
			greatest, z = v, at
		}
	}
	for i := 1; i < len(b.cuts); i++ {
		a, c := b.cuts[i-1], b.cuts[i]
		mid := (a + c) / 2
		look(mid, a)
		look(mid, c)
		if b.Weight > 0 {
			for _, t := range gaussPoints {
				look(mid, a+(c-a)*(1+t)/2)
			}
		}
	}
	return greatest, z
}
