package study

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"example.com/borestack/align"
	"example.com/borestack/align/record"
	"example.com/borestack/tolerance"
)

// round is n readings of an offset bore or tapered part, with repeats and gaps.
func round(r *rand.Rand, n int) align.Readings {
	out := align.Readings{First: tolerance.Angle(r.Float64()), FromNose: r.IntN(2) == 0}
	for k := range n {
		v := []tolerance.Length{tolerance.Length(0.3*math.Cos(2*math.Pi*float64(k)/float64(n)) + 14)}
		if r.IntN(4) == 0 {
			v = append(v, v[0]+0.001)
		}
		if n > 6 && r.IntN(6) == 0 {
			v = nil
		}
		out.Values = append(out.Values, v)
	}
	out.Uncertainty = tolerance.Given(tolerance.Length(0.001 * (1 + r.Float64())))
	if r.IntN(2) == 0 {
		out.SharedUncertainty = tolerance.Given(tolerance.Length(0.002))
	}
	if r.IntN(2) == 0 && len(out.Values[0]) > 0 {
		out.Closing = tolerance.Given(out.Values[0][0] + 0.002)
	}
	return out
}

// plates is a case and a plate measured round, and a tail whose bush is swept and wears a pilot that is.
func plates(r *rand.Rand) align.Stack {
	pilot := func(kind align.PilotKind, d tolerance.Length) *align.Pilot {
		return &align.Pilot{Kind: kind, Diameter: d}
	}
	swept := pilot(align.PilotBore, 80)
	swept.Sweep = &align.Sweep{Readings: round(r, 4+r.IntN(9))}
	return align.Stack{
		Parts: []align.Part{
			{Name: "case", Rear: &align.Face{Z: 150, Pilot: pilot(align.PilotBore, 100)}, Bores: []align.Bore{{Name: "a"}, {Name: "b", Centre: align.Vec3{Z: 100}}}},
			{Name: "plate", Front: &align.Face{Pilot: pilot(align.Spigot, 100)}, Rear: &align.Face{Thickness: &align.Thickness{Readings: round(r, 5+r.IntN(9)), Radius: 60}, Pilot: pilot(align.Spigot, 80)}},
			{Name: "tail", Front: &align.Face{Pilot: swept}, Bores: []align.Bore{{Name: "c", Centre: align.Vec3{Z: 90}, Sweep: &align.Sweep{Readings: round(r, 3+r.IntN(12))}}}},
		},
		Joints:     []align.Joint{{Lies: align.LiesRest}, {Lies: align.LiesRest}},
		References: []align.Reference{{Name: "l", Through: [2]string{"case/a", "case/b"}}},
	}
}

// Three numbers of a round stand for all its readings: the same standard uncertainty, and the same
// share of each reading.
//
// Source: a second method, each reading on its own.
func TestGauge_fold(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	outputs := []align.Output{{What: align.OffsetSize, Of: "tail/c"}, {What: align.TiltSize, Of: "tail/c"}, {What: align.OffsetX, Of: "tail/c"}}
	for i := range 40 {
		s := plates(r)
		sources := GaugeSources(&s)
		if len(sources) < 12 {
			t.Fatal(len(sources), "sources")
		}
		var u [2][]float64
		var effects [2][][]float64
		for whole := range u {
			tables, err := tablesOf(s, gaugeOf(sources, varies{}, whole == 1))
			if err != nil {
				t.Fatal(err)
			}
			by := tables[0]
			if n := len(by.gauge.columns); whole == 0 && n > 7 {
				t.Errorf("case %d: %d columns for three rounds", i, n)
			}
			for _, l := range unlimited(outputs) {
				q := newJudged(l, by, align.Range{})
				if err := q.nudge(&q.worst); err != nil {
					t.Fatal(err)
				}
				e := make([]float64, len(sources))
				for c := range by.gauge.columns {
					for _, p := range by.gauge.columns[c].parts {
						e[p.source] += p.share * q.worst.effects[c]
					}
				}
				u[whole], effects[whole] = append(u[whole], q.worst.u), append(effects[whole], e)
			}
		}
		for o := range outputs {
			if math.Abs(u[0][o]-u[1][o]) > 2e-5*u[1][o] || u[1][o] == 0 {
				t.Errorf("case %d, output %d: u %v folded, %v reading by reading", i, o, u[0][o], u[1][o])
			}
			for k := range sources {
				if math.Abs(effects[0][o][k]-effects[1][o][k]) > 1e-4*u[1][o] {
					t.Errorf("case %d, output %d: %s %s counts %v folded, %v alone", i, o, sources[k].Set, sources[k].Key, effects[0][o][k], effects[1][o][k])
				}
			}
		}
	}
}

// A thickness variation sees every reading: of the largest and the least alone.
//
// Source: hand calculation.
func TestUncertainties_thicknessVariation(t *testing.T) {
	s := plates(rand.New(rand.NewPCG(3, 4)))
	th := &s.Parts[1].Rear.Thickness.Readings
	*th = align.Readings{Values: [][]tolerance.Length{{14}, {14.2}, {14.1}, {13.9}, {14.05}}, Uncertainty: tolerance.Given(tolerance.Length(0.003))}
	u, err := Uncertainties(s, GaugeSources(&s), []align.Output{{What: align.ThicknessVariation, Of: "plate"}})
	if err != nil || math.Abs(u[0]-0.003*math.Sqrt2) > 1e-12 {
		t.Errorf("u %v, %v; want %v", u, err, 0.003*math.Sqrt2)
	}
}

