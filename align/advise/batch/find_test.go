package batch

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/stat"

	"example.com/borestack/align"
	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// The interval of the share beyond a limit holds the true share as often as it says at least, and the size that 99
// of 100 hold is enough as often as it says at least.
//
// Source: simulation; the true share of a scatter of 1 about 1.5 beyond 4 is Rice's, 0.00937 (quadrature of
// the Rice law in stackup/law, whose own checks are published tables).
func TestFind_covers(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 9))
	truth, err := plane{mean: r2.Vec{X: 1.5}, cov: matrix2{1, 1, 0}}.size()
	if err != nil {
		t.Fatal(err)
	}
	share, size := truth.Survival(4), truth.Quantile(held)
	covered, enough := 0, 0
	n := repeatsOf(t) / 5
	for range n {
		b := planted(r, func(int, *Piece) (x, y float64) { return 1.5, 0 })
		b.Greatest = tolerance.Given[tolerance.Length](4)
		f, err := Find(t.Context(), b)
		if err != nil {
			t.Fatal(err)
		}
		if f.Beyond.Low <= share && share <= f.Beyond.High {
			covered++
		}
		if float64(f.Holds) >= size {
			enough++
		}
	}
	atLeast(t, "of the intervals, covering", covered, n)
	atLeast(t, "of the sizes, enough", enough, n)
}

// atLeast asks for coverage, less three standard deviations of a binomial number.
func atLeast(t *testing.T, what string, got, n int) {
	t.Helper()
	if least := coverage*float64(n) - 3*math.Sqrt(coverage*(1-coverage)*float64(n)); float64(got) < least {
		t.Errorf("%s: %d of %d, want %.0f", what, got, n, least)
	}
}

// The same of few parts, whose scatter is more often too small than too large: on a line, where sizes are quick.
//
// Source: simulation; hand calculation: beyond a limit from a mean of 0 is Φ of minus the limit in scatters, twice;
// far from 0 the size that 99 of 100 hold is the mean and 2.3263 scatters.
func TestAgain_covers(t *testing.T) {
	const n, limit = 1000, 2.5
	beyond := func(p plane) float64 { return math.Erfc(limit / math.Sqrt(2*p.cov.xx)) }
	hold := func(p plane) float64 { return 100 + p.mean.X + 2.3263*math.Sqrt(p.cov.xx) }
	for _, parts := range []int{8, 30} {
		r := rand.New(rand.NewPCG(9, uint64(parts)))
		truth, draws := plane{cov: matrix2{xx: 1}}, strays(float64(parts-1))
		covered, enough := 0, 0
		for range n {
			v := make([]r2.Vec, parts)
			for i := range v {
				v[i].X = r.NormFloat64()
			}
			p := process(v, parts-1)
			var seen, may, holds []float64
			for _, s := range draws {
				q := p.again(s, true)
				seen, may, holds = append(seen, beyond(p.again(s, false))), append(may, beyond(q)), append(holds, hold(q))
			}
			if s := interval(beyond(p), seen, may); s.Low <= beyond(truth) && beyond(truth) <= s.High {
				covered++
			}
			if quantile(holds, coverage) >= hold(truth) {
				enough++
			}
		}
		atLeast(t, fmt.Sprintf("%d parts, intervals that cover", parts), covered, n)
		atLeast(t, fmt.Sprintf("%d parts, sizes that are enough", parts), enough, n)
	}
}

