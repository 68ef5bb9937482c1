package stackup_test

import (
	"bytes"
	"context"
	"encoding/csv"
	"errors"
	"fmt"
	"math"
	"os"
	"reflect"
	"strconv"
	"strings"
	"testing"

	"example.com/borestack/internal/check"

	"example.com/borestack/fault"
	"example.com/borestack/stackup"
	"example.com/borestack/stackup/internal/stacktest"
	"example.com/borestack/stackup/law"
	"example.com/borestack/tolerance"
)

// The iterator gives the samples of Run, in order, each as Sample draws it again; a loop may end when it likes.
func TestStudy_Samples(t *testing.T) {
	s := stacktest.Mixed()
	const n = 2*stackup.BlockSize + 300
	set := stackup.Settings{Samples: n, Seed: 9}
	q := run(t, s, set).Summary(0)
	index, good, sum := 0, 0, 0.0
	var kept []stackup.Sample
	for v, err := range s.Samples(context.Background(), set) {
		if err != nil || v.Index != index || len(v.Inputs) != 4 || len(v.Outputs) != 2 {
			t.Fatalf("%+v, %v", v, err)
		}
		index++
		sum += v.Outputs[0]
		if v.Outputs[0] <= 2.5 {
			good++
		}
		if v.Index%500 == 499 {
			kept = append(kept, v)
		}
	}
	if index != n || good != q.Good || math.Abs(sum/n-q.Mean) > 1e-12 {
		t.Errorf("%d samples, %d good, mean %v, want %d and %v", index, good, sum/n, q.Good, q.Mean)
	}
	for _, v := range kept {
		if x := stacktest.Must(s.Sample(9, v.Index)); !reflect.DeepEqual(x, v.Inputs) || v.Outputs[1] != x[0]*x[3] {
			t.Errorf("%+v, drawn again %v", v, x)
		}
	}
	count := 0
	for range s.Samples(context.Background(), set) {
		if count++; count == 1100 {
			break
		}
	}
	set.From, set.To = 2, 3
	first := true
	for v := range s.Samples(context.Background(), set) {
		if first && v.Index != 2*stackup.BlockSize {
			t.Errorf("block 2 begins at %d", v.Index)
		}
		first = false
	}
	if count != 1100 || first {
		t.Error(count, first)
	}
}

func TestStudy_Samples_errors(t *testing.T) {
	last := func(s *stackup.Study, ctx context.Context, set stackup.Settings) (n int, last error) {
		for _, err := range s.Samples(ctx, set) {
			if last != nil {
				t.Error("more after an error")
			}
			if last = err; err == nil {
				n++
			}
		}
		return n, last
	}
	set := stackup.Settings{Samples: 3000, Seed: 1}
	ctx := context.Background()
	s := stacktest.Limited()
	at := stacktest.Must(s.Sample(1, 1500))[0]
	bad := errors.New("bad")
	s.Model = stackup.Func{In: 2, Out: 1, Of: func(y, x []float64) error {
		if x[0] == at {
			return bad
		}
		return nil
	}}
	var e *fault.SampleError
	if n, err := last(s, ctx, set); !errors.Is(err, bad) || !errors.As(err, &e) || e.Index != 1500 || n > 1500 || n < stackup.BlockSize {
		t.Errorf("%d samples, %v", n, err)
	}
	if _, err := last(s, ctx, stackup.Settings{}); !stacktest.Refused(err) {
		t.Error(err)
	}
	if _, err := last(&stackup.Study{}, ctx, set); !stacktest.Refused(err) {
		t.Error(err)
	}
	dead, stop := context.WithCancel(ctx)
	stop()
	if n, err := last(s, dead, set); !errors.Is(err, context.Canceled) || n > 0 {
		t.Error(n, err)
	}
}

// A table reads back as what it was written from.
func TestAccumulator_WriteCSV(t *testing.T) {
	s := stacktest.Mixed()
	s.Responses[1].Name = "product, \"signed\""
	acc := run(t, s, stackup.Settings{Samples: 5000, Seed: 1})
	var b bytes.Buffer
	if err := acc.WriteCSV(&b, "mm"); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(&b).ReadAll()
	if err != nil || len(rows) != 3 {
		t.Fatal(rows, err)
	}
	at := map[string]int{}
	for c, name := range rows[0] {
		at[name] = c
	}
	for i, row := range rows[1:] {
		q := acc.Summary(i)
		for name, want := range map[string]float64{
			"samples": 5000, "infinite": 0, "mean": q.Mean, "mean error": q.MeanError, "sd": q.SD, "sd error": q.SDError, "skewness": q.Skewness,
			"least": q.Least, "most": q.Most, "good": float64(q.Good), "yield": q.Yield, "yield error": q.YieldError, "yield low": q.YieldInterval[0], "yield high": q.YieldInterval[1],
		} {
			if got, err := strconv.ParseFloat(row[at[name]], 64); err != nil || got != want {
				t.Errorf("%s: %v, want %v (%v)", name, got, want, err)
			}
		}
		if row[at["name"]] != s.Responses[i].Name || row[at["unit"]] != [2]string{"mm", ""}[i] {
			t.Error(row)
		}
	}
}

