package align_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"example.com/borestack/internal/check"

	"example.com/borestack/align"
	"example.com/borestack/tolerance"
)

// A shaft on two bearings with clearance, unequally loaded: statics gives both forces, so each bearing is touched on its rim along its force, whatever the other one carries.
//
// Source: hand calculation. 1,000 N along (2, -1)/√5 at z = 100 between supports at 0 and 400: three quarters in front, one quarter behind, against the pull. The rigid part is the chord between the two rims, here parallel to the axis; the end slopes are F a b (L + b)/(6 L EI) in front and F a b (L + a)/(6 L EI) behind (any beam table).
func TestLoads_twoBearingsUnequalSplit(t *testing.T) {
	const length, near, clearance, pull = 400.0, 100.0, 0.05, 1000.0
	far := length - near
	dx, dy := 2/math.Sqrt(5), -1/math.Sqrt(5)
	s := bed(at(0, 0, 0), at(0, 0, length))
	for i := range s.Shafts[0].Supports {
		s.Shafts[0].Supports[i].Clearance = clearance
	}
	s.Shafts[0].Loads = []align.Load{{Name: "pull", Z: near, Force: align.Force{X: pull * dx, Y: pull * dy}}}
	l := bend(t, s).Loads
	ei := 207000 * math.Pi / 64 * 30 * 30 * 30 * 30
	front := pull * near * far * (length + far) / (6 * length * ei)
	rear := -pull * near * far * (length + near) / (6 * length * ei)
	for i, want := range [2]struct{ force, slope float64 }{{pull * far / length, front}, {pull * near / length, rear}} {
		g := l.At[i]
		check.Relative(t, "force x", g.Force.X, -want.force*dx, 1e-12)
		check.Relative(t, "force y", g.Force.Y, -want.force*dy, 1e-12)
		check.Relative(t, "shift x", float64(g.Shift.X), clearance/2*dx, 1e-12)
		check.Relative(t, "shift y", float64(g.Shift.Y), clearance/2*dy, 1e-12)
		check.Relative(t, "slope x", g.Slope.X, want.slope*dx, 1e-11)
		check.Relative(t, "slope y", g.Slope.Y, want.slope*dy, 1e-11)
	}
	// A load that points the other way at one bearing tips the shaft from rim to rim. Source: hand calculation: at z = 500 the front bearing holds it down with a quarter of the load.
	s.Shafts[0].Loads[0].Z = 500
	l = bend(t, s).Loads
	check.Relative(t, "front force", l.At[0].Force.X, pull/4*dx, 1e-12)
	check.Relative(t, "front shift", float64(l.At[0].Shift.X), -clearance/2*dx, 1e-12)
	check.Relative(t, "rear shift", float64(l.At[1].Shift.X), clearance/2*dx, 1e-12)
	// Between the supports the shaft bends as under a couple of 100 mm times the load at its rear end.
	check.Relative(t, "front slope", l.At[0].Slope.X, (clearance/length-pull*100*length/(6*ei))*dx, 1e-11)
}

// A load right over one bearing leaves the other without force: it must lie within its room, no more can be said, and rounding must not throw it anywhere.
func TestLoads_oneBearingUnloaded(t *testing.T) {
	for _, place := range []float64{0, 1e-17, 1e-12, 400, 400 - 1e-13} {
		s := bed(at(0.1, 0.3, 0), at(0.1, 0.3, 400))
		for i := range s.Shafts[0].Supports {
			s.Shafts[0].Supports[i].Clearance = 0.05
		}
		s.Shafts[0].Loads = []align.Load{{Name: "pull", Z: tolerance.Length(place), Force: align.Force{X: 300, Y: -400}}}
		checkContact(t, s, fmt.Sprintf("load at %v", place))
	}
}

