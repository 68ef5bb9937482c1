package align

import (
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"example.com/borestack/align/internal/floatset"
	"example.com/borestack/align/internal/shaftline"
	"example.com/borestack/tolerance"
)

// boxes is how many random boxes the worst over the float is checked on.
var boxes = flag.Int("boxes", 2000, "random boxes on which the worst over the float is checked")

// couple runs the main shaft in two halves that a pocket joins, with a further bearing off the
// line.
func couple(s *Stack, rng *rand.Rand) {
	n := len(s.Parts)
	front, back := Shaft{Name: "front"}, Shaft{Name: "back"}
	for i := range n {
		sup := Support{Bore: s.Parts[i].Name + "/a", Clearance: s.Shafts[0].Supports[i].Clearance}
		if rng.IntN(3) == 0 {
			sup.Kind, sup.Width = Bush, 20
		}
		if i < (n+1)/2 {
			front.Supports = append(front.Supports, sup)
		} else {
			back.Supports = append(back.Supports, sup)
		}
	}
	front.Supports = append(front.Supports, Support{Bore: "p0/c", Clearance: 0.1 + s.Shafts[0].Supports[0].Clearance})
	s.Shafts = append([]Shaft{front, back}, s.Shafts[1:]...)
	s.Pockets = []Pocket{{Name: "pocket", Between: [2]string{"back", "front"}, Z: 100, Clearance: 0.05}}
	if rng.IntN(2) == 0 {
		s.Pockets[0].Width = tolerance.Given(tolerance.Length(12))
	}
}

// eachLooseBox calls do with random boxes in which some joint floats, half of them with coupled
// shafts.
func eachLooseBox(t *testing.T, seed uint64, boxes int, do func(name string, k *kernel, rng *rand.Rand)) {
	t.Helper()
	rng := rand.New(rand.NewPCG(17, seed))
	tried := 0
	for trial := range boxes {
		s := randomStack(rng)
		if trial%2 == 0 {
			couple(&s, rng)
		}
		if s.Validate() != nil {
			continue
		}
		k := newKernel(s, newLayout(&s))
		if err := k.solve(); err != nil {
			t.Fatal(trial, err)
		}
		if len(k.newOver().loose) == 0 {
			continue
		}
		tried++
		do(fmt.Sprint("box ", trial), k, rng)
	}
	if tried < boxes/4 {
		t.Errorf("only %d boxes floated", tried)
	}
}

// worstFresh puts the box at rest and works out the worst and its bound.
func (k *kernel) worstFresh(t *testing.T, by shaftline.Measure) (o *over, worst, bound float64) {
	t.Helper()
	o = k.newOver()
	o.rest(o.trial)
	k.placeAt(o.trial)
	rest, err := k.line.Least(by)
	if err != nil {
		t.Fatal(err)
	}
	worst, bound, err = o.worstAndBound(by, rest)
	if err != nil {
		t.Fatal(err)
	}
	return o, worst, bound
}

// The worst is never below, and its bound never below, what a search of the whole float finds:
// random pushes of every joint, worked out in full, and climbs from each along the multipliers of
// the lines there. Source: brute force.
func TestOver_worstAgainstBruteForce(t *testing.T) {
	const pushes = 12
	proved, bounds, boxes := 0, 0, *boxes
	if testing.Short() {
		boxes /= 8
	}
	eachLooseBox(t, 1, boxes, func(name string, k *kernel, rng *rand.Rand) {
		for _, by := range [2]shaftline.Measure{shaftline.ByUtilisation, shaftline.ByMargin} {
			o, worst, bound := k.worstFresh(t, by)
			if math.IsInf(worst, 1) {
				continue
			}
			room := o.roomOf(by)
			if bounds++; bound < worst {
				t.Errorf("%s, measure %d: the bound %.12g is below the worst %.12g", name, by, bound, worst)
			} else if bound-worst <= provedTol {
				proved++
			}
			floats := make([]floatset.Vec, len(k.seats))
			for range pushes {
				o.rest(floats)
				for _, l := range o.loose {
					v, err := l.set.Farthest(floatset.Vec{X: rng.NormFloat64(), Y: rng.NormFloat64(), G: []float64{0.001, 1, 80}[rng.IntN(3)] * rng.NormFloat64()})
					if err != nil {
						t.Fatal(err)
					}
					floats[l.joint] = v
				}
				for _, g := range k.lay.groups {
					o.hint, o.now = o.hint[:0], &o.sums[0]
					v, err := o.climb(g, by, floats)
					if err != nil {
						t.Fatal(err)
					}
					if v > worst+1e-7*room {
						t.Errorf("%s, measure %d: the worst is %.12g, a search finds %.12g", name, by, worst, v)
					}
					if v > bound {
						t.Errorf("%s, measure %d: the bound is %.12g, a search finds %.12g", name, by, bound, v)
					}
				}
			}
		}
	})
	t.Logf("%d of %d proved", proved, bounds)
	if proved == 0 {
		t.Error("no worst was proved")
	}
}