func TestStudy_WriteSamplesCSV(t *testing.T) {
	s := stacktest.Mixed()
	s.Inputs[1] = stackup.Input{Name: "b", Joint: stacktest.Must(law.NewShared([]law.Law{stacktest.Must(law.NewNormal(0, 1))}, [][]float64{{1}}))}
	var b bytes.Buffer
	set := stackup.Settings{Samples: 7, Seed: 2}
	if err := s.WriteSamplesCSV(&b, s.Samples(context.Background(), set)); err != nil {
		t.Fatal(err)
	}
	rows := stacktest.Must(csv.NewReader(&b).ReadAll())
	if len(rows) != 8 || strings.Join(rows[0], ",") != "sample,a,b/0,c/x,c/y,size,product" || rows[7][0] != "6" {
		t.Fatal(rows)
	}
	for k, x := range stacktest.Must(s.Sample(2, 4)) {
		if got := stacktest.Must(strconv.ParseFloat(rows[5][1+k], 64)); got != x {
			t.Errorf("column %d: %v, want %v", k, got, x)
		}
	}
	if err := s.WriteSamplesCSV(&b, s.Samples(context.Background(), stackup.Settings{})); !stacktest.Refused(err) {
		t.Error(err)
	}
}

// Every point of a grid is what a run of the changed study gives.
func TestStudy_Grid(t *testing.T) {
	s := stacktest.Limited()
	set := stackup.Settings{Samples: 3000, Seed: 4}
	axes := []stackup.Axis{
		{Input: "b", Change: stackup.ChangeShift, Values: []float64{0, 0.1}},
		{Input: "a", Change: stackup.ChangeSpread, Values: []float64{0.5, 1, 2}},
	}
	g := stacktest.Must(s.Grid(context.Background(), axes, set))
	if len(g.Points) != 6 {
		t.Fatal(len(g.Points))
	}
	for k, p := range g.Points {
		shift, spread := axes[0].Values[k/3], axes[1].Values[k%3]
		other := *s
		other.Inputs = []stackup.Input{stacktest.Must(s.Inputs[0].Scaled(spread)), stacktest.Must(s.Inputs[1].Shifted(shift))}
		want := run(t, &other, set).Summary(0)
		if q := p.Of[0]; p.Values[0] != shift || p.Values[1] != spread || q.Mean != want.Mean || q.SD != want.SD || q.Good != want.Good {
			t.Errorf("%v: %+v, want %+v", p.Values, q, want)
		}
	}
	var b bytes.Buffer
	if err := g.WriteCSV(&b); err != nil {
		t.Fatal(err)
	}
	rows := stacktest.Must(csv.NewReader(&b).ReadAll())
	if len(rows) != 7 || strings.Join(rows[0], ",") != "b: shift,a: spread,sum: mean,sum: sd,sum: yield,sum: yield low,sum: yield high" || rows[5][0] != "0.1" || rows[5][1] != "1" || rows[5][4] != fmt.Sprint(g.Points[4].Of[0].Yield) {
		t.Error(rows)
	}
	for name, axes := range map[string][]stackup.Axis{
		"no values": {{Input: "a", Change: stackup.ChangeSpread}},
		"no input":  {{Input: "z", Change: stackup.ChangeSpread, Values: []float64{1}}},
		"no spread": {{Input: "a", Change: stackup.ChangeSpread, Values: []float64{-1}}},
		"no change": {{Input: "a", Values: []float64{1}}},
		"too many":  {{Input: "a", Change: stackup.ChangeSpread, Values: make([]float64, 400)}, {Input: "b", Change: stackup.ChangeSpread, Values: make([]float64, 400)}},
	} {
		if _, err := s.Grid(context.Background(), axes, set); !stacktest.Refused(err) {
			t.Errorf("%s: %v", name, err)
		}
	}
	ctx, stop := context.WithCancel(context.Background())
	set.Progress = func(p stackup.Progress) {
		if p.Done > 2*set.Samples {
			stop()
		}
	}
	set.Workers = 1
	if g, err := s.Grid(ctx, axes, set); !errors.Is(err, context.Canceled) || len(g.Points) == 0 || len(g.Points) == 6 {
		t.Error(g, err)
	}
}

