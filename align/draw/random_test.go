package draw_test

import (
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"example.com/borestack/align"
	"example.com/borestack/align/draw"
	"example.com/borestack/tolerance"
)

// names that a record may carry: plain, long, hostile to markup, in other scripts and directions.
var names = []string{
	"case", "tail", "p", "front bearing", "a rather long name that no drawing would ever give to a bearing of any kind",
	`<script>alert("x")<!--`, `"quoted" & 'so' <b>`, "]]>", "&amp;", "WWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWW", "iiiiiiiiiiiiiii",
	"\u202egnirts a", "подшипник задний", "軸受", "مبيت الذيل", "e\u0301\u0301\u0301\u0301\u0301", "tab\there", "𒐫𒐫𒐫", "Lager № 3 – Ø", "x\x01y",
}

// randomStack is a stack that may or may not validate: parts of every kind, pilots, pins, bolts, readings, several shafts.
func randomStack(r *rand.Rand) align.Stack {
	l := func(v float64) tolerance.Length { return tolerance.Length(v) }
	name := func(n int) string { return fmt.Sprintf("%s %d", names[r.IntN(len(names))], n) }
	bit := func(size float64) tolerance.Length { return l(size * r.NormFloat64()) }
	size := math.Pow(10, 1.3+1.5*r.Float64()) // of the machine's radius, 20 to 600 mm
	fine := math.Pow(10, -3+2*r.Float64())    // of its deviations, 1 to 100 micrometres
	s := align.Stack{Title: strings.Repeat(name(0)+" ", 1+r.IntN(3))}
	parts := 1 + r.IntN(3+r.IntN(2))
	var bores []string
	thick := size * (.2 + 2*r.Float64())
	pilotD := size * 1.2
	for i := range parts {
		p := align.Part{Name: name(i), Turned: r.IntN(6) == 0}
		front := &align.Face{Z: bit(fine), Slope: align.Slope{X: fine / size * r.NormFloat64(), Y: fine / size * r.NormFloat64()}}
		rear := &align.Face{Z: l(thick), Slope: align.Slope{X: fine / size * r.NormFloat64(), Y: fine / size * r.NormFloat64()}}
		if r.IntN(3) == 0 {
			n := 3 + r.IntN(14)
			th := &align.Thickness{Radius: l(size * .8)}
			for range n {
				th.Values = append(th.Values, []tolerance.Length{l(thick) + bit(fine)})
			}
			th.FromNose = r.IntN(2) == 0
			front, rear = &align.Face{}, &align.Face{Thickness: th}
		}
		for _, f := range []*align.Face{front, rear} {
			if r.IntN(4) > 0 {
				f.Diameter = tolerance.Given(l(2 * size))
			}
		}
		hole := func(n string, k int) align.Dowel {
			return align.Dowel{Name: n, Centre: align.Vec2{X: l(size*.9*math.Sin(float64(k+1))) + bit(fine/5), Y: l(size*.9*math.Cos(float64(k+1))) + bit(fine/5)}, Diameter: l(size*.05) + l(fine)}
		}
		mirror := func(f *align.Face) {
			if p.Turned {
				for k := range f.Dowels {
					f.Dowels[k].Centre.X = -f.Dowels[k].Centre.X
				}
			}
		}
		rear.Pilot = &align.Pilot{Kind: align.PilotBore, Centre: align.Vec2{X: bit(fine / 5), Y: bit(fine / 5)}, Diameter: l(pilotD + fine*r.Float64())}
		front.Pilot = &align.Pilot{Kind: align.Spigot, Centre: align.Vec2{X: bit(fine / 5), Y: bit(fine / 5)}, Diameter: l(pilotD)}
		pins := r.IntN(3)
		for k := range 2 {
			front.Dowels = append(front.Dowels, hole(fmt.Sprintf("pin %d", k), k))
			rear.Dowels = append(rear.Dowels, hole(fmt.Sprintf("pin %d", k), k))
		}
		if p.Turned {
			front, rear = rear, front
			front.Z, rear.Z = -front.Z, -rear.Z
			if front.Thickness != nil {
				rear.Thickness, front.Thickness = front.Thickness, nil
			}
		}
		mirror(front)
		mirror(rear)
		p.Front, p.Rear = front, rear
		for k := range 1 + r.IntN(3) {
			n := name(k)
			z := thick * r.Float64()
			if p.Turned {
				z = -z
			}
			b := align.Bore{Name: n, Centre: align.Vec3{X: bit(fine), Y: bit(fine), Z: l(z)}, Slope: align.Slope{X: fine / size * r.NormFloat64()}}
			if r.IntN(2) == 0 {
				b.Diameter = tolerance.Given(l(size * .5))
			}
			p.Bores = append(p.Bores, b)
			bores = append(bores, p.Name+"/"+n)
		}
		s.Parts = append(s.Parts, p)
		if i == 0 {
			continue
		}
		j := align.Joint{Lies: align.LiesRest}
		if r.IntN(6) == 0 { // evaluating a float takes most of the time, and changes few labels
			j.Lies = align.Lie(r.IntN(3))
		}
		if r.IntN(2) == 0 {
			j.Name = "joint " + name(i)
		}
		for k := range pins {
			j.Pins = append(j.Pins, align.Pin{Dowel: fmt.Sprintf("pin %d", k), Diameter: l(size * .05), Pressed: align.Press(r.IntN(3))})
		}
		if r.IntN(3) == 0 {
			j.Engagement = tolerance.Given(l(size * .1))
		}
		if r.IntN(3) == 0 {
			j.Gasket = &align.Gasket{Thickness: l(.3)}
		}
		if r.IntN(3) == 0 {
			for k := range 4 + r.IntN(6) {
				j.Bolts = append(j.Bolts, align.Vec2{X: l(size * .8 * math.Sin(float64(k))), Y: l(size * .8 * math.Cos(float64(k)))})
			}
			j.BoltClearance = tolerance.Given(tolerance.Diametral(.5))
		}
		s.Joints = append(s.Joints, j)
	}
	shafts := 1 + r.IntN(2)
	for k := range shafts {
		sh := align.Shaft{Name: fmt.Sprintf("shaft %s", name(k))}
		for i, b := range bores {
			if shafts > 1 && i%shafts != k {
				continue
			}
			sup := align.Support{Bore: b, Clearance: tolerance.Diametral(fine * 4 * r.Float64())}
			if r.IntN(4) == 0 {
				sup.Kind, sup.Width = align.Bush, l(thick*.3)
			}
			if r.IntN(4) == 0 {
				sup.Runout = tolerance.TIR(fine / 3)
			}
			sh.Supports = append(sh.Supports, sup)
		}
		s.Shafts = append(s.Shafts, sh)
	}
	if shafts == 2 && r.IntN(2) == 0 {
		s.Pockets = []align.Pocket{{Name: "pocket " + name(0), Between: [2]string{s.Shafts[0].Name, s.Shafts[1].Name}, Z: l(thick * .5), Clearance: tolerance.Diametral(fine)}}
	}
	if r.IntN(2) == 0 && len(bores) >= 2 {
		s.References = []align.Reference{{Name: "reference " + name(1), Through: [2]string{bores[0], bores[len(bores)-1]}}}
	}
	return s
}