// Of boxes whose truth is exactly at the limit no more than one in twenty passes: for a size clear of
// zero and near it, and at the kink of a margin, whatever the readings happened to be.
//
// Source: JCGM 106:2012, 8.3 (conformance probability of 95 %); three standard deviations of a share
// of 5 % in so many trials.
func TestJudge_coverage(t *testing.T) {
	const trials, u = 240, 0.004 // an axis of the centre is off by u√(2/8) = 0.002
	r := rand.New(rand.NewPCG(5, 6))
	for _, c := range []struct {
		name string
		off  float64
		make func(off float64) (align.Output, tolerance.Limits)
	}{
		{"size, clear", 0.05, func(off float64) (align.Output, tolerance.Limits) {
			return align.Output{What: align.OffsetSize, Of: "bed/b"}, tolerance.Limits{Greatest: tolerance.Given(off)}
		}},
		{"size, near zero", 0.006, func(off float64) (align.Output, tolerance.Limits) {
			return align.Output{What: align.OffsetSize, Of: "bed/b"}, tolerance.Limits{Greatest: tolerance.Given(off)}
		}},
		{"margin at a kink", 0.006, func(off float64) (align.Output, tolerance.Limits) {
			return align.Output{What: align.Margin}, tolerance.Limits{Least: tolerance.Given(0.015 - off/2)}
		}},
		{"margin", 0.03, func(off float64) (align.Output, tolerance.Limits) {
			return align.Output{What: align.Margin}, tolerance.Limits{Least: tolerance.Given(0.015 - off/2)}
		}},
	} {
		passed, said := 0, map[tolerance.Decision]int{}
		for range trials {
			sin, cos := math.Sincos(2 * math.Pi * r.Float64())
			s := bedOfThree(r, c.off*sin, c.off*cos, u)
			o, bounds := c.make(c.off)
			l := unlimited([]align.Output{o})[0]
			l.Least, l.Greatest = bounds.Least, bounds.Greatest
			v, _, err := Origin{}.Judge(t.Context(), s, []record.Limit{l})
			if err != nil {
				t.Fatal(err)
			}
			said[v[0].Word]++
			if v[0].Word == tolerance.Pass {
				passed++
			}
		}
		if most := 0.05*trials + 3*math.Sqrt(0.05*0.95*trials); float64(passed) > most {
			t.Errorf("%s: %d of %d pass at the limit (%v), at most %v are right", c.name, passed, trials, said, most)
		}
	}
}

// bedOfThree is three bores in one part, the middle one off by (x, y) and swept at eight stations with
// errors of standard deviation u.
func bedOfThree(r *rand.Rand, x, y, u float64) align.Stack {
	sweep := &align.Sweep{}
	for k := range 8 {
		sin, cos := math.Sincos(2 * math.Pi * float64(k) / 8)
		sweep.Values = append(sweep.Values, []tolerance.Length{tolerance.Length(-x*sin - y*cos + u*r.NormFloat64())})
	}
	sweep.Uncertainty = tolerance.Given(tolerance.Length(u))
	support := func(b string) align.Support { return align.Support{Bore: "bed/" + b, Clearance: 0.03} }
	return align.Stack{
		Parts:      []align.Part{{Name: "bed", Bores: []align.Bore{{Name: "a"}, {Name: "b", Centre: align.Vec3{Z: 100}, Sweep: sweep}, {Name: "c", Centre: align.Vec3{Z: 200}}}}},
		Shafts:     []align.Shaft{{Name: "m", Supports: []align.Support{support("a"), support("b"), support("c")}}},
		References: []align.Reference{{Name: "l", Through: [2]string{"bed/a", "bed/c"}}},
	}
}

// What draws say: sure passes and fails at the first look that can tell, and never within the interval.
//
// Source: Clopper and Pearson's closed form for none or all of n: (α)^(1/n).
func TestEnough(t *testing.T) {
	n := int(math.Ceil(math.Log(lookError) / math.Log(0.95)))
	if enough(n-1, n-1, 0) != open || enough(n, n, 0) != yes || enough(0, 32, 0) != no {
		t.Errorf("all of %d: %v, of %d: %v", n-1, enough(n-1, n-1, 0), n, enough(n, n, 0))
	}
	if enough(950, 1000, 0) != open || enough(980, 1000, 0) != yes || enough(920, 1000, 0) != no {
		t.Error(enough(950, 1000, 0), enough(980, 1000, 0), enough(920, 1000, 0))
	}
	// However often it is looked, a share of exactly 95 % is called no more than one in twenty times.
	r := rand.New(rand.NewPCG(7, 8))
	called := 0
	for range 2000 {
		k, at := 0, 0
		for i := range looks[len(looks)-1] {
			if r.Float64() < conforms {
				k++
			}
			if i+1 == looks[at] {
				if enough(k, i+1, 0) != open {
					called++
					break
				}
				at++
			}
		}
	}
	if called > 100+3*10 {
		t.Errorf("%d of 2000 called", called)
	}
	if !slices.IsSorted(looks[:]) {
		t.Error("looks are in order")
	}
}