// Several spreads together. Source: hand calculation: a sum of independent normal deviations with sd √(a² s² + b² t²)
// holds the limit at Φ(2) where that is half of it; by samples and by the worst case.
func TestStudy_HowFar_together(t *testing.T) {
	s := stacktest.Limited() // sd 0.2 and 0.3, limit 1
	set := stackup.Settings{Samples: 1 << 16, Seed: 2}
	share := 1 - stacktest.Upper(2)
	ask := stackup.Question{Input: "a", Change: stackup.ChangeSpread, From: 0.5, To: 3, Share: share, With: []stackup.Along{{Input: "b", Change: stackup.ChangeSpread, Weight: 1}}}
	l := stacktest.Must(s.HowFar(context.Background(), ask, set))
	check.Near(t, "one factor", l.Value, 0.5/math.Hypot(0.2, 0.3), 4*l.Error)
	// b grows half as fast: 0.04 (1 + d)² + 0.09 (1 + d/2)² = 0.25
	ask.With[0].Weight = 0.5
	l = stacktest.Must(s.HowFar(context.Background(), ask, set))
	a, b, c := 0.04+0.09/4, 2*0.04+0.09, 0.04+0.09-0.25
	check.Near(t, "half as fast", l.Value, 1+(-b+math.Sqrt(b*b-4*a*c))/(2*a), 4*l.Error)
	// shifts along weights: 1 + 2 times the shift takes the mean to 1 − 2 sd
	ask = stackup.Question{Input: "a", Change: stackup.ChangeShift, From: 0, To: 1, Share: share, With: []stackup.Along{{Input: "b", Change: stackup.ChangeShift, Weight: 2}}}
	l = stacktest.Must(s.HowFar(context.Background(), ask, set))
	check.Near(t, "shifts", l.Value, (1-2*math.Hypot(0.2, 0.3))/3, 4*l.Error)
	for name, with := range map[string]stackup.Along{
		"twice": {Input: "a", Change: stackup.ChangeShift, Weight: 1}, "none": {Input: "z", Change: stackup.ChangeShift, Weight: 1},
		"spread along with shifts": {Input: "b", Change: stackup.ChangeSpread, Weight: 1}, "no change": {Input: "b"},
	} {
		ask.With = []stackup.Along{with}
		if _, err := s.HowFar(context.Background(), ask, set); !stacktest.Refused(err) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// A histogram holds all samples; a limit is an edge, and the bars within the limits are as many as the yield says.
func TestSummary_Histogram(t *testing.T) {
	s := stacktest.Limited()
	s.Responses[0].Limits = tolerance.Between(-0.31, 0.52)
	q := run(t, s, stackup.Settings{Samples: 20000, Seed: 1}).Summary(0)
	h, ok := q.Histogram(s.Responses[0].Limits, 30)
	if !ok || len(h.Edges) != len(h.Counts)+1 || h.Edges[0] != q.Least || h.Edges[len(h.Edges)-1] != q.Most || h.Nominal.Value != 0 {
		t.Fatalf("%+v", h)
	}
	total, inside, edges := 0, 0, 0
	for i, n := range h.Counts {
		total += n
		if h.Edges[i] >= -0.31 && h.Edges[i+1] <= 0.52 {
			inside += n
		}
	}
	for _, e := range h.Edges {
		if e == -0.31 || e == 0.52 {
			edges++
		}
	}
	if total != 20000 || inside != q.Good || edges != 2 {
		t.Errorf("%d samples, %d inside of %d, %d edges", total, inside, q.Good, edges)
	}
	still := &stackup.Study{Model: stacktest.One(1, func([]float64) float64 { return 5 }), Inputs: s.Inputs[:1], Responses: []stackup.Response{{Name: "y"}}}
	if h, ok := run(t, still, stackup.Settings{Samples: 2000}).Summary(0).Histogram(tolerance.Limits{}, 30); ok {
		t.Errorf("%+v", h)
	}
	some := &stackup.Study{Model: stacktest.One(1, func(x []float64) float64 {
		if x[0] < 0 {
			return math.Inf(-1)
		}
		return x[0]
	}), Inputs: s.Inputs[:1], Responses: []stackup.Response{{Name: "y"}}}
	q = run(t, some, stackup.Settings{Samples: 2000}).Summary(0)
	if h, ok := q.Histogram(tolerance.Limits{}, 30); !ok || h.Under != q.Infinite || h.Over != 0 || q.Infinite == 0 {
		t.Errorf("%+v", h)
	}
}

// A plain chain of three parts: from the drawing to a yield with its error, in ten lines. A bore takes a ring and a
// cap; the gap that they leave is asked for, in mm. All numbers are invented.
func ExampleStudy_Run() {
	gap := stackup.Func{In: 3, Out: 1, Of: func(y, x []float64) error { y[0] = 40.2 + x[0] - 25 - x[1] - 15 - x[2]; return nil }}
	study := stackup.Study{Model: gap, Responses: []stackup.Response{{Name: "gap", Limits: tolerance.Between(0.08, 0.32)}}}
	for i, tol := range []float64{0.10, 0.06, 0.08} { // each ± at a Cpk of 1
		l, _ := law.FromCpk(-tol, tol, 1, 0)
		study.Inputs = append(study.Inputs, stackup.Input{Name: []string{"bore", "ring", "cap"}[i], Law: l})
	}
	acc, err := study.Run(context.Background(), stackup.Settings{Samples: 100_000, Seed: 1})
	if err == nil {
		fmt.Printf("yield %.4f ± %.4f\n", acc.Summary(0).Yield, acc.Summary(0).YieldError)
	}
	// Output: yield 0.9894 ± 0.0003
}

func ExampleStudy_Samples() {
	s := stacktest.Gap()
	for v, err := range s.Samples(context.Background(), stackup.Settings{Samples: 100_000, Seed: 1}) {
		if err != nil {
			fmt.Println(err)
			return
		}
		if v.Outputs[0] < 0.015 {
			fmt.Printf("sample %d leaves %.3f mm, with a spigot %+.3f mm off\n", v.Index, v.Outputs[0], v.Inputs[1])
			return
		}
	}
	// Output:
	// sample 1074 leaves 0.014 mm, with a spigot +0.015 mm off
}

func ExampleAccumulator_WriteCSV() {
	acc, err := stacktest.Gap().Run(context.Background(), stackup.Settings{Samples: 1024, Seed: 1})
	if err != nil {
		fmt.Println(err)
		return
	}
	var b strings.Builder
	if err := acc.WriteCSV(&b, "mm"); err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(b.String()[:60] + "...")
	// Output: name,unit,samples,infinite,mean,mean error,sd,sd error,skewn...
}

func ExampleStudy_Grid() {
	s := stacktest.Gap()
	s.Responses[0].Limits = tolerance.AtLeast(0.02)
	g, err := s.Grid(context.Background(), []stackup.Axis{
		{Input: "bore", Change: stackup.ChangeSpread, Values: []float64{1, 1.5}},
		{Input: "spigot", Change: stackup.ChangeSpread, Values: []float64{1, 0.5}},
	}, stackup.Settings{Samples: 50_000, Seed: 1})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, p := range g.Points {
		fmt.Printf("bore × %.1f, spigot × %.1f: yield %.3f\n", p.Values[0], p.Values[1], p.Of[0].Yield)
	}
	// Output:
	// bore × 1.0, spigot × 1.0: yield 0.994
	// bore × 1.0, spigot × 0.5: yield 1.000
	// bore × 1.5, spigot × 1.0: yield 0.985
	// bore × 1.5, spigot × 0.5: yield 0.996
}

func ExampleStudy_WriteSamplesCSV() {
	s := stacktest.Limited()
	if err := s.WriteSamplesCSV(os.Stdout, s.Samples(context.Background(), stackup.Settings{Samples: 1, Seed: 1})); err != nil {
		fmt.Println(err)
	}
	// Output:
	// sample,a,b,sum
	// 0,0.16787233248154562,-0.3547977311146294,-0.1869253986330838
}

func ExampleSummary_Histogram() {
	acc, err := stacktest.Limited().Run(context.Background(), stackup.Settings{Samples: 10_000, Seed: 1})
	if err != nil {
		fmt.Println(err)
		return
	}
	h, _ := acc.Summary(0).Histogram(tolerance.AtMost(1), 6)
	for i, n := range h.Counts {
		fmt.Printf("%.2f to %.2f: %d\n", h.Edges[i], h.Edges[i+1], n)
	}
	// Output:
	// -1.57 to -1.05: 25
	// -1.05 to -0.54: 662
	// -0.54 to -0.03: 4008
	// -0.03 to 0.49: 4399
	// 0.49 to 1.00: 883
	// 1.00 to 1.46: 23
}