// Magnitudes hide a common direction: two batches with one mean size, one of which all lean one way.
//
// Source: hand calculation.
func TestFind_magnitudesHide(t *testing.T) {
	var lean, every Batch
	for i := range 16 {
		a := 2 * math.Pi * float64(i) / 16
		lean.Pieces = append(lean.Pieces, Piece{At: align.Vec2{X: 0.05, Y: tolerance.Length(0.002 * math.Cos(3*a))}})
		every.Pieces = append(every.Pieces, Piece{At: align.Vec2{X: tolerance.Length(0.05 * math.Cos(5*a)), Y: tolerance.Length(0.05 * math.Sin(5*a))}})
	}
	f, err := Find(t.Context(), lean)
	if err != nil {
		t.Fatal(err)
	}
	g, err := Find(t.Context(), every)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(float64(f.Typical-g.Typical)) > 1e-4 || len(f.Causes) != 1 || f.Causes[0].Kind != FromPart || len(g.Causes) != 0 {
		t.Errorf("leaning: %v, %v; every way: %v, %v", f.Typical, f.Causes, g.Typical, g.Causes)
	}
	if math.Abs(float64(f.Causes[0].Vector.X)-0.05) > 1e-9 {
		t.Errorf("%+v", f.Causes[0])
	}
}

// A batch that is all alike has no scatter, and no panic.
func TestFind_degenerate(t *testing.T) {
	var same Batch
	for range 10 {
		same.Pieces = append(same.Pieces, Piece{})
	}
	f, err := Find(t.Context(), same)
	if err != nil || len(f.Causes) != 0 {
		t.Errorf("%+v, %v", f, err)
	}
	for i := range same.Pieces {
		same.Pieces[i].At.X = 0.01
	}
	if f, err = Find(t.Context(), same); err != nil || len(f.Causes) != 1 {
		t.Errorf("all by one amount: %+v, %v", f, err)
	}
	if c := (&candidate{kind: Drift, given: [][]float64{ones(4)}, regressors: [][]float64{{0, 1, 2, 3}}}); c.chance([]r2.Vec{{X: 0}, {X: 1}, {X: 2}, {X: 3}}, 3, 0) != 0 {
		t.Error("a cause was taken that leaves no scatter to speak of")
	}
	if _, err := Find(t.Context(), Batch{Pieces: same.Pieces[:3]}); !errors.Is(err, fault.ErrTooFew) {
		t.Errorf("three parts: %v", err)
	}
	same.Pieces[2].At.Y = tolerance.Length(math.NaN())
	same.Scatter = -1
	if _, err := Find(t.Context(), same); !errors.Is(err, fault.ErrNotFinite) || !errors.Is(err, fault.ErrOutOfRange) {
		t.Errorf("%v", err)
	}
}

// A table reads as written, by either kind of vector, and its faults are told all at once.
func TestReadTable(t *testing.T) {
	got, err := ReadTable(strings.NewReader("\ufeff# invented\npart,size,clock,lay,machine\nA,20,90,180,mill\nB,10,0,,\n"), tolerance.Micrometres)
	if err != nil || len(got) != 2 {
		t.Fatalf("%+v, %v", got, err)
	}
	if a := got[0]; a.Name != "A" || math.Abs(float64(a.At.X)-0.02) > 1e-12 || math.Abs(float64(a.At.Y)) > 1e-12 || math.Abs(float64(a.Lay.Value)-math.Pi) > 1e-12 || a.Labels["machine"] != "mill" {
		t.Errorf("%+v", a)
	}
	if b := got[1]; b.Lay.Given || len(b.Labels) != 0 || math.Abs(float64(b.At.Y)-0.01) > 1e-12 {
		t.Errorf("%+v", b)
	}
	_, err = ReadTable(strings.NewReader("part,x,y\nA,\"0,01\",z\nB,1\nC,0.1,NaN\n"), tolerance.Millimetres)
	for _, want := range []string{"line 2, x", "not a comma", "line 2, y", "line 3", "line 4, y"} {
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q is missing from %v", want, err)
		}
	}
	for _, bad := range []string{"", "part\nA\n", "x,y,size,clock\n1,2,3,4\n", "size,clock\n-1,3\n", "size,clock\n1,\n2,90\n", "size,clock\n1,3\n2,9\n", "size,clock,lay\n1,30,3\n"} {
		if _, err := ReadTable(strings.NewReader(bad), tolerance.Millimetres); err == nil {
			t.Errorf("%q was taken", bad)
		}
	}
}

