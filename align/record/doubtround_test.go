package record_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// swept is a box of one part whose bore has the given sweep, in a unit.
func swept(unit, block string) string {
	return fmt.Sprintf(`{"format": "borestack-record/1", "units": {"length": %q}, "joints": [],
 "parts": [{"name": "plate", "bores": [{"name": "b", "z": 0, "sweep": {%s}}]}]}`, unit, block)
}

// Every rule on readings at its threshold: not doubted just inside, doubted just outside.
func TestRecord_Doubts_rounds(t *testing.T) {
	const at = "/parts/0/bores/0/sweep"
	type probe struct{ name, in, out, path, why string }
	for _, p := range []probe{
		// Source: hand calculation: range 0.08, a quarter of it 0.02; u and d small.
		{"closing, a quarter of the range", `"readings": [0.010, 0.050, 0.090, 0.050], "closing": 0.030`, `"readings": [0.010, 0.050, 0.090, 0.050], "closing": 0.0301`, "", "0.0201 mm apart"},
		{"closing below the first", `"readings": [0.010, 0.050, 0.090, 0.050], "closing": -0.010`, `"readings": [0.010, 0.050, 0.090, 0.050], "closing": -0.0101`, "", "void"},
		// Source: hand calculation: 4 · 0.01 is more than a quarter of the range.
		{"closing, 4u", `"readings": [0.010, 0.050, 0.090, 0.050], "uncertainty": 0.01, "closing": 0.050`, `"readings": [0.010, 0.050, 0.090, 0.050], "uncertainty": 0.01, "closing": 0.0501`, "", "void"},
		// Source: hand calculation: two of the last digit, 0.01, that 0.12 and 8E-2 end in.
		{"closing, 2d", `"readings": [0.1, 0.12, 1e-1, 8E-2], "closing": 0.12`, `"readings": [0.1, 0.12, 1e-1, 8E-2], "closing": 0.1201`, "", "void"},
		{"closing where all are equal", `"readings": [0.10, 0.10, 0.10], "closing": 0.12`, `"readings": [0.10, 0.10, 0.10], "closing": 0.13`, "", "ranges over 0."},
		// Source: hand calculation: the first station's mean is 0.03.
		{"closing on repeats", `"readings": [[0.01, 0.05], 0.07, 0.11, 0.07], "closing": 0.05`, `"readings": [[0.01, 0.05], 0.07, 0.11, 0.07], "closing": 0.051`, "", "read 0.03, and 0.051"},
		{"closing beside a null", `"readings": [0.01, null, 0.05, 0.09], "closing": 0.03`, `"readings": [0.01, null, 0.05, 0.09], "closing": 0.031`, "", "void"},
		{"closing with u of zero", `"readings": [0.010, 0.050, 0.090, 0.050], "uncertainty": 0, "closing": 0.030`, `"readings": [0.010, 0.050, 0.090, 0.050], "uncertainty": 0, "closing": 0.0301`, "", "void"},

		// Source: hand calculation: one reading off by x is x from the fit to the seven others, which scatter by nothing; a tenth of the range 0 to x is less; four last digits are 0.004.
		{"stray, 4d", `"readings": [1.000, 1.000, 1.004, 1.000, 1.000, 1.000, 1.000, 1.000]`, `"readings": [1.000, 1.000, 1.005, 1.000, 1.000, 1.000, 1.000, 1.000]`, "/readings/2", "reading 3 of 8, at 3 o'clock, is 1.005 mm where the others ask for 1.000 within 0.001: read it again"},
		{"stray, 6u", `"uncertainty": 0.01, "readings": [1.000, 1.000, 1.060, 1.000, 1.000, 1.000, 1.000, 1.000]`, `"uncertainty": 0.01, "readings": [1.000, 1.000, 1.061, 1.000, 1.000, 1.000, 1.000, 1.000]`, "/readings/2", "1.061"},
		{"stray with u of zero", `"uncertainty": 0, "readings": [1.000, 1.000, 1.004, 1.000, 1.000, 1.000, 1.000, 1.000]`, `"uncertainty": 0, "readings": [1.000, 1.000, 1.005, 1.000, 1.000, 1.000, 1.000, 1.000]`, "/readings/2", "1.005"},
		{"stray of seven", `"readings": [1.000, 1.000, 1.005, 1.000, 1.000, 1.000, 1.000]`, "", "", ""},
		{"stray of seven and a null", `"readings": [1.000, 1.000, 1.005, 1.000, 1.000, 1.000, 1.000, null]`, "", "", ""},
		{"stray from the nose", `"seen_from": "nose", "readings": [1, 1, 1, 1, 1, 1, 1, 1]`, `"seen_from": "nose", "readings": [1, 1, 9, 1, 1, 1, 1, 1]`, "/readings/2", "at 3 o'clock seen from the nose (9 o'clock from the tail), is 9 mm"},
		{"stray at an angle", `"at": [0, 45, 100, 135, 180, 225, 270, 315], "readings": [1, 1, 1, 1, 1, 1, 1, 1]`, `"at": [0, 45, 100, 135, 180, 225, 270, 315], "readings": [1, 1, 9, 1, 1, 1, 1, 1]`, "/readings/2", "at 100°, is 9 mm"},
		{"stray after first", `"first": 30, "readings": [1, 1, 1, 1, 1, 1, 1, 1]`, `"first": 30, "readings": [1, 1, 9, 1, 1, 1, 1, 1]`, "/readings/2", "at 4 o'clock, is 9 mm"},
		{"stray among repeats", `"readings": [1, 1, [1, 1], 1, 1, 1, 1, 1]`, `"readings": [1, 1, [11, 1], 1, 1, 1, 1, 1]`, "/readings/2", "is 6 mm"},
		{"stray in a unit of its own", `"unit": "thou", "readings": [1.0, 1.0, 1.4, 1.0, 1.0, 1.0, 1.0, 1.0]`, `"unit": "thou", "readings": [1.0, 1.0, 1.5, 1.0, 1.0, 1.0, 1.0, 1.0]`, "/readings/2", "is 1.5 thou where the others ask for 1.0"},
		// Source: hand calculation: no u, so the last must be within 0.001 of the first, and the others range over more than 0.01.
		{"the first again", again(t, 8, "1.110"), again(t, 8, "1.109"), "", "9 readings look like 8 and the first station again: the last, 1.109, repeats the first, 1.108"},
		{"the first again, below", again(t, 8, "1.106"), again(t, 8, "1.107"), "", "again"},
		{"the first again, 3u", `"uncertainty": 0.001, ` + again(t, 8, "1.112"), `"uncertainty": 0.001, ` + again(t, 8, "1.111"), "", "again"},
		{"the first again of five", again(t, 4, "1.110"), again(t, 4, "1.108"), "", "5 readings look like 4"},
		{"the first again of seven", again(t, 6, "1.110"), again(t, 6, "1.108"), "", "7 readings look like 6"},
		{"the first again of 13", again(t, 12, "1.110"), again(t, 12, "1.108"), "", "13 readings look like 12"},
		{"the first again of 17", again(t, 16, "1.110"), again(t, 16, "1.108"), "", "17 readings look like 16"},
		{"the first again of 25", again(t, 24, "1.110"), again(t, 24, "1.108"), "", "25 readings look like 24"},
		{"the first again of 11", again(t, 10, "1.108"), "", "", ""},
		{"the first again beside closing", again(t, 8, "1.108") + `, "closing": 1.108`, "", "", ""},
		{"the first again, hardly a range", `"uncertainty": 0.02, ` + again(t, 8, "1.108"), "", "", ""},
		// Source: hand calculation: 1 + 0.2 cos(θ + 20°) at 40° steps reads alike at its first and last stations.
		{"nine stations whose ends read alike", `"readings": [1.188, 1.100, 0.965, 0.847, 0.800, 0.847, 0.965, 1.100, 1.188]`, "", "", ""},
		{"nine stations in earnest", `"readings": [1.108, 1.194, 1.198, 1.112, 0.977, 0.860, 0.803, 0.834, 0.935]`, "", "", ""},

		// Source: hand calculation: 0.012 µm is below half a micrometre, read to 1e-4 µm; 12 µm is not.
		{"millimetres declared as micrometres", `"unit": "um", "readings": [46.6, 52.7, 54.5, 43.5]`, `"unit": "um", "readings": [0.0466, 0.0527, 0.0545, 0.0435]`, "", "no gauge reads that"},
		{"micrometres with many digits", `"unit": "um", "readings": [46.6001, 52.7001, 54.5001, 43.5001]`, "", "", ""},
		{"micrometres of a fine part", `"unit": "um", "readings": [0.1, 0.2, 0.3, 0.1]`, "", "", ""},
		{"alike but for rounding", `"unit": "thou", "readings": [472.44094488188977, 472.44094488188972, 472.44094488188977, 472.44094488188977]`, "", "", ""},
		{"no unit of its own", `"readings": [0.0000466, 0.0000527, 0.0000545, 0.0000435]`, "", "", ""},
		{"all equal", `"readings": [0, 0, 0, 0, 0, 0, 0, 0]`, "", "", ""},
		{"three readings", `"readings": [0, 1, 0]`, "", "", ""},
	} {
		d := doubtsOf(t, swept("mm", p.in))
		if len(d) > 0 {
			t.Errorf("%s: doubted inside: %v", p.name, d)
		}
		if p.out == "" {
			continue
		}
		d = doubtsOf(t, swept("mm", p.out))
		if len(d) != 1 || d[0].Path != at+p.path || !strings.Contains(d[0].Why, p.why) || len(d[0].Numbers) == 0 {
			t.Errorf("%s: want %s: %s: %v", p.name, p.path, p.why, d)
		}
	}
}

