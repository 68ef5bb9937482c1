package specify

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"testing"

	"example.com/borestack/align"
	"example.com/borestack/align/record"
	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

func launch(t testing.TB) (align.Stack, []record.Limit) {
	t.Helper()
	file, err := os.Open("../../../examples/driveline/harbour-launch.json")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	rec, err := record.Decode(file)
	if err != nil {
		t.Fatal(err)
	}
	s, err := rec.Stack()
	if err != nil {
		t.Fatal(err)
	}
	if s, err = Drawn(s); err != nil {
		t.Fatal(err)
	}
	var limits []record.Limit
	for _, l := range rec.Limits() {
		if l.Output.What != align.ThicknessVariation {
			limits = append(limits, l)
		}
	}
	return s, limits
}

// random is a box as drawn, its joints held, with a shaft through a bore of every part.
func random(r *rand.Rand) (align.Stack, []record.Limit) {
	s := align.Stack{Shafts: []align.Shaft{{Name: "shaft"}}}
	n := 3 + r.IntN(2)
	for i := range n {
		length := tolerance.Length(10 + 150*r.Float64())
		p := align.Part{Name: string(rune('A' + i)), Bores: []align.Bore{{Name: "bore", Centre: align.Vec3{Z: length / 2}}}}
		if i > 0 {
			p.Front = &align.Face{Diameter: tolerance.Given[tolerance.Length](200)}
			s.Joints = append(s.Joints, align.Joint{Float: &align.Float{}})
		}
		if i < n-1 {
			p.Rear = &align.Face{Z: length, Diameter: tolerance.Given(tolerance.Length(120 + 100*r.Float64()))}
			p.Rear.Pilot = &align.Pilot{Kind: align.PilotBore, Diameter: 100.02}
		}
		if i > 0 {
			p.Front.Pilot = &align.Pilot{Diameter: 100}
		}
		s.Parts = append(s.Parts, p)
		support := align.Support{Bore: p.Name + "/bore", Clearance: tolerance.Diametral(tolerance.Length(0.03 + 0.1*r.Float64()))}
		if r.IntN(2) == 0 {
			support.Kind, support.Width = align.Bush, 20
		}
		s.Shafts[0].Supports = append(s.Shafts[0].Supports, support)
	}
	s.References = []align.Reference{{Name: "line", Through: [2]string{"A/bore", "B/bore"}}}
	last := s.Parts[n-1].Name + "/bore"
	limits := []record.Limit{
		{Output: align.Output{What: align.Margin}, Limits: tolerance.AtLeast(0.002 * r.Float64())},
		{Output: align.Output{What: align.TIRSize, Of: last, From: "line"}, Limits: tolerance.AtMost(0.1 + 0.4*r.Float64())},
	}
	return s, limits
}