// heldShafts makes one or two loaded shafts on two to five supports each, bushes and springs among them, coupled by a pocket with or without a width.
func heldShafts(r *rand.Rand) align.Stack {
	s := align.Stack{Parts: []align.Part{{Name: "bed"}}}
	z := 0.0
	for n := range 1 + r.IntN(2) {
		name := fmt.Sprintf("shaft %d", n)
		shaft := align.Shaft{Name: name, Material: tolerance.Given(tolerance.Material{Modulus: tolerance.Given(207000.0)})}
		from := z
		supports := 2 + r.IntN(4)
		if n == 1 {
			supports = 1 + r.IntN(4) // its pocket may be its second
		}
		for i := range supports {
			z += 40 + 160*r.Float64()
			bore := fmt.Sprintf("%d-%d", n, i)
			s.Parts[0].Bores = append(s.Parts[0].Bores, align.Bore{
				Name: bore, Centre: at(0.05*r.NormFloat64(), 0.05*r.NormFloat64(), z),
				Slope: align.Slope{X: 2e-4 * r.NormFloat64(), Y: 2e-4 * r.NormFloat64()},
			})
			sup := align.Support{Bore: "bed/" + bore, Clearance: tolerance.Diametral(0.1 * r.Float64())}
			switch r.IntN(4) {
			case 0:
				sup.Kind, sup.Width = align.Bush, tolerance.Length(10+20*r.Float64())
			case 1:
				sup.Stiffness = tolerance.Given(math.Pow(10, 3+2*r.Float64()))
			}
			shaft.Supports = append(shaft.Supports, sup)
		}
		middle := (from + z) / 2
		shaft.Sections = []align.Section{
			{From: tolerance.Length(from), To: tolerance.Length(middle), Diameter: tolerance.Length(20 + 30*r.Float64())},
			{From: tolerance.Length(middle), To: tolerance.Length(z + 30), Diameter: tolerance.Length(20 + 30*r.Float64()), Bore: 8},
		}
		for i := range r.IntN(3) {
			shaft.Loads = append(shaft.Loads, align.Load{
				Name: fmt.Sprintf("pull %d", i), Z: tolerance.Length(from + (z+20-from)*r.Float64()),
				Force: align.Force{X: 400 * r.NormFloat64(), Y: 400 * r.NormFloat64()},
			})
		}
		if r.IntN(3) == 0 {
			shaft.Density = tolerance.Given(7850.0)
		}
		s.Shafts = append(s.Shafts, shaft)
		z += 10
	}
	if len(s.Shafts) == 2 {
		p := align.Pocket{
			Name: "pocket", Between: [2]string{"shaft 0", "shaft 1"}, Clearance: tolerance.Diametral(0.05 * r.Float64()),
			Z: s.Shafts[0].Sections[1].To - 10,
		}
		if r.IntN(2) == 0 {
			p.Width = tolerance.Given(tolerance.Length(8))
		}
		s.Pockets = []align.Pocket{p}
	}
	return s
}

// The contact law at every circle of many random loaded shafts.
func TestLoads_contactLaw(t *testing.T) {
	r := rand.New(rand.NewPCG(91, 4))
	for n := range 400 {
		checkContact(t, heldShafts(r), fmt.Sprintf("box %d", n))
	}
}