// again writes n stations with a mean of 1, a first harmonic, and then the last reading as given; the first station reads 1.108.
func again(t *testing.T, n int, last string) string {
	t.Helper()
	var out []string
	for k := range n {
		a := 2 * math.Pi * float64(k) / float64(n)
		v := 1 + 0.2*math.Cos(a-1)
		out = append(out, fmt.Sprintf("%.3f", v))
	}
	if out[0] != "1.108" {
		t.Fatal(out)
	}
	return `"readings": [` + strings.Join(append(out, last), ", ") + `]`
}

// The rule on one reading off against plain leave-one-out least squares, on random rounds about its thresholds.
func TestRecord_Doubts_strayByTrial(t *testing.T) {
	g := rand.New(rand.NewPCG(15, 0))
	found := map[bool]int{}
	for range 400 {
		m := []int{8, 9, 11, 12, 16}[g.IntN(5)]
		theta, value := make([]float64, m), make([]float64, m)
		var list, at []string
		u := []float64{0, 1e-4, 3e-3}[g.IntN(3)]
		noise := []float64{1e-5, 1e-4, 1e-3}[g.IntN(3)]
		bad, off := g.IntN(m), 0.012*g.Float64()
		for k := range m {
			deg := math.Round(360*float64(k)/float64(m) + 6*g.Float64())
			theta[k] = deg * math.Pi / 180
			v := 14 + 0.02*math.Cos(theta[k]-1) + noise*g.NormFloat64()
			if k == bad {
				v += off
			}
			s := fmt.Sprintf("%.4f", v)
			value[k], _ = strconv.ParseFloat(s, 64)
			list, at = append(list, s), append(at, fmt.Sprint(deg))
		}
		want, near := strayByTrial(theta, value, u, 1e-4)
		if near {
			continue // rounding decides
		}
		block := fmt.Sprintf(`"readings": [%s], "at": [%s]`, strings.Join(list, ", "), strings.Join(at, ", "))
		if u > 0 {
			block += fmt.Sprintf(`, "uncertainty": %v`, u)
		}
		got := -1
		for _, d := range doubtsOf(t, swept("mm", block)) {
			fmt.Sscanf(d.Path, "/parts/0/bores/0/sweep/readings/%d", &got)
		}
		if got != want {
			t.Errorf("%s: station %d, want %d", block, got, want)
		}
		found[want >= 0]++
	}
	if found[true] < 50 || found[false] < 50 {
		t.Error("the trial does not try both", found)
	}
}