// Boxes drawn at the callouts hold what is promised: none at the rims of the worst case leaves a limit, and
// the yield of other draws is within its interval; asked backwards, the callouts give the same.
//
// Source: boxes drawn with other seeds, each evaluated by the box itself.
func TestSpecify_thenSample(t *testing.T) {
	stacks, err := strconv.Atoi(cmp.Or(os.Getenv("SPECIFY_STACKS"), "2")) // 200 take a few minutes of one core
	if err != nil {
		t.Fatal(err)
	}
	missed := 0
	for seed := range stacks {
		r := rand.New(rand.NewPCG(uint64(seed), 4))
		s, limits := random(r)
		a := Ask{Stack: s, Limits: limits, Callouts: Callouts(s), Samples: 4000}
		w, err := a.Specify(t.Context())
		if err != nil {
			t.Fatalf("stack %d: %v", seed, err)
		}
		if w.Yield.Value != 1 {
			t.Errorf("stack %d: worst case, and yet %+v", seed, w.Yield)
		}
		res, err := newResponses(s, limits, a.Callouts)
		if err != nil {
			t.Fatal(err)
		}
		const boxes = 3000
		x := make([][]float64, res.n)
		for c := range x {
			x[c] = make([]float64, boxes)
		}
		for i := range boxes {
			for k := range w.Callouts {
				sin, cos := math.Sincos(2 * math.Pi * r.Float64())
				rim := w.Callouts[k].radius(float64(w.Callouts[k].Zone))
				x[2*k][i], x[2*k+1][i] = rim*cos, rim*sin
			}
		}
		tight := math.Inf(1)
		for of := range res.list {
			y, err := res.at(of, x, boxes)
			if err != nil {
				t.Fatal(err)
			}
			for i, v := range y {
				if v > 0 {
					t.Errorf("stack %d: box %d is beyond %s by %g", seed, i, w.Worst[of].Limit, v)
				}
			}
			tight = min(tight, w.Worst[of].Left/res.list[of].scale)
		}
		if tight > 0.45 && !allWidest(w.Callouts) { // rounding down alone takes up to a fifth of every zone
			t.Errorf("stack %d: %.0f %% of every limit is left", seed, 100*tight)
		}
		back := a
		back.Callouts = w.Callouts
		c, err := back.Check(t.Context())
		// At sizes of least cost many tops are nearly as high: a search from elsewhere may meet the next one.
		if err != nil || c.Yield != w.Yield || c.Cost != w.Cost || math.Abs(c.Worst[0].Left-w.Worst[0].Left) > 0.02*res.list[0].scale {
			t.Errorf("stack %d: backwards %v, left %g and %g of %g", seed, err, c.Worst[0].Left, w.Worst[0].Left, res.list[0].scale)
		}

		a.Yield = tolerance.Given(0.98)
		q, err := a.Specify(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		if q.Cost > w.Cost*(1+1e-9) {
			t.Errorf("stack %d: a yield costs %g, the worst case %g", seed, q.Cost, w.Cost)
		}
		again := a
		again.Callouts, again.Seed = q.Callouts, 99
		d, err := again.Check(t.Context())
		if err != nil || q.Yield.Low < 0.98 {
			t.Fatalf("stack %d: promised 0.98, %+v, %v", seed, q.Yield, err)
		}
		if d.Yield.High < 0.98 {
			t.Logf("stack %d: promised 0.98, other draws give %+v", seed, d.Yield)
			missed++
		}
	}
	if 20*missed > stacks { // an interval leaves one in forty below
		t.Errorf("the yield of %d of %d stacks is less than promised", missed, stacks)
	}
}

// On any number of processors the answer is the same.
func TestSpecify_workers(t *testing.T) {
	s, limits := random(rand.New(rand.NewPCG(3, 4)))
	a := Ask{Stack: s, Limits: limits, Callouts: Callouts(s), Samples: 500, Yield: tolerance.Given(0.95)}
	was := runtime.GOMAXPROCS(0)
	defer runtime.GOMAXPROCS(was)
	var answers []string
	for _, n := range []int{1, 4} {
		runtime.GOMAXPROCS(n)
		r, err := a.Specify(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		answers = append(answers, fmt.Sprint(r.Cost, r.Yield, r.Worst))
	}
	if answers[0] != answers[1] {
		t.Errorf("one processor: %s; four: %s", answers[0], answers[1])
	}
}

// What the search takes for granted of boxes, from zones where all were counted, is what they are.
//
// Source: a count of all boxes.
func TestBoxes_hold(t *testing.T) {
	const yield = 0.8 // more than one look fail
	held := 0
	for seed := range uint64(1) {
		st, limits := random(rand.New(rand.NewPCG(seed, 4)))
		a := Ask{Stack: st, Limits: limits, Callouts: Callouts(st), Samples: 3000}
		s, err := a.begin()
		if err != nil {
			t.Fatal(err)
		}
		zone, err := s.zones(t.Context(), tolerance.Given(yield))
		if err != nil {
			t.Fatal(err)
		}
		searched, fresh := a.draw(s.r), a.draw(s.r)
		narrow := slices.Clone(zone)
		for k := range narrow {
			narrow[k] *= 0.6
		}
		if _, err := searched.count(t.Context(), s.radii(narrow)); err != nil {
			t.Fatal(err)
		}
		for i, f := range []float64{0.7, 1.2, 0.9, 1.4, 0.95} {
			z := slices.Clone(zone)
			z[i%len(z)] *= 1.25
			for k := range z {
				z[k] *= f
			}
			got, err := searched.hold(t.Context(), s.radii(z), yield)
			if err != nil {
				t.Fatal(err)
			}
			want, err := fresh.count(t.Context(), s.radii(z))
			if err != nil || got != (want.Low >= yield) {
				t.Errorf("stack %d, zones %g times: held %v, counted %+v, %v", seed, f, got, want, err)
			}
			if got {
				held++
			}
		}
	}
	if held == 0 || held == 5 {
		t.Errorf("%d of 5 hold: nothing is told apart", held)
	}
}

// allWidest says whether no zone could be wider.
func allWidest(list []Callout) bool {
	for _, c := range list {
		if float64(c.Zone) < roundDown(widestOf(c.Kind, float64(c.Across))) {
			return false
		}
	}
	return true
}

// However wide, a position and a parallelism are called out: no general tolerance holds them.
//
// Source: ISO 2768-2:1989, 5.1.1, 5.2.2, 5.2.3, 5.2.5 (from memory).
func TestCheck_general(t *testing.T) {
	s, limits := random(rand.New(rand.NewPCG(1, 4)))
	a := Ask{Stack: s, Limits: limits, Callouts: Callouts(s), Samples: 100}
	kinds := map[Kind]bool{}
	for k := range a.Callouts {
		c := &a.Callouts[k]
		c.Zone = tolerance.Length(widestOf(c.Kind, float64(c.Across)))
	}
	r, err := a.Check(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	for k, c := range r.Callouts {
		kinds[c.Kind] = true
		if want := c.Kind == Perpendicularity || c.Kind == Coaxiality || c.Kind == Flatness; r.General[k] != want {
			t.Errorf("%s: general %v", c.Name(), r.General[k])
		}
	}
	if !kinds[Position] || !kinds[Parallelism] || !kinds[Coaxiality] {
		t.Errorf("the box has only %v", kinds)
	}
}

// The worst of sums of offsets is where all point one way.
//
// Source: hand calculation: three equal bores 100 mm apart, zone Ø t each: the outer ones up and the middle
// one down. The utilisation of three equal circles is |p1 − 2 p2 + p3| / (4 r), so the margin left is
// r − (4 · t/2)/4 = r − t/2.
func TestWorst_closedForm(t *testing.T) {
	s := align.Stack{Parts: []align.Part{{Name: "P", Bores: []align.Bore{
		{Name: "a", Centre: align.Vec3{Z: 0}}, {Name: "b", Centre: align.Vec3{Z: 100}}, {Name: "c", Centre: align.Vec3{Z: 200}},
	}, Rear: &align.Face{Z: 210}}}, Shafts: []align.Shaft{{Name: "shaft"}}}
	for _, b := range []string{"P/a", "P/b", "P/c"} {
		s.Shafts[0].Supports = append(s.Shafts[0].Supports, align.Support{Bore: b, Clearance: tolerance.Diametral(0.06)})
	}
	limits := []record.Limit{{Output: align.Output{What: align.Margin}, Limits: tolerance.AtLeast(0)}}
	a := Ask{Stack: s, Limits: limits, Callouts: Callouts(s), Samples: 1000}
	for k := range a.Callouts {
		a.Callouts[k].Zone = 0.04
	}
	r, err := a.Check(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(r.Worst[0].Left-0.01) > 1e-6 {
		t.Errorf("left %g, want 0.03 − 0.02", r.Worst[0].Left)
	}
	var told strings.Builder
	if err := r.Page(tolerance.Inches).Text(&told); err != nil || !strings.Contains(told.String(), ": 0.00039 in left;") { // Source: hand calculation: 0.01 mm / 25.4
		t.Errorf("%v in\n%s", err, told.String())
	}
	// Source: hand calculation: effects are as 1 : 2 : 1, so by Lagrange t_a : t_b = √2 : 1, and (t_a + 2 t_b + t_c)/8 = 0.03: t_b = 0.24/(2√2 + 2).
	got, err := a.Specify(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	tb := 0.24 / (2*math.Sqrt2 + 2)
	want := []float64{tb * math.Sqrt2, tb, tb * math.Sqrt2}
	for k, c := range got.Callouts {
		if z := float64(c.Zone); z > want[k]*1.26 || z < want[k]*0.7 {
			t.Errorf("%s: %g, before rounding %g", c.Name(), z, want[k])
		}
	}
}

// At maximum material a hole's size is taken from the zone.
func TestSpecify_maximumMaterial(t *testing.T) {
	s, limits := launch(t)
	holes := func() (list []Callout) {
		for _, c := range Callouts(s) {
			if c.widen != nil && strings.HasPrefix(c.Feature, "plate") {
				list = append(list, c)
			}
		}
		return list
	}
	plain := Ask{Stack: s, Limits: limits[1:2], Callouts: holes(), Samples: 100}
	with := plain
	with.Callouts = holes()
	for _, a := range []*Ask{&plain, &with} {
		for k := range a.Callouts {
			a.Callouts[k].Zone = 0.06
		}
	}
	for k := range with.Callouts {
		if c := &with.Callouts[k]; c.widen != nil {
			c.AtMaximum, c.Size = true, 0.04
		}
	}
	p, err := plain.Check(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	q, err := with.Check(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if q.Worst[0].Left >= p.Worst[0].Left {
		t.Errorf("at maximum material %.9g is left, without %.9g", q.Worst[0].Left, p.Worst[0].Left)
	}
}

// Sizes are preferred numbers, rounded down.
//
// Source: ISO 3:1973, R10 (from memory).
func TestRoundDown(t *testing.T) {
	for in, want := range map[float64]float64{0.0099: 0.008, 0.01: 0.01, 0.0124: 0.01, 0.0125: 0.0125, 0.1: 0.1, 0.0999: 0.08, 0.001: 0.001, 0.00099: 0, 0.0315: 0.0315, 1.7: 1.6} {
		if got := roundDown(in); got != want {
			t.Errorf("%g: %g, want %g", in, got, want)
		}
	}
}

// One zone at the finest does not keep the others from being narrower; a limit that not even these hold is named.
//
// Source: hand calculation: pilot and peg may be apart by half of both clearances, 0.002 and 0.0005 mm; of three
// zones of 0.001 mm by 0.0015 mm.
func TestSpecify_finest(t *testing.T) {
	for clearance, want := range map[tolerance.Length]string{0.002: "", 0.0005: "assembly of case|tail"} {
		s, limits := pegged()
		s.Parts[1].Front.Pilot.Diameter = 100.02 - clearance
		s.Parts[1].Front.Dowels[0].Diameter = 8 + clearance
		a := Ask{Stack: s, Limits: limits, Callouts: Callouts(s), Samples: 10}
		for k := range a.Callouts {
			if a.Callouts[k].Feature == "tail, dowel hole peg, front" {
				a.Callouts[k].Weight = 1e-3 // first to be narrow
			}
		}
		r, err := a.Specify(t.Context())
		if (want == "") != (err == nil) || err != nil && !strings.Contains(err.Error(), want) {
			t.Errorf("clearances of %v: %v, %v; want %q", clearance, r, err, want)
		}
	}
}

func TestSpecify_refuses(t *testing.T) {
	s, limits := launch(t)
	good := Ask{Stack: s, Limits: limits, Callouts: Callouts(s)}
	for name, c := range map[string]struct {
		spoil func(*Ask)
		want  error
	}{
		"no callouts":  {func(a *Ask) { a.Callouts = nil }, fault.ErrMissing},
		"no limits":    {func(a *Ask) { a.Limits = nil }, fault.ErrMissing},
		"a sure yield": {func(a *Ask) { a.Yield = tolerance.Given(1.0) }, fault.ErrOutOfRange},
		"no weight":    {func(a *Ask) { a.Callouts = Callouts(s); a.Callouts[0].Weight = 0 }, fault.ErrOutOfRange},
		"not listed":   {func(a *Ask) { a.Callouts = []Callout{{Weight: 1}} }, fault.ErrUnknownName},
		"never held": {func(a *Ask) {
			a.Limits = []record.Limit{{Output: align.Output{What: align.Margin}, Limits: tolerance.AtLeast(5)}}
		}, fault.ErrConflict},
		// Source: hand calculation: 0.025^(1/20000) = 0.99982.
		"more than 20,000 boxes show": {func(a *Ask) { a.Yield = tolerance.Given(0.9999) }, fault.ErrTooFew},
		"less than any":               {func(a *Ask) { a.Samples = -1 }, fault.ErrOutOfRange},
		"more than fit":               {func(a *Ask) { a.Samples = mostSamples + 1 }, fault.ErrOutOfRange},
	} {
		a := good
		c.spoil(&a)
		if _, err := a.Specify(t.Context()); !errors.Is(err, c.want) {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, err := good.Check(t.Context()); !errors.Is(err, fault.ErrOutOfRange) {
		t.Errorf("callouts without sizes: %v", err)
	}
	ctx, stop := context.WithCancel(t.Context())
	stop()
	if _, err := good.Specify(ctx); !errors.Is(err, context.Canceled) {
		t.Errorf("stopped: %v", err)
	}
}

// Every group of supports that can govern has a top of its own: the search meets the highest, whichever places it
// draws.
//
// Source: the same search from other places.
func TestWorst_groups(t *testing.T) {
	for _, seed := range []uint64{17, 26, 28} {
		s, limits := random(rand.New(rand.NewPCG(seed, 4)))
		a := Ask{Stack: s, Limits: limits[:1], Callouts: Callouts(s), Samples: 1}
		zone := make([]float64, len(a.Callouts))
		for k := range zone {
			zone[k] = 0.02
		}
		var beyond []float64
		for look := range uint64(6) {
			q, err := a.begin()
			if err != nil {
				t.Fatal(err)
			}
			q.r.list[0].looks = 10 * look
			w, err := q.r.worst(t.Context(), 0, q.radii(zone), true)
			if err != nil {
				t.Fatal(err)
			}
			beyond = append(beyond, w.value)
		}
		if slices.Max(beyond)-slices.Min(beyond) > 1e-5 {
			t.Errorf("stack %d: beyond by %v", seed, beyond)
		}
	}
}
