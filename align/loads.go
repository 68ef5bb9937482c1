package align

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"example.com/borestack/align/internal/bend"
	"example.com/borestack/align/internal/shaftline"
	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// gravity is standard gravity in m/s². Source: ISO 80000-3:2019, item 3-11.2 note (9.80665
// exactly).
const gravity = 9.80665

// elastic reports whether side loads are asked for in a group: some shaft has sections.
func (k *kernel) elastic(group []int) bool {
	return slices.ContainsFunc(group, func(s int) bool { return len(k.stack.Shafts[s].Sections) > 0 })
}

// bend solves for the side loads of a group. Its answers stand in k.bender, circle by circle of
// k.bent.
func (k *kernel) bend(group []int) error {
	b := &k.bender
	k.bentOf = nil
	k.line.Gather(group)
	k.bent = append(k.bent[:0], k.line.Members...)
	b.Reset(len(group))
	for n, s := range group {
		k.stack.Shafts[s].layBeam(&b.Shafts[n])
	}
	for _, i := range k.bent {
		q := &k.circles[i]
		c := bend.Circle{Shaft: slices.Index(group, q.Shaft), Other: -1, Z: q.Z, X: q.X, Y: q.Y, Room: q.Radius}
		if q.Other >= 0 {
			c.Other = slices.Index(group, q.Other)
		} else if stiff := k.support(q.Holder).Stiffness; stiff.Given {
			c.Give = 1 / stiff.Value
		}
		b.Circles = append(b.Circles, c)
	}
	if err := b.Solve(); err != nil {
		at := 0
		if rigid := (*bend.RigidError)(nil); errors.As(err, &rigid) {
			at = rigid.Shaft
		}
		return k.loadsFailed(group[at], err)
	}
	k.bentOf = group
	return nil
}

// loadsFailed says of which shaft the side loads have no answer.
func (k *kernel) loadsFailed(shaft int, err error) error {
	return fmt.Errorf("align: side loads of shaft %q: %w: %w", k.stack.Shafts[shaft].Name, err, fault.ErrNotConverging)
}

// cubicMillimetre is in m³: densities are in kg/m³, sections in mm.
const cubicMillimetre = 1e-9

// layBeam sets dst to the shaft's sections and loads.
func (s *Shaft) layBeam(dst *bend.Shaft) {
	dst.Modulus, dst.Weight = s.Material.Value.Modulus.Value, s.Density.Value*gravity*cubicMillimetre
	dst.Sections, dst.Loads = dst.Sections[:0], dst.Loads[:0]
	for _, q := range s.Sections {
		dst.Sections = append(dst.Sections, bend.Section{From: float64(q.From), To: float64(q.To), Diameter: float64(q.Diameter), Bore: float64(q.Bore)})
	}
	for i := range s.Loads {
		dst.Loads = append(dst.Loads, s.Loads[i].onShaft())
	}
}

// onShaft is the force and couple of a load.
func (l *Load) onShaft() bend.Load {
	out := bend.Load{Z: float64(l.Z), Force: [2]float64{l.Force.X, l.Force.Y}}
	g := l.Gear
	if g == nil {
		return out
	}
	// Source: gear force components, any machine design text: tangential 2T/d, radial Ft tan α_n /
	// cos β, axial Ft tan β.
	radius := float64(g.PitchDiameter) / 2
	tangential := g.Torque * 1000 / radius // N·m to N·mm
	sin, cos := math.Sincos(float64(g.Mate))
	towards := [2]float64{sin, cos}
	clockwise := [2]float64{cos, -sin}
	separating := math.Abs(tangential) * math.Tan(float64(g.PressureAngle.Or(defaultPressureAngle))) / math.Cos(float64(g.Helix))
	axial := tangential * math.Tan(float64(g.Helix))
	for d := range 2 {
		out.Force[d] += tangential*clockwise[d] - separating*towards[d]
		out.Couple[d] = -axial * radius * towards[d]
	}
	return out
}