// Ten times the others' scatter is the bound where it is the largest: a reading moves nothing but itself in what the others ask for.
func TestRecord_Doubts_strayByScatter(t *testing.T) {
	for _, m := range []int{8, 12} {
		g := rand.New(rand.NewPCG(uint64(m), 10))
		theta, value := make([]float64, m), make([]float64, m)
		for k := range m {
			theta[k] = 2 * math.Pi * float64(k) / float64(m)
			value[k] = math.Round(1e6*(1+0.005*math.Cos(theta[k])+0.001*g.NormFloat64())) / 1e6
		}
		const bad = 3
		off, scatter := withoutByTrial(theta, value, bad)
		for _, c := range []struct {
			share float64
			want  bool
		}{{0.999, false}, {1.001, true}} {
			moved := slices.Clone(value)
			moved[bad] += 10*scatter*c.share - off
			list := make([]string, m)
			for k, v := range moved {
				list[k] = fmt.Sprintf("%.6f", v)
			}
			d := doubtsOf(t, swept("mm", `"readings": [`+strings.Join(list, ", ")+`]`))
			if got := len(d) == 1 && d[0].Path == "/parts/0/bores/0/sweep/readings/3"; got != c.want || len(d) > 1 {
				t.Errorf("%d stations, %v of ten times the scatter: %v", m, c.share, d)
			}
		}
	}
}