// checkContact works out, from the reported forces alone, how each shaft bends (the moment over EI integrated twice, numerically), lays it where the report puts its first support, and checks that every other reported shift and slope agrees and that every circle obeys the contact law: never outside its room, and on its rim against the force where it carries one. It shares nothing with the solver but the report.
func checkContact(t *testing.T, s align.Stack, what string) {
	t.Helper()
	a, err := s.Solve()
	if err != nil {
		t.Errorf("%s: %v", what, err)
		return
	}
	var most float64
	for _, l := range a.Loads.At {
		most = math.Max(most, math.Hypot(l.Force.X, l.Force.Y))
		for _, m := range l.Mouths {
			most = math.Max(most, math.Hypot(m.X, m.Y))
		}
	}
	shapes := map[string]*shape{}
	for i := range s.Shafts {
		shapes[s.Shafts[i].Name] = shapeOf(&s, &s.Shafts[i], a.Loads)
	}
	at := 0
	centre := map[string]align.Bore{}
	for _, b := range s.Parts[0].Bores {
		centre["bed/"+b.Name] = b
	}
	const near = 1e-8 // mm: what a quadrature of a few hundred steps is good for
	law := func(where string, off [2]float64, room, give float64, f align.Force) {
		t.Helper()
		size := math.Hypot(f.X, f.Y)
		reach := math.Hypot(off[0], off[1])
		if reach > room+give*size+near {
			t.Errorf("%s: %s leaves its room by %v mm", what, where, reach-room-give*size)
		}
		if size <= 1e-7*most {
			return
		}
		for d, c := range [2]float64{f.X, f.Y} {
			if want := -(room/size + give) * c; math.Abs(off[d]-want) > near {
				t.Errorf("%s: %s bears with %v N of %v and lies at %v, not at %v along its force", what, where, size, most, off[d], want)
			}
		}
	}
	for i := range s.Shafts {
		run := shapes[s.Shafts[i].Name]
		for j := range s.Shafts[i].Supports {
			sup := &s.Shafts[i].Supports[j]
			l := &a.Loads.At[at]
			at++
			bore := centre[sup.Bore]
			z := float64(bore.Centre.Z)
			if j == 0 {
				run.lay(z, [2]float64{float64(bore.Centre.X + l.Shift.X), float64(bore.Centre.Y + l.Shift.Y)}, [2]float64{l.Slope.X, l.Slope.Y})
			}
			v, slope := run.at(z)
			for d, got := range [2][2]float64{
				{v[0] - float64(bore.Centre.X+l.Shift.X), slope[0] - l.Slope.X},
				{v[1] - float64(bore.Centre.Y+l.Shift.Y), slope[1] - l.Slope.Y},
			} {
				if math.Abs(got[0]) > near || math.Abs(got[1]) > near/10 {
					t.Errorf("%s: %s, direction %d: the shape from the forces differs by %v mm and %v", what, sup.Bore, d, got[0], got[1])
				}
			}
			var give float64
			if sup.Stiffness.Given {
				give = 1 / sup.Stiffness.Value
			}
			offsets, forces := []float64{0}, []align.Force{l.Force}
			if sup.Kind == align.Bush {
				offsets, forces = []float64{-float64(sup.Width) / 2, float64(sup.Width) / 2}, l.Mouths
			}
			for m, o := range offsets {
				v, _ := run.at(z + o)
				law(fmt.Sprintf("%s at %+.1f", sup.Bore, o), [2]float64{
					v[0] - float64(bore.Centre.X) - bore.Slope.X*o, v[1] - float64(bore.Centre.Y) - bore.Slope.Y*o,
				}, float64(sup.Clearance)/2, give, forces[m])
			}
		}
	}
	for i := range s.Pockets {
		p := &s.Pockets[i]
		l := &a.Loads.At[at]
		at++
		offsets, forces := []float64{0}, []align.Force{l.Force}
		if p.Width.Given {
			offsets, forces = []float64{-float64(p.Width.Value) / 2, float64(p.Width.Value) / 2}, l.Mouths
		}
		for m, o := range offsets {
			one, _ := shapes[p.Between[0]].at(float64(p.Z) + o)
			two, _ := shapes[p.Between[1]].at(float64(p.Z) + o)
			law(fmt.Sprintf("%s at %+.1f", p.Name, o), [2]float64{one[0] - two[0], one[1] - two[1]}, float64(p.Clearance)/2, 0, forces[m])
		}
	}
}

// shape is the elastic line of one shaft: where it is cut, and there the deflection and slope from a straight start, in both planes; the rigid part is laid by [shape.lay].
type shape struct {
	z             []float64
	v, slope      [][2]float64
	curvature     func(z float64, d int) float64
	shift, turned [2]float64
	about         float64
}

