package align

import (
	"math"
	"slices"
)

// beam is one elastic shaft with everything that acts on it, in S, millimetres and newtons. Moments are those of the forces in front of a station about it, in both planes, so that EI v″ = M.
type beam struct {
	points   []beamPoint // circles of the group that touch this shaft
	loads    []beamLoad
	sections []Section // empty: rigid
	modulus  float64   // N/mm²
	weight   float64   // N/mm³, along −y
	cuts     []float64 // where the moment's polynomial or the stiffness changes
}

// beamPoint is where a circle touches the shaft; its force acts with this sign.
type beamPoint struct {
	z      float64
	circle int // place among the group's circles
	sign   float64
}

// beamLoad is a force and a couple (work: couple·v′) at z.
type beamLoad struct {
	z      float64
	force  [2]float64
	couple [2]float64
}

// gravity is standard gravity in m/s². Source: ISO 80000-3:2019, item 3-11.2 note (9.80665 exactly).
const gravity = 9.80665

// reset takes a shaft's sections and loads.
func (b *beam) reset(s *Shaft) {
	b.points, b.loads = b.points[:0], b.loads[:0]
	b.sections, b.modulus = s.Sections, s.Material.Value.Modulus.Value
	b.weight = s.Density.Value * gravity * 1e-9
	for i := range s.Loads {
		b.loads = append(b.loads, s.Loads[i].onShaft())
	}
}

// onShaft is the force and couple of a load.
func (l *Load) onShaft() beamLoad {
	out := beamLoad{z: float64(l.Z), force: [2]float64{l.Force.X, l.Force.Y}}
	g := l.Gear
	if g == nil {
		return out
	}
	// Source: gear force components, any machine design text: tangential 2T/d, radial Ft tan α_n / cos β, axial Ft tan β.
	radius := float64(g.PitchDiameter) / 2
	tangential := g.Torque * 1000 / radius // N·m to N·mm
	sin, cos := math.Sincos(float64(g.Mate))
	towards := [2]float64{sin, cos}
	clockwise := [2]float64{cos, -sin}
	separating := math.Abs(tangential) * math.Tan(float64(g.PressureAngle.Or(defaultPressureAngle))) / math.Cos(float64(g.Helix))
	axial := tangential * math.Tan(float64(g.Helix))
	for d := range 2 {
		out.force[d] += tangential*clockwise[d] - separating*towards[d]
		out.couple[d] = -axial * radius * towards[d]
	}
	return out
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
	for _, l := range b.loads {
		reach(l.z)
	}
	for i := range b.sections {
		q := &b.sections[i]
		for _, z := range [2]float64{float64(q.From), float64(q.To)} {
			if b.weight > 0 {
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
	for i := range b.sections {
		if z < float64(b.sections[i].To) {
			return &b.sections[i]
		}
	}
	return &b.sections[len(b.sections)-1]
}

// secondMoment of area in mm⁴: π/64 (D⁴ − d⁴).
func (s *Section) secondMoment() float64 {
	outer, inner := float64(s.Diameter), float64(s.Bore)
	return math.Pi / 64 * (outer*outer*outer*outer - inner*inner*inner*inner)
}

// line weight of a section in N/mm.
func (b *beam) lineWeight(s *Section) float64 {
	outer, inner := float64(s.Diameter), float64(s.Bore)
	return b.weight * math.Pi / 4 * (outer*outer - inner*inner)
}

// resultant is the force of the loads, and their moment about z = 0, in each plane: what they do to a shift and a slope.
func (b *beam) resultant() (force, moment [2]float64) {
	for _, l := range b.loads {
		for d := range 2 {
			force[d] += l.force[d]
			moment[d] += l.force[d]*l.z + l.couple[d]
		}
	}
	if b.weight > 0 {
		for i := range b.sections {
			q := &b.sections[i]
			w := b.lineWeight(q) * float64(q.To-q.From)
			force[1] -= w
			moment[1] -= w * float64(q.To+q.From) / 2
		}
	}
	return force, moment
}

// loadMoment is the moment of the loads at z, those at z itself not counted.
func (b *beam) loadMoment(z float64) (m [2]float64) {
	for _, l := range b.loads {
		if l.z < z {
			for d := range 2 {
				m[d] += l.force[d]*(z-l.z) - l.couple[d]
			}
		}
	}
	if b.weight > 0 {
		for i := range b.sections {
			q := &b.sections[i]
			from, to := float64(q.From), math.Min(float64(q.To), z)
			if to > from {
				m[1] -= b.lineWeight(q) * (to - from) * (z - (from+to)/2)
			}
		}
	}
	return m
}

// gaussPoints and gaussWeights integrate polynomials to the fifth degree over (−1, 1). Source: Abramowitz and Stegun, Handbook of Mathematical Functions, table 25.4.
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

// bent is the elastic deflection and slope at a station, from a straight start at the first cut.
type bent struct{ v, slope [2]float64 }

// deflect integrates the curvature up to z.
func (b *beam) deflect(z float64, force *[2][]float64) (out bent) {
	if len(b.sections) == 0 || len(b.cuts) == 0 {
		return out
	}
	at := b.cuts[0]
	step := func(to float64) {
		h := to - at
		ei := b.modulus * b.section((at+to)/2).secondMoment()
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
			out.v[d] += out.slope[d]*h + lift[d]
			out.slope[d] += turn[d]
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

// stress is the greatest bending stress and where: |M| D / 2 I at every change of moment or section, both sides of a step. Within a length under its own weight it is taken at the ends and three points.
func (b *beam) stress(force *[2][]float64) (greatest, z float64) {
	look := func(s, at float64) {
		q := b.section(s)
		m := b.moment(at, force)
		if v := math.Hypot(m[0], m[1]) * float64(q.Diameter) / 2 / q.secondMoment(); v > greatest {
			greatest, z = v, at
		}
	}
	for i := 1; i < len(b.cuts); i++ {
		a, c := b.cuts[i-1], b.cuts[i]
		mid := (a + c) / 2
		look(mid, a)
		look(mid, c)
		if b.weight > 0 {
			for _, t := range gaussPoints {
				look(mid, a+(c-a)*(1+t)/2)
			}
		}
	}
	return greatest, z
}