// The worst by circuits, as a sample asks for it, is no less than that of the search that it
// replaced.
func TestOver_worstAgainstSearch(t *testing.T) {
	eachLooseBox(t, 2, min(*boxes, 60), func(name string, k *kernel, _ *rand.Rand) {
		for _, by := range [2]shaftline.Measure{shaftline.ByUtilisation, shaftline.ByMargin} {
			o := k.newOver()
			o.rest(o.trial)
			k.placeAt(o.trial)
			rest, err := k.line.Least(by)
			if err != nil {
				t.Fatal(err)
			}
			worst, err := o.worst(by, rest)
			if err != nil {
				t.Fatal(err)
			}
			old, err := o.searchWorst(by)
			if err != nil {
				t.Fatal(err)
			}
			if worst < old-1e-9*(1+math.Abs(old)) {
				t.Errorf("%s, measure %d: worst %.12g, the search found %.12g", name, by, worst, old)
			}
		}
	})
}

// What circuits prove to be the best is what the cone program in lines and floats finds.
func TestOver_bestAgainstCones(t *testing.T) {
	settled := 0
	eachLooseBox(t, 3, min(*boxes, 200), func(name string, k *kernel, _ *rand.Rand) {
		for _, by := range [2]shaftline.Measure{shaftline.ByUtilisation, shaftline.ByMargin} {
			o := k.newOver()
			rest, err := k.line.Least(by)
			if err != nil {
				t.Fatal(err)
			}
			floats := make([]floatset.Vec, len(k.seats))
			got, proved, err := o.bestByCircuits(by, rest, floats)
			if err != nil {
				t.Fatal(err)
			}
			if !proved {
				continue
			}
			settled++
			for _, l := range o.loose {
				if !l.set.Roomy(floats[l.joint], -1e-9, -1) {
					t.Errorf("%s, measure %d: the best is outside the float", name, by)
				}
			}
			want, err := o.bestCones(by, floats)
			if err != nil {
				t.Fatal(err)
			}
			if math.Abs(got-want) > 1e-8*(1+math.Abs(want)) {
				t.Errorf("%s, measure %d: best %.12g, by cones %.12g", name, by, got, want)
			}
		}
	})
	if settled < 40 {
		t.Errorf("only %d settled by circuits", settled)
	}
}

// Two parts, a register with clearance c and no pin, bearings in a line at z = 0, 100 and, behind
// the joint, 300, clearances 0.06: the three centres' sum is w·p with w = (-200, 300, -100)/600, so
// that a bearing off by e follows the float by c/2 and the use is at worst (|e| + c/2)/6 ÷ 0.03, at
// best (|e| - c/2)/6 ÷ 0.03. Source: hand calculation.
func TestOver_handCalculation(t *testing.T) {
	const e, c = 0.05, 0.04
	s := Stack{
		Parts: []Part{
			{Name: "a", Rear: &Face{Z: 200, Pilot: &Pilot{Kind: PilotBore, Diameter: 100 + c}}, Bores: []Bore{{Name: "x"}, {Name: "y", Centre: Vec3{Z: 100}}}},
			{Name: "b", Front: &Face{Pilot: &Pilot{Diameter: 100}}, Bores: []Bore{{Name: "x", Centre: Vec3{X: 0.6 * e, Y: 0.8 * e, Z: 100}}}},
		},
		Joints: make([]Joint, 1),
		Shafts: []Shaft{{Name: "m", Supports: []Support{{Bore: "a/x", Clearance: 0.06}, {Bore: "a/y", Clearance: 0.06}, {Bore: "b/x", Clearance: 0.06}}}},
	}
	a, err := s.Solve()
	if err != nil {
		t.Fatal(err)
	}
	r := a.Line.OverFloat
	for _, q := range []struct {
		what      string
		got, want float64
	}{
		{"best use", r.BestUse.Value, (e - c/2) / 6 / 0.03},
		{"worst use", r.WorstUse.Value, (e + c/2) / 6 / 0.03},
		{"bound of the use", r.WorstUseBound.Value, (e + c/2) / 6 / 0.03},
		{"best margin", float64(r.BestMargin), 0.03 - (e-c/2)/6},
		{"worst margin", float64(r.WorstMargin), 0.03 - (e+c/2)/6},
		{"bound of the margin", float64(r.WorstMarginBound), 0.03 - (e+c/2)/6},
	} {
		if math.Abs(q.got-q.want) > 1e-9 {
			t.Errorf("%s is %.12g, want %.12g", q.what, q.got, q.want)
		}
	}
}