// every draws all pictures of a stack.
func every(t testing.TB, a *align.Assembly, r *rand.Rand, o draw.Options) (drawn int) {
	t.Helper()
	one := func(draws func(w io.Writer) error) *node {
		drawn++
		return picture(t, draws)
	}
	one(func(w io.Writer) error { return draw.Stack(w, a, o) })
	for i := range a.Joints {
		one(func(w io.Writer) error { return draw.Joint(w, a, a.Joints[i].Name, o) })
	}
	for _, p := range a.Parts {
		one(func(w io.Writer) error { return draw.Thickness(w, a, p.Name, o) })
	}
	if a.Line == nil {
		return drawn
	}
	line := one(func(w io.Writer) error { return draw.ShaftLine(w, a, o) })
	if len(a.Supports) <= 12 && (o.Width == 0 || o.Width >= 160) {
		// Source: ISO 216, A4 is 297 mm high; 20 mm are kept at head and foot
		if h := line.num(t, "height"); h > 257 {
			t.Errorf("%d supports: %g mm high, more than A4 upright holds", len(a.Supports), h)
		}
	}
	aim := draw.Aim{Bore: a.Supports[r.IntN(len(a.Supports))].Bore, Because: names[r.IntN(len(names))]}
	if r.IntN(2) == 0 {
		aim.Limit = tolerance.Given(tolerance.Offset(math.Pow(10, -3+4*r.Float64())))
	}
	one(func(w io.Writer) error { return draw.Target(w, a, aim, o) })
	return drawn
}

// Every picture of 500 random stacks keeps what all pictures must: valid XML, nothing from outside, every text clear of every other and on the paper.
func TestPictures_randomStacks(t *testing.T) {
	want := 500
	if testing.Short() || raceOn {
		want = 15
	}
	solved, drawn := 0, 0
	faults := map[string]int{}
	for seed := uint64(1); solved < want; seed++ {
		if seed > uint64(20*want) {
			t.Fatalf("only %d of %d random stacks solve: %v", solved, seed, faults)
		}
		r := rand.New(rand.NewPCG(seed, 0))
		s := randomStack(r)
		a, err := s.Solve()
		if err != nil {
			faults[fmt.Sprintf("%.60s", err)]++
			continue
		}
		solved++
		o := draw.Options{ID: "p" + fmt.Sprint(seed), Unit: tolerance.Unit(r.IntN(5)), Width: tolerance.Length(80 + 320*r.Float64()*r.Float64())}
		if r.IntN(2) == 0 {
			o.Width = 0
		}
		drawn += every(t, a, r, o)
		if t.Failed() {
			t.Fatalf("seed %d", seed)
		}
	}
	t.Logf("%d pictures of %d stacks", drawn, solved)
}