// A gauge study in any order of its lines is the same study.
func TestReadStudy(t *testing.T) {
	g, err := ReadStudy(strings.NewReader("person,part,reading\na,1,1.0\nb,1,1.1\na,2,2\nb,2,2.1\nb,2,2.2\nb,1,1.2\na,1,1.05\na,2,2.05\n"))
	if err != nil {
		t.Fatal(err)
	}
	if g.Readings[1][1][1] != 2.2 || g.Readings[0][0][1] != 1.05 || len(g.Readings) != 2 {
		t.Errorf("%v", g.Readings)
	}
	for _, bad := range []string{"", "a,b\n", "person,part,reading\na,1,x\n", "person,part,reading\na,1\n"} {
		if _, err := ReadStudy(strings.NewReader(bad)); err == nil {
			t.Errorf("%q was taken", bad)
		}
	}
}

// What labels take of the freedoms is not scatter: twelve parts of four clampings leave eight.
//
// Source: hand calculation: pooled sums of squares within the clampings over 12 − 4.
func TestFind_rest(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 5))
	var b Batch
	var x [4][]r2.Vec
	for i := range 12 {
		k := i % 4
		v := r2.Vec{X: 100*float64(k%2) + r.NormFloat64(), Y: 100*float64(k/2) + r.NormFloat64()}
		x[k] = append(x[k], v)
		b.Pieces = append(b.Pieces, Piece{At: public(v), Labels: map[string]string{"clamping": string(rune('A' + k))}})
	}
	var s matrix2
	for _, list := range x {
		m := mean(list)
		for _, v := range list {
			e := r2.Sub(v, m)
			s.xx, s.yy, s.xy = s.xx+e.X*e.X, s.yy+e.Y*e.Y, s.xy+e.X*e.Y
		}
	}
	f, err := Find(t.Context(), b)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range f.Causes {
		if c.Kind == Drift {
			t.Fatalf("a drift is seen by chance: %+v", f.Causes)
		}
	}
	if want := regionRadius(s, 8, 1.0/12); len(f.Causes) < 2 || f.Causes[1].Kind != FromPart || math.Abs(float64(f.Causes[1].Radius)-want) > 1e-9 {
		t.Errorf("the mean of the clampings is known to %g, told %+v", want, f.Causes)
	}
	if want := math.Sqrt((s.xx + s.yy) / 2 / 8); math.Abs(float64(f.Rest)-want) > 1e-9 {
		t.Errorf("rest %v, want %v; %+v", f.Rest, want, f.Causes)
	}
}

// A gauge that scatters as much as the process makes no mixture of a clean batch whose scatter is known.
func TestFind_gaugeScatter(t *testing.T) {
	wrong := 0
	for seed := range uint64(20) {
		r := rand.New(rand.NewPCG(seed, 6))
		b := planted(r, none)
		b.Scatter, b.U = 0.5, tolerance.Length(math.Sqrt(0.75)) // together 1, as planted draws them
		causes, _, _ := b.causes()
		wrong += len(causes)
	}
	if wrong > 4 { // at most 0.04 × 20 are expected; 4 or less in 99.9 % (binomial)
		t.Errorf("%d causes in 20 clean batches", wrong)
	}
}

// What cannot be read as one kind of vector is refused, and so are columns that are there twice.
func TestReadTable_head(t *testing.T) {
	for _, head := range []string{"x,y,size", "x,size,clock", "x,x", "x,y,part,part", "size,size"} {
		if p, err := ReadTable(strings.NewReader("# a remark\n"+head+"\n1,1,1,1\n"), tolerance.Millimetres); err == nil || !strings.Contains(err.Error(), "head line") {
			t.Errorf("%s: %v, %v", head, p, err)
		}
	}
}

// The charts say where their scatter comes from.
func TestCharts_limitsFrom(t *testing.T) {
	b := planted(rand.New(rand.NewPCG(1, 1)), none)
	for scatter, want := range map[tolerance.Length]string{0: "moving range", 1: "known scatter"} {
		b.Scatter = scatter
		if c := charts(&b, b.vectors()); !strings.HasSuffix(c[0].Limits, want) || !strings.HasSuffix(c[1].Limits, want) {
			t.Errorf("scatter %v: %q, %q", scatter, c[0].Limits, c[1].Limits)
		}
	}
}

