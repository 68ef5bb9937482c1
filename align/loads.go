package align

import (
	"errors"
	"fmt"
	"math"

	"example.com/borestack/align/internal/contact"
	"example.com/borestack/align/internal/dense"
	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// bender works out the side loads of one group of coupled shafts at a time. Forces are those of the housing on the shaft, in newtons; a pocket's acts on its first-named shaft and, turned round, on the other.
//
// Of all forces in equilibrium with the loads, F = F0 + B m, those act that make the complementary energy least: ∫ M²/2EI, less the work of the bores' positions, plus room·|F|, plus |F|²/2k where a support yields.
//
// Source: Castigliano's principle of least work; Euler-Bernoulli beams.
type bender struct {
	problem contact.Problem
	beams   []beam
	rows    []float64 // equilibrium of every shaft: shift and slope, by circle
	order   []int     // per circle: the row that it was solved for, or -1
	unit    []float64 // moment per unknown at a station
	line    []float64 // rigid part of every shaft: shift and slope, both planes
	normal  []float64
	mid     float64
	half    float64
}

// loadsSettled is the greatest residual of side loads that stand. A residual is a share of the greatest displacement, or force, among the conditions: a shaft bent by 1 mm is then right to a nanometre, and 1,000 N to a thousandth of a newton, which nobody can read. Rounding alone leaves less than a tenth of it where a circle is just touched.
const loadsSettled = 1e-6

// elastic reports whether side loads are asked for in a group: some shaft has sections.
func (k *kernel) elastic(group []int) bool {
	for _, s := range group {
		if len(k.stack.Shafts[s].Sections) > 0 {
			return true
		}
	}
	return false
}

// bend solves for the side loads of a group. Its answers stand in k.bender.
func (k *kernel) bend(group []int) error {
	k.gather(group)
	b := &k.bender
	if len(b.beams) < len(group) {
		b.beams = append(b.beams, make([]beam, len(group)-len(b.beams))...)
	}
	for n, s := range group {
		b.beams[n].reset(&k.stack.Shafts[s])
	}
	for c, i := range k.line.members {
		q := &k.circles[i]
		one := &b.beams[k.line.slot[q.shaft]]
		one.points = append(one.points, beamPoint{q.z, c, 1})
		if q.other >= 0 {
			two := &b.beams[k.line.slot[q.other]]
			two.points = append(two.points, beamPoint{q.z, c, -1})
		}
	}
	for n := range group {
		b.beams[n].lay()
	}
	if err := k.equilibrium(group); err != nil {
		return err
	}
	k.flexibility(group)
	err := b.problem.Solve()
	if err == nil {
		err = loadsAgree(b.problem.Residual)
	}
	if err == nil {
		return nil
	}
	s := &k.stack.Shafts[group[0]]
	for _, n := range group {
		if errors.Is(err, contact.ErrNoBalance) && len(k.stack.Shafts[n].Sections) == 0 {
			return fmt.Errorf("align: side loads of shaft %q: a shaft without sections is rigid and cannot bend into its supports: %w", k.stack.Shafts[n].Name, fault.ErrNotConverging)
		}
	}
	return fmt.Errorf("align: side loads of shaft %q: %w: want sections of comparable stiffness and supports apart: %w", s.Name, err, fault.ErrNotConverging)
}

// loadsAgree is nil for a residual of side loads that stand.
func loadsAgree(residual float64) error {
	if !(residual <= loadsSettled) {
		return fmt.Errorf("forces and contacts disagree by %.1g of the greatest", residual)
	}
	return nil
}

// equilibrium finds a first set of forces that holds the loads, and the sets that hold nothing.
func (k *kernel) equilibrium(group []int) error {
	b, l := &k.bender, &k.line
	n, m := 2*len(group), len(l.members)
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, i := range l.members {
		lo, hi = math.Min(lo, k.circles[i].z), math.Max(hi, k.circles[i].z)
	}
	b.mid, b.half = (lo+hi)/2, math.Max((hi-lo)/2, math.SmallestNonzeroFloat64)
	width := m + 2
	b.rows = resize(b.rows, n*width)
	clear(b.rows)
	k.equilibriumRows(b.rows, width)
	var greatest float64
	for s := range group {
		force, moment := b.beams[s].resultant()
		for d := range 2 {
			b.rows[2*s*width+m+d] = -force[d]
			b.rows[(2*s+1)*width+m+d] = -(moment[d] - force[d]*b.mid) / b.half
			greatest = math.Max(greatest, math.Max(math.Abs(force[d]), math.Abs(moment[d])/b.half))
		}
	}
	b.order = resize(b.order, m)
	rank := reduceRows(b.rows, n, m, width, b.order)
	for r := rank; r < n; r++ {
		for d := range 2 {
			if math.Abs(b.rows[r*width+m+d]) > samePlace*greatest {
				return fmt.Errorf("align: side loads of shaft %q: its supports do not hold its loads: %w", k.stack.Shafts[group[0]].Name, fault.ErrNotConverging)
			}
		}
	}
	p := &b.problem
	p.Reset(m-rank, m)
	u := 0
	for c := range m {
		if r := b.order[c]; r >= 0 {
			p.F0[0][c], p.F0[1][c] = b.rows[r*width+m], b.rows[r*width+m+1]
			continue
		}
		for other := range m {
			if r := b.order[other]; r >= 0 {
				p.B[other*p.Unknowns+u] = -b.rows[r*width+c]
			}
		}
		p.B[c*p.Unknowns+u] = 1
		u++
	}
	return nil
}

// equilibriumRows puts each circle's part in the shift and the slope of its shafts.
func (k *kernel) equilibriumRows(rows []float64, width int) {
	b, l := &k.bender, &k.line
	for c, i := range l.members {
		q := &k.circles[i]
		z := (q.z - b.mid) / b.half
		s := 2 * l.slot[q.shaft]
		rows[s*width+c], rows[(s+1)*width+c] = 1, z
		if q.other >= 0 {
			s = 2 * l.slot[q.other]
			rows[s*width+c], rows[(s+1)*width+c] = -1, -z
		}
	}
}

// flexibility fills in the energy of the unknown forces.
func (k *kernel) flexibility(group []int) {
	b, l := &k.bender, &k.line
	p := &b.problem
	u := p.Unknowns
	b.unit = resize(b.unit, u)
	for n := range group {
		beam := &b.beams[n]
		if len(beam.sections) == 0 {
			continue
		}
		for i := 1; i < len(beam.cuts); i++ {
			from, to := beam.cuts[i-1], beam.cuts[i]
			ei := beam.modulus * beam.section((from+to)/2).secondMoment()
			for g, t := range gaussPoints {
				z := from + (to-from)*(1+t)/2
				w := gaussWeights[g] * (to - from) / 2 / ei
				clear(b.unit)
				m0 := beam.loadMoment(z)
				for _, q := range beam.points {
					if q.z >= z {
						continue
					}
					arm := q.sign * (z - q.z)
					for j := range b.unit {
						b.unit[j] += arm * p.B[q.circle*u+j]
					}
					m0[0] += arm * p.F0[0][q.circle]
					m0[1] += arm * p.F0[1][q.circle]
				}
				for j, x := range b.unit {
					p.C[0][j] += w * x * m0[0]
					p.C[1][j] += w * x * m0[1]
					for i, y := range b.unit[:j+1] {
						p.A[j*u+i] += w * x * y
					}
				}
			}
		}
	}
	for j := range u {
		for i := range j {
			p.A[i*u+j] = p.A[j*u+i]
		}
	}
	for c, i := range l.members {
		q := &k.circles[i]
		p.Room[c] = q.room
		if q.support < 0 {
			continue
		}
		if stiff := k.support(q.support).Stiffness; stiff.Given {
			p.Give[c] = 1 / stiff.Value
		}
		for j := range u {
			p.C[0][j] -= p.B[c*u+j] * q.x
			p.C[1][j] -= p.B[c*u+j] * q.y
		}
	}
}

// rigidPart finds each shaft's shift and slope from where the shafts stand in their circles: every circle says it, and they agree.
func (k *kernel) rigidPart(group []int) error {
	b, l := &k.bender, &k.line
	p := &b.problem
	n, m := 2*len(group), len(l.members)
	b.rows = resize(b.rows, n*m)
	clear(b.rows)
	k.equilibriumRows(b.rows, m)
	b.normal = resize(b.normal, n*n)
	for i := range n {
		for j := range n {
			var s float64
			for c := range m {
				s += b.rows[i*m+c] * b.rows[j*m+c]
			}
			b.normal[i*n+j] = s
		}
	}
	dense.Cholesky(b.normal, n)
	b.line = resize(b.line, 2*n)
	clear(b.line)
	for c, i := range l.members {
		q := &k.circles[i]
		at := [2]float64{q.x, q.y}
		if q.other >= 0 {
			at = [2]float64{}
		}
		one := b.beams[l.slot[q.shaft]].deflect(q.z, &p.F)
		var two bent
		if q.other >= 0 {
			two = b.beams[l.slot[q.other]].deflect(q.z, &p.F)
		}
		for d := range 2 {
			v := at[d] - p.Gap[d][c] - p.Give[c]*p.F[d][c] - (one.v[d] - two.v[d])
			for r := range n {
				b.line[d*n+r] += b.rows[r*m+c] * v
			}
		}
	}
	for d := range 2 {
		dense.Solve(b.normal, n, b.line[d*n:(d+1)*n])
	}
	for _, v := range b.line {
		if v-v != 0 {
			return fmt.Errorf("align: side loads of shaft %q: its sections have no stiffness to speak of: %w", k.stack.Shafts[group[0]].Name, fault.ErrNotConverging)
		}
	}
	return nil
}

// shaftAt is where the shaft in place s of the group runs at z, and its slope, in S.
func (b *bender) shaftAt(s int, z float64) (out bent) {
	out = b.beams[s].deflect(z, &b.problem.F)
	n := len(b.line) / 2
	for d := range 2 {
		shift, slope := b.line[d*n+2*s], b.line[d*n+2*s+1]
		out.v[d] += shift + slope*(z-b.mid)/b.half
		out.slope[d] += slope / b.half
	}
	return out
}

// sideLoads works out what every support and pocket of the elastic shafts feels, and how the gears between them run; nil when no shaft has sections.
func (k *kernel) sideLoads(meshes []MeshFit) (*SideLoads, error) {
	var out *SideLoads
	axes := make(bentAxes, len(meshes))
	for _, g := range k.lay.groups {
		if !k.elastic(g) {
			continue
		}
		if err := k.bend(g); err != nil {
			return nil, err
		}
		if err := k.rigidPart(g); err != nil {
			return nil, err
		}
		if out == nil {
			out = &SideLoads{}
		}
		k.describeLoads(out, g)
		axes.note(k, g)
	}
	return out, k.meshRuns(meshes, axes)
}

// describeLoads adds the group last bent.
func (k *kernel) describeLoads(out *SideLoads, group []int) {
	b, l := &k.bender, &k.line
	p := &b.problem
	out.Residual = math.Max(out.Residual, p.Residual)
	for c := 0; c < len(l.members); {
		q := &k.circles[l.members[c]]
		s := SideLoad{Shaft: k.stack.Shafts[q.shaft].Name, Name: k.circleName(q), Pocket: q.pocket >= 0}
		z, n := 0.0, 0
		for ; c < len(l.members) && k.sameHolder(q, &k.circles[l.members[c]]); c++ {
			f := Force{p.F[0][c], p.F[1][c]}
			s.Mouths = append(s.Mouths, f)
			s.Force.X += f.X
			s.Force.Y += f.Y
			z += k.circles[l.members[c]].z
			n++
		}
		if n == 1 {
			s.Mouths = nil
		}
		z /= float64(n)
		run := b.shaftAt(l.slot[q.shaft], z)
		s.Slope = Slope{run.slope[0], run.slope[1]}
		s.Shift = Vec2{tolerance.Length(run.v[0]), tolerance.Length(run.v[1])}
		if q.support >= 0 {
			at := k.lay.supports[q.support].boreAt
			centre := k.centre(at)
			sx, sy := k.slope(at)
			s.Shift.X -= tolerance.Length(centre.X)
			s.Shift.Y -= tolerance.Length(centre.Y)
			s.Tilt = Slope{run.slope[0] - sx, run.slope[1] - sy}
			if t := k.support(q.support).Tilt; t.Given && t.Value > 0 {
				s.TiltRatio = tolerance.Given(math.Hypot(s.Tilt.X, s.Tilt.Y) / t.Value)
			}
		} else {
			other := b.shaftAt(l.slot[q.other], z)
			s.Shift.X -= tolerance.Length(other.v[0])
			s.Shift.Y -= tolerance.Length(other.v[1])
			s.Tilt = Slope{run.slope[0] - other.slope[0], run.slope[1] - other.slope[1]}
		}
		out.At = append(out.At, s)
	}
	for n, s := range group {
		if len(k.stack.Shafts[s].Sections) == 0 {
			continue
		}
		stress, z := b.beams[n].stress(&p.F)
		out.Shafts = append(out.Shafts, BentShaft{Name: k.stack.Shafts[s].Name, Stress: stress, StressAt: tolerance.Length(z), Bend: tolerance.Length(k.bow(n))})
	}
}

// sameHolder reports whether two circles are the mouths of one bush or pocket.
func (k *kernel) sameHolder(a, b *circle) bool { return a.support == b.support && a.pocket == b.pocket }

// bow is how far the shaft in place s of the group bends from the chord between its first and last circle, at the circles and changes of section.
func (k *kernel) bow(s int) float64 {
	b := &k.bender
	beam := &b.beams[s]
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, p := range beam.points {
		lo, hi = math.Min(lo, p.z), math.Max(hi, p.z)
	}
	if !(hi > lo) {
		return 0
	}
	first, last := b.shaftAt(s, lo), b.shaftAt(s, hi)
	var most float64
	for _, z := range beam.cuts {
		at := b.shaftAt(s, z)
		t := (z - lo) / (hi - lo)
		var off [2]float64
		for d := range 2 {
			off[d] = at.v[d] - first.v[d] - t*(last.v[d]-first.v[d])
		}
		most = math.Max(most, math.Hypot(off[0], off[1]))
	}
	return most
}

// sideForce is the size of the force at support i or pocket p (the other is -1).
func (k *kernel) sideForce(support, pocket int) (float64, error) {
	for _, g := range k.lay.groups {
		if !k.elastic(g) {
			continue
		}
		holds := false
		for i := range k.circles {
			c := &k.circles[i]
			if c.support == support && c.pocket == pocket {
				for _, s := range g {
					holds = holds || s == c.shaft
				}
			}
		}
		if !holds {
			continue
		}
		if err := k.bend(g); err != nil {
			return 0, err
		}
		var x, y float64
		for c, i := range k.line.members {
			if q := &k.circles[i]; q.support == support && q.pocket == pocket {
				x += k.bender.problem.F[0][c]
				y += k.bender.problem.F[1][c]
			}
		}
		return math.Hypot(x, y), nil
	}
	return 0, nil
}

// loaded reports whether any load acts on a shaft.
func (k *kernel) loaded() bool {
	for i := range k.stack.Shafts {
		if s := &k.stack.Shafts[i]; len(s.Loads) > 0 || s.Density.Value > 0 {
			return true
		}
	}
	return false
}

// guides compares supports with what the machine's owner goes by.
func (k *kernel) guides(a *Assembly) {
	for i := range a.Supports {
		b, g := &a.Supports[i], &k.support(i).Guide
		b.Guides.Because = g.Because
		if g.Offset.Given && g.Offset.Value > 0 {
			b.Guides.Offset = tolerance.Given(math.Hypot(float64(b.Offset.X), float64(b.Offset.Y)) / float64(g.Offset.Value))
		}
		if !g.Force.Given || g.Force.Value <= 0 || a.Loads == nil {
			continue
		}
		for _, l := range a.Loads.At {
			if !l.Pocket && l.Name == b.Bore {
				b.Guides.Force = tolerance.Given(math.Hypot(l.Force.X, l.Force.Y) / g.Force.Value)
			}
		}
	}
}