// strayByTrial finds the reading that lies farthest beyond the bounds of the rule, -1 for none; near tells that rounding may decide.
func strayByTrial(theta, value []float64, u, d float64) (worst int, near bool) {
	worst = -1
	by := 0.0
	for k := range value {
		off, scatter := withoutByTrial(theta, value, k)
		ratio := math.Abs(off) / max(10*scatter, 6*u, 4*d, (slices.Max(value)-slices.Min(value))/10)
		near = near || math.Abs(ratio-1) < 1e-6
		if ratio > 1 && ratio > by {
			worst, by = k, ratio
		}
	}
	return worst, near
}

// withoutByTrial leaves out reading k and fits the others: how far it is from their fit, and their scatter about it.
//
// Source: a second method, least squares by normal equations and elimination.
func withoutByTrial(theta, value []float64, k int) (off, scatter float64) {
	n := 3
	if len(theta) >= 12 {
		n = 5
	}
	row := func(a float64) []float64 {
		return []float64{1, math.Cos(a), math.Sin(a), math.Cos(2 * a), math.Sin(2 * a)}[:n]
	}
	a := make([][]float64, n)
	for i := range a {
		a[i] = make([]float64, n+1)
	}
	for j, v := range value {
		if j == k {
			continue
		}
		r := row(theta[j])
		for i := range n {
			for l := range n {
				a[i][l] += r[i] * r[l]
			}
			a[i][n] += r[i] * (v - value[0])
		}
	}
	for i := range n {
		for l := range n {
			if l == i {
				continue
			}
			f := a[l][i] / a[i][i]
			for c := range n + 1 {
				a[l][c] -= f * a[i][c]
			}
		}
	}
	left := func(j int) float64 {
		r, v := row(theta[j]), value[j]-value[0]
		for i := range n {
			v -= r[i] * a[i][n] / a[i][i]
		}
		return v
	}
	sum := 0.0
	for j := range value {
		if j != k {
			sum += left(j) * left(j)
		}
	}
	return left(k), math.Sqrt(sum / float64(len(value)-1))
}

// A closing error is warned of above two standard uncertainties, unless the round is void; without a stated one, above half of what makes it void.
func TestRecord_Warnings_closing(t *testing.T) {
	for _, c := range []struct {
		block string
		want  bool
	}{
		// Source: record.md, "Warned"; hand calculation: 0.032 less 0.010 is 0.022 = 2 · 0.011.
		{`"readings": [0.010, 0.050, 0.190, 0.050], "uncertainty": 0.011, "closing": 0.032`, false},
		{`"readings": [0.010, 0.050, 0.190, 0.050], "uncertainty": 0.011, "closing": 0.0321`, true},
		{`"readings": [0.010, 0.050, 0.190, 0.050], "uncertainty": 0.011, "closing": 0.09`, false}, // void
		{`"readings": [0.010, 0.050, 0.090, 0.050], "closing": 0.02`, false},
		{`"readings": [0.010, 0.050, 0.090, 0.050], "closing": 0.0201`, true},
		{`"readings": [0.010, 0.050, 0.090, 0.050]`, false},
	} {
		w := decode(t, swept("mm", c.block)).Warnings()
		if got := len(w) == 1 && w[0].Path == "/parts/0/bores/0/sweep/closing" && strings.Contains(w[0].Text, "apart"); got != c.want || !got && len(w) > 0 {
			t.Errorf("%s: %v", c.block, w)
		}
	}
}