// shapeOf integrates the moments of the reported forces and the shaft's own loads.
func shapeOf(s *align.Stack, shaft *align.Shaft, loads *align.SideLoads) *shape {
	type push struct {
		z float64
		f [2]float64
	}
	var pushes []push
	press := func(z, width, sign float64, l *align.SideLoad) {
		if l.Mouths == nil {
			pushes = append(pushes, push{z, [2]float64{sign * l.Force.X, sign * l.Force.Y}})
			return
		}
		for m, f := range l.Mouths {
			pushes = append(pushes, push{z + width*(float64(m)-0.5), [2]float64{sign * f.X, sign * f.Y}})
		}
	}
	for i := range loads.At {
		l := &loads.At[i]
		if l.Pocket {
			p := &s.Pockets[0]
			switch shaft.Name {
			case p.Between[0]:
				press(float64(p.Z), float64(p.Width.Value), 1, l)
			case p.Between[1]:
				press(float64(p.Z), float64(p.Width.Value), -1, l)
			}
			continue
		}
		for j := range shaft.Supports {
			if sup := &shaft.Supports[j]; sup.Bore == l.Name {
				for _, b := range s.Parts[0].Bores {
					if "bed/"+b.Name == l.Name {
						press(float64(b.Centre.Z), float64(sup.Width), 1, l)
					}
				}
			}
		}
	}
	for _, l := range shaft.Loads {
		pushes = append(pushes, push{float64(l.Z), [2]float64{l.Force.X, l.Force.Y}})
	}
	out := &shape{}
	for _, p := range pushes {
		out.z = append(out.z, p.z)
	}
	for _, q := range shaft.Sections {
		out.z = append(out.z, float64(q.From), float64(q.To))
	}
	slices.Sort(out.z)
	out.z = slices.Compact(out.z)
	out.curvature = func(z float64, d int) float64 {
		q := &shaft.Sections[0]
		for i := range shaft.Sections {
			if z > float64(shaft.Sections[i].From) {
				q = &shaft.Sections[i]
			}
		}
		var m float64
		for _, p := range pushes {
			m += p.f[d] * math.Max(z-p.z, 0)
		}
		for i := range shaft.Sections {
			w := &shaft.Sections[i]
			if ahead := math.Max(math.Min(z, float64(w.To))-float64(w.From), 0); d == 1 && shaft.Density.Given {
				area := math.Pi / 4 * (math.Pow(float64(w.Diameter), 2) - math.Pow(float64(w.Bore), 2))
				m -= shaft.Density.Value * 1e-9 * 9.80665 * area * ahead * (z - float64(w.From) - ahead/2)
			}
		}
		return m / (shaft.Material.Value.Modulus.Value * math.Pi / 64 * (math.Pow(float64(q.Diameter), 4) - math.Pow(float64(q.Bore), 4)))
	}
	out.v, out.slope = make([][2]float64, len(out.z)), make([][2]float64, len(out.z))
	for i := 1; i < len(out.z); i++ {
		out.v[i], out.slope[i] = out.step(i-1, out.z[i])
	}
	return out
}

// step goes from cut i to z, short of the next cut: Simpson's rule, exact for the quadratic moment of a uniform weight.
func (s *shape) step(i int, z float64) (v, slope [2]float64) {
	h := z - s.z[i]
	inside := 1e-9 * h // so that the section is that between the cuts
	for d := range 2 {
		a, m, b := s.curvature(s.z[i]+inside, d), s.curvature(s.z[i]+h/2, d), s.curvature(z-inside, d)
		slope[d] = s.slope[i][d] + h*(a+4*m+b)/6
		v[d] = s.v[i][d] + h*s.slope[i][d] + h*h*(a+2*m)/6
	}
	return v, slope
}

// at is where the shaft runs at z, and its slope.
func (s *shape) at(z float64) (v, slope [2]float64) {
	i := 0
	for i+1 < len(s.z)-1 && s.z[i+1] <= z {
		i++
	}
	v, slope = s.step(i, z)
	for d := range 2 {
		v[d] += s.shift[d] + s.turned[d]*(z-s.about)
		slope[d] += s.turned[d]
	}
	return v, slope
}

// lay moves the shaft as a rigid body so that it runs through v with this slope at z.
func (s *shape) lay(z float64, v, slope [2]float64) {
	is, turn := s.at(z)
	s.about = z
	for d := range 2 {
		s.shift[d] = v[d] - is[d]
		s.turned[d] = slope[d] - turn[d]
	}
}