// sideLoads works out what every support and pocket of the elastic shafts feels, and how the gears
// between them run; nil when no shaft has sections.
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
		if err := k.bender.Runs(); err != nil {
			return nil, k.loadsFailed(g[0], err)
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
	b := &k.bender
	out.Residual = math.Max(out.Residual, b.Residual())
	for c := 0; c < len(k.bent); {
		q := &k.circles[k.bent[c]]
		s := SideLoad{Shaft: k.stack.Shafts[q.Shaft].Name, Name: k.circleName(q), Pocket: q.Other >= 0}
		z, first := 0.0, c
		for ; c < len(k.bent) && k.circles[k.bent[c]].Holder == q.Holder; c++ {
			f := Force{b.Force(c)[0], b.Force(c)[1]}
			s.Mouths = append(s.Mouths, f)
			s.Force.X += f.X
			s.Force.Y += f.Y
			z += k.circles[k.bent[c]].Z
		}
		n := c - first
		if n == 1 {
			s.Mouths = nil
		}
		k.describeRun(&s, q, &b.Circles[first], z/float64(n))
		out.At = append(out.At, s)
	}
	for n, s := range group {
		if len(k.stack.Shafts[s].Sections) == 0 {
			continue
		}
		stress, z := b.Stress(n)
		out.Shafts = append(out.Shafts, BentShaft{Name: k.stack.Shafts[s].Name, Stress: stress, StressAt: tolerance.Length(z), Bend: tolerance.Length(b.Bow(n))})
	}
}

// describeRun says how the shaft runs through circle q, in c as it was bent, at z.
func (k *kernel) describeRun(s *SideLoad, q *shaftline.Circle, c *bend.Circle, z float64) {
	run := k.bender.Run(c.Shaft, z)
	var from bend.Bent
	if c.Other >= 0 {
		from = k.bender.Run(c.Other, z)
	} else {
		axis := k.axisAt(k.lay.supports[q.Holder].boreAt)
		from = bend.Bent{At: [2]float64{axis.x, axis.y}, Slope: [2]float64{axis.sx, axis.sy}}
	}
	s.Slope = Slope{run.Slope[0], run.Slope[1]}
	s.Shift = Vec2{tolerance.Length(run.At[0] - from.At[0]), tolerance.Length(run.At[1] - from.At[1])}
	s.Tilt = Slope{run.Slope[0] - from.Slope[0], run.Slope[1] - from.Slope[1]}
	if c.Other < 0 {
		s.TiltRatio = ratioTo(s.Tilt.Size(), k.support(q.Holder).Tilt)
	}
}

// ratioTo is a size over what is given for it, more than 0; absent without.
func ratioTo[T ~float64](size float64, given tolerance.Optional[T]) (r tolerance.Optional[float64]) {
	if given.Given && given.Value > 0 {
		r = tolerance.Given(size / float64(given.Value))
	}
	return r
}

// sideForce is the size of the force at a holder; 0 where no shaft has sections.
func (k *kernel) sideForce(r *outputAt) (float64, error) {
	holder := r.index
	circle := slices.IndexFunc(k.circles, func(c shaftline.Circle) bool { return c.Holder == holder })
	at := slices.IndexFunc(k.lay.groups, func(g []int) bool { return slices.Contains(g, k.circles[circle].Shaft) })
	g := k.lay.groups[at]
	if !k.elastic(g) {
		return 0, nil
	}
	if len(k.bentOf) == 0 || k.bentOf[0] != g[0] {
		if err := k.bend(g); err != nil {
			return 0, err
		}
	}
	var x, y float64
	for c, i := range k.bent {
		if k.circles[i].Holder == holder {
			f := k.bender.Force(c)
			x, y = x+f[0], y+f[1]
		}
	}
	return math.Hypot(x, y), nil
}

// loaded reports whether any load acts on a shaft.
func (k *kernel) loaded() bool {
	return slices.ContainsFunc(k.stack.Shafts, func(s Shaft) bool { return len(s.Loads) > 0 || s.Density.Value > 0 })
}

// guides compares supports with what the machine's owner goes by.
func (k *kernel) guides(a *Assembly) {
	for i := range a.Supports {
		b, g := &a.Supports[i], &k.support(i).Guide
		b.Guides = GuideRatios{Offset: ratioTo(float64(b.Offset.Size()), g.Offset), Because: g.Because}
		if a.Loads == nil {
			continue
		}
		for _, l := range a.Loads.At {
			if !l.Pocket && l.Name == b.Bore {
				b.Guides.Force = ratioTo(math.Hypot(l.Force.X, l.Force.Y), g.Force)
			}
		}
	}
}