// The region of the mean holds the process's mean as often as it says, however long its scatter is along one
// line, and is no point where the parts lie on one.
//
// Source: simulation; hand calculation: T² ≤ 2 · 7/6 F(2, 6), of which the 95 % point is 5.1433.
func TestRegion_holds(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 9))
	const n, repeats = 8, 1000
	for _, long := range []float64{1, 3, 10} {
		inside := 0
		for range repeats {
			v := make([]r2.Vec, n)
			for i := range v {
				v[i] = r2.Vec{X: long * r.NormFloat64(), Y: r.NormFloat64()}
			}
			if s, _, _ := scatterAbout(v, ones(n)); r2.Norm(mean(v)) <= regionRadius(s, n-1, 1.0/n) {
				inside++
			}
		}
		if least := coverage*repeats - 3*math.Sqrt(coverage*(1-coverage)*repeats); float64(inside) < least {
			t.Errorf("scatter %g times as long: the region holds the mean in %d of %d", long, inside, repeats)
		}
	}
	got := regionRadius(matrix2{xx: 7 * 4}, n-1, 1.0/n)
	if want := 2 * math.Sqrt(2*7.0/6*5.1433/n); math.Abs(got-want) > 1e-4 {
		t.Errorf("on one line %g, want %g", got, want)
	}
}

// Without what two kinds lie apart, the scatter is that of one kind, and so is the share beyond the limit.
//
// Source: hand calculation: kinds 6 apart add 9 to a variance of 1 along one line.
func TestFind_oneKind(t *testing.T) {
	for _, scatter := range []tolerance.Length{1, 0} {
		b := planted(rand.New(rand.NewPCG(2, 8)), func(i int, _ *Piece) (x, y float64) { return float64(i/2%2*6 - 3), 0 })
		b.Scatter, b.Greatest = scatter, tolerance.Given(tolerance.Length(4))
		f, err := Find(t.Context(), b)
		if err != nil || len(f.Causes) != 1 || f.Causes[0].Kind != Mixed {
			t.Fatalf("%+v, %v", f, err)
		}
		if math.Abs(float64(f.Rest)-1) > 0.2 || f.BeyondRest.Value > 0.01 || f.Beyond.Value < 0.1 {
			t.Errorf("scatter known %v: without it %v, beyond the limit %v, of both %v", scatter, f.Rest, f.BeyondRest, f.Beyond)
		}
	}
}

// What strays in one component says nothing of another: of batch after batch each has the mean and variance of its
// law, and no two go together.
//
// Source: hand calculation: t² ν is χ² with ν degrees of freedom, k² ν with ν − 1, and u, w and l √ν are standard normal,
// all independent.
func TestStrays_independent(t *testing.T) {
	const dof = 7.0
	draws := strays(dof)
	columns := make([][]float64, 5)
	for _, s := range draws {
		for i, x := range []float64{s.u, s.w, s.l * math.Sqrt(dof), s.t * s.t, s.k * s.k} {
			columns[i] = append(columns[i], x)
		}
	}
	for i, want := range [][2]float64{{0, 1}, {0, 1}, {0, 1}, {1, 2 / dof}, {(dof - 1) / dof, 2 * (dof - 1) / dof / dof}} {
		m, v := stat.MeanVariance(columns[i], nil)
		if math.Abs(m-want[0]) > 0.05 || math.Abs(v/want[1]-1) > 0.1 {
			t.Errorf("component %d: mean %.3f and variance %.3f, want %.3f", i, m, v, want)
		}
		for k := range i {
			if c := stat.Correlation(columns[i], columns[k], nil); math.Abs(c) > 0.12 {
				t.Errorf("components %d and %d go together: %.3f", i, k, c)
			}
		}
	}
}