// Centres on straight lines are nowhere off the lines that the bound's rule fits to them, whatever
// its weights. Source: a fit reproduces what it fits.
func TestLineRule_fitsLines(t *testing.T) {
	eachLooseBox(t, 5, 60, func(name string, k *kernel, rng *rand.Rand) {
		group := k.lay.groups[0]
		k.line.Gather(group)
		members := append([]int(nil), k.line.Members...)
		var r lineRule
		weight := make([]float64, len(members))
		for i := range weight {
			weight[i] = math.Pow(10, -3*rng.Float64())
		}
		r.fit(k, members, 2*len(group), weight)
		at, slope := make([]float64, len(group)), make([]float64, len(group))
		for i := range group {
			at[i], slope[i] = rng.NormFloat64(), 1e-3*rng.NormFloat64()
		}
		row := make([]float64, len(members))
		for i := range members {
			r.residual(row, i)
			var off float64
			for n, m := range members {
				q := &k.line.Circles[m]
				s := slices.Index(group, q.Shaft)
				p := at[s] + slope[s]*q.Z
				if q.Other >= 0 {
					s = slices.Index(group, q.Other)
					p -= at[s] + slope[s]*q.Z
				}
				off += row[n] * p
			}
			if math.Abs(off) > 1e-9 {
				t.Errorf("%s: centre %d is %g off its own line", name, i, off)
			}
		}
	})
}

// Which side of a least margin the worst over the floats is on, is the same told by bounds as worked out in full,
// in samples that a limit lies among, close to one of them, and far from all.
//
// Source: a second method, the margin worked out in full.
func TestEvaluator_Hold(t *testing.T) {
	told, sides := 0, [2]int{}
	eachLooseBox(t, 23, 80, func(name string, k *kernel, rng *rand.Rand) {
		s := k.stack.Clone()
		var in []Source
		add := func(of func(s *Stack) *tolerance.Length) {
			in = append(in, Source{Name: fmt.Sprint(len(in)), Moves: []Move{{NumberOf(of), 1}}})
		}
		for i := range s.Parts {
			for b := range s.Parts[i].Bores {
				if s.Parts[i].Bores[b].Sweep == nil {
					add(func(s *Stack) *tolerance.Length { return &s.Parts[i].Bores[b].Centre.X })
					add(func(s *Stack) *tolerance.Length { return &s.Parts[i].Bores[b].Centre.Y })
				}
			}
			if f := s.Parts[i].Front; f != nil && f.Pilot != nil {
				add(func(s *Stack) *tolerance.Length { return &s.Parts[i].Front.Pilot.Diameter })
			}
		}
		p, err := s.Compile(in, nil, []Output{{What: Margin}, {What: Assembles}})
		if err != nil {
			t.Fatal(name, err)
		}
		const n = 16
		x := make([][]float64, p.Inputs())
		for c := range x {
			for range n {
				x[c] = append(x[c], 0.003*rng.NormFloat64())
			}
		}
		full, quick := p.NewEvaluator(), p.NewEvaluator()
		want, got := [2][]float64{make([]float64, n), make([]float64, n)}, [2][]float64{make([]float64, n), make([]float64, n)}
		if full.Evaluate(want[:], x, n) != nil {
			return
		}
		for _, at := range []float64{want[0][3], want[0][5] - 1e-9, want[0][7] + 3e-7, want[0][9] - 3e-7, want[0][1] + 0.01, want[0][1] - 0.01} {
			if err := quick.Ask(nil, []Output{{What: Margin}, {What: Assembles}}); err != nil {
				t.Fatal(err)
			}
			quick.Hold(at)
			if err := quick.Evaluate(got[:], x, n); err != nil {
				t.Fatal(name, err)
			}
			for i, v := range want[0] {
				if math.Abs(v-at) > 1e-12 && (got[0][i] >= at) != (v >= at) || got[1][i] != want[1][i] {
					t.Errorf("%s: margin %.12g, told as %.12g beside %.12g", name, v, got[0][i], at)
				}
				if sides[map[bool]int{true: 1}[v >= at]]++; got[0][i] != v {
					told++
				}
			}
		}
	})
	t.Log(told, sides)
	if told < 100 || min(sides[0], sides[1]) < 300 {
		t.Errorf("%d told before they are worked out, %v on either side: the cases test little", told, sides)
	}
}
