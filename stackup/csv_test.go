package stackup_test

import (
	"bytes"
	"context"
	"encoding/csv"
	"errors"
	"fmt"
	"os"
	"strconv"
	"strings"
	"testing"

	"example.com/borestack/stackup"
	"example.com/borestack/stackup/internal/stacktest"
	"example.com/borestack/stackup/law"
	"example.com/borestack/tolerance"
)

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
	if len(rows) != 8 || strings.Join(rows[0], ",") != "sample,a,b/0,c/0,c/1,size,product" || rows[7][0] != "6" {
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
func TestOnGrid(t *testing.T) {
	s := stacktest.Limited()
	set := stackup.Settings{Samples: 3000, Seed: 4}
	made := func(v []float64) (*stackup.Study, error) {
		b, wrongShift := s.Inputs[1].Shifted(v[0])
		a, wrongSpread := s.Inputs[0].Scaled(v[1])
		v[0], v[1] = -1, -1 // they are handed over
		return s.With(a, b), errors.Join(wrongShift, wrongSpread)
	}
	axes := []stackup.Axis{{Name: "b: shift", Values: []float64{0, 0.1}}, {Name: "a: spread", Values: []float64{0.5, 1, 2}}}
	g := stacktest.Must(stackup.OnGrid(context.Background(), made, axes, set))
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
		"no values": {{Values: []float64{0}}, {}},
		"no spread": {{Values: []float64{0}}, {Values: []float64{-1}}},
		"too many":  {{Values: make([]float64, 400)}, {Values: make([]float64, 400)}},
	} {
		if _, err := stackup.OnGrid(context.Background(), made, axes, set); !stacktest.Refused(err) {
			t.Errorf("%s: %v", name, err)
		}
	}
	none := func([]float64) (*stackup.Study, error) { return nil, nil }
	if _, err := stackup.OnGrid(context.Background(), none, axes, set); !stacktest.Refused(err) {
		t.Errorf("no study: %v", err)
	}
	ctx, stop := context.WithCancel(context.Background())
	set.Progress = func(p stackup.Progress) {
		if p.Done > 2*set.Samples {
			stop()
		}
	}
	set.Workers = 1
	if g, err := stackup.OnGrid(ctx, made, axes, set); !errors.Is(err, context.Canceled) || len(g.Points) == 0 || len(g.Points) == 6 {
		t.Error(g, err)
	}
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

func ExampleOnGrid() {
	s := stacktest.Gap()
	s.Responses[0].Limits = tolerance.AtLeast(0.02)
	made := func(v []float64) (*stackup.Study, error) {
		bore, err := s.Inputs[0].Scaled(v[0])
		spigot, wrong := s.Inputs[1].Scaled(v[1])
		return s.With(bore, spigot), errors.Join(err, wrong)
	}
	axes := []stackup.Axis{{Name: "bore: spread", Values: []float64{1, 1.5}}, {Name: "spigot: spread", Values: []float64{1, 0.5}}}
	g, err := stackup.OnGrid(context.Background(), made, axes, stackup.Settings{Samples: 50_000, Seed: 1})
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

func ExampleGrid_WriteCSV() {
	s := stacktest.Limited()
	made := func(v []float64) (*stackup.Study, error) { a, err := s.Inputs[0].Scaled(v[0]); return s.With(a), err }
	g, err := stackup.OnGrid(context.Background(), made, []stackup.Axis{{Name: "a: spread", Values: []float64{1, 2}}}, stackup.Settings{Samples: 1000, Seed: 1})
	if err != nil {
		fmt.Println(err)
		return
	}
	var b strings.Builder
	if err := g.WriteCSV(&b); err != nil {
		fmt.Println(err)
		return
	}
	heading, _, _ := strings.Cut(b.String(), "\n")
	fmt.Println(heading)
	// Output:
	// a: spread,sum: mean,sum: sd,sum: yield,sum: yield low,sum: yield high
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
