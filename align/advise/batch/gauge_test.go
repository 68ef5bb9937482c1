package batch

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"example.com/borestack/internal/check"

	"example.com/borestack/fault"
)

// Three people, five parts, three repeats.
//
// Source: gauge study table from a public package's documentation (readings from memory; sums of squares
// 1.63035, 28.90937, 0.06500, 1.71213 as recomputed there).
var study = GaugeStudy{Readings: [][][]float64{
	{{3.29, 3.41, 3.64}, {2.44, 2.32, 2.42}, {4.34, 4.17, 4.27}, {3.47, 3.5, 3.64}, {2.2, 2.08, 2.16}},
	{{3.08, 3.25, 3.07}, {2.53, 1.78, 2.32}, {4.19, 3.94, 4.34}, {3.01, 4.03, 3.2}, {2.44, 1.8, 1.72}},
	{{3.04, 2.89, 2.85}, {1.62, 1.87, 2.04}, {3.88, 4.09, 3.67}, {3.14, 3.2, 3.11}, {1.54, 1.93, 1.55}},
}}

func TestByVariance_published(t *testing.T) {
	s, err := study.ByVariance()
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []float64{1.63035, 28.90937, 0.06500, 1.71213} {
		check.Near(t, "sum of squares", s.Sums[i], want, 5e-6)
	}
	if s.Freedoms != [4]float64{2, 4, 8, 30} || !s.Pooled {
		t.Errorf("%+v", s)
	}
	// Source: hand calculation from the sums above, pooled: 1.77713/38, (0.815175 − 0.046767)/15, (7.2273425 − 0.046767)/9.
	check.Near(t, "repeat", s.Repeat, 0.0467666, 1e-6)
	check.Near(t, "person", s.Person, 0.0512272, 1e-6)
	check.Near(t, "part", s.Part, 0.7978419, 1e-6)
	if s.Levels() != 4 || Verdict(s.ShareOfSpread()) != "not acceptable" { // √2 · √(0.79784/0.09799) = 4.03
		t.Errorf("levels %d, share %g", s.Levels(), s.ShareOfSpread())
	}
}

// The factors of ranges.
//
// Source: the d2 and d2* tables of any handbook on quality control (from memory): d2 1.128, 1.693, 2.059,
// 2.326, 3.078; d2* for one group of two 1.414, of three 1.912, of ten 3.179; three groups of two 1.231.
func TestRangeFactor_published(t *testing.T) {
	for m, want := range map[int]float64{2: 1.128379, 3: 1.692569, 4: 2.058751, 5: 2.325929, 10: 3.077505} {
		first, _ := rangeMoments(m)
		check.Near(t, "d2", first, want, 2e-4)
	}
	for _, c := range []struct {
		m, g int
		want float64
	}{{2, 1, 1.41421}, {3, 1, 1.91155}, {10, 1, 3.17905}, {2, 3, 1.23105}, {3, 15, 1.70806}} {
		check.Near(t, "d2*", rangeFactor(c.m, c.g), c.want, 1e-3)
	}
}

// Both ways find what readings are made of.
//
// Source: simulation: person 0.3, part 1, repeat 0.2, person by part 0.
func TestGaugeStudy_recovers(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 1))
	var variance, ranges Spread
	const n = 100
	for range n {
		g := GaugeStudy{Readings: make([][][]float64, 3)}
		parts := make([]float64, 10)
		for k := range parts {
			parts[k] = r.NormFloat64()
		}
		for i := range g.Readings {
			person := 0.3 * r.NormFloat64()
			for _, part := range parts {
				g.Readings[i] = append(g.Readings[i], []float64{part + person + 0.2*r.NormFloat64(), part + person + 0.2*r.NormFloat64()})
			}
		}
		a, err := g.ByVariance()
		if err != nil {
			t.Fatal(err)
		}
		b, err := g.ByRange()
		if err != nil {
			t.Fatal(err)
		}
		variance.Repeat += a.Repeat / n
		variance.Person += a.Person / n
		variance.Part += a.Part / n
		ranges.Repeat += b.Repeat / n
		ranges.Person += b.Person / n
		ranges.Part += b.Part / n
	}
	for _, s := range []Spread{variance, ranges} {
		check.Near(t, "repeat", s.Repeat, 0.04, 0.004) // the term that is pooled only when it is small costs a few per cent
		check.Near(t, "person", s.Person, 0.09, 0.04)
		check.Near(t, "part", s.Part, 1, 0.15)
	}
}

func TestGaugeStudy_refuses(t *testing.T) {
	for name, c := range map[string]struct {
		readings [][][]float64
		want     error
	}{
		"nobody":     {nil, fault.ErrTooFew},
		"one person": {study.Readings[:1], fault.ErrTooFew},
		"one part":   {[][][]float64{{{1, 2}}, {{1, 2}}}, fault.ErrTooFew},
		"no repeat":  {[][][]float64{{{1}, {2}}, {{1}, {2}}}, fault.ErrTooFew},
		"lacking":    {[][][]float64{{{1, 2}, {2, 3}}, {{1, 2}, {2}}}, fault.ErrMissing},
		"no number":  {[][][]float64{{{1, 2}, {2, 3}}, {{1, 2}, {2, math.NaN()}}}, fault.ErrNotFinite},
	} {
		if _, err := (GaugeStudy{Readings: c.readings}).ByVariance(); !errors.Is(err, c.want) {
			t.Errorf("%s: %v", name, err)
		}
		if _, err := (GaugeStudy{Readings: c.readings}).ByRange(); !errors.Is(err, c.want) {
			t.Errorf("%s, by range: %v", name, err)
		}
	}
	same, err := GaugeStudy{Readings: [][][]float64{{{1, 1}, {2, 2}}, {{1, 1}, {2, 2}}}}.ByVariance()
	if err != nil || same.Gauge() != 0 {
		t.Errorf("a gauge without any scatter: %+v, %v", same, err)
	}
}

// Points of published operating curves.
//
// Source: ISO 2859-1:1999, tables 10-J-1 and 10-F-1 (from memory): sample 80, accept 2 is taken 95 % of
// the time at 1.03 % bad and 10 % at 6.52 % (binomial); sample 20, accept 0 at 0.256 % and 10.9 %.
func TestTaken_published(t *testing.T) {
	for _, c := range []struct {
		plan            SamplingPlan
		maker, consumer float64
	}{{SamplingPlan{Sample: 80, Accept: 2}, 0.0103, 0.0652}, {SamplingPlan{Sample: 20}, 0.00256, 0.109}} {
		maker, err := c.plan.ShareAt(0.95)
		if err != nil {
			t.Fatal(err)
		}
		user, _ := c.plan.ShareAt(0.1)
		check.Near(t, "95 %", maker, c.maker, 0.00006)
		check.Near(t, "10 %", user, c.consumer, 0.0006)
		back, _ := c.plan.Taken(maker)
		check.Near(t, "there and back", back, 0.95, 1e-9)
	}
	// Source: hand calculation: 2 bad of 10, none in 3: 8·7·6 / (10·9·8).
	p, err := SamplingPlan{Lot: 10, Sample: 3}.Taken(0.2)
	if err != nil {
		t.Fatal(err)
	}
	check.Near(t, "a small lot", p, 8.0*7*6/(10*9*8), 1e-12)
	for _, bad := range []SamplingPlan{{}, {Sample: 5, Accept: 5}, {Lot: 3, Sample: 5}, {Sample: 5, Accept: -1}, {Lot: math.MaxInt64, Sample: 5}, {Sample: 1e9}} {
		if _, err := bad.Taken(0.1); !errors.Is(err, fault.ErrOutOfRange) {
			t.Errorf("%+v: %v", bad, err)
		}
	}
}

// Readings that are all alike say nothing of the gauge, and one that does not scatter tells no more groups
// than anyone sorts parts into.
func TestGaugeStudy_coarse(t *testing.T) {
	g := GaugeStudy{Readings: [][][]float64{{{1, 1}, {1, 1}}, {{1, 1}, {1, 1}}}}
	if _, err := g.ByVariance(); !errors.Is(err, fault.ErrTooFew) {
		t.Errorf("all alike: %v", err)
	}
	g.Readings = [][][]float64{{{1, 1}, {2, 2}}, {{1, 1}, {2, 2}}}
	s, err := g.ByVariance()
	if err != nil || s.Gauge() != 0 || s.Levels() != mostLevels {
		t.Errorf("%+v, %d levels, %v", s, s.Levels(), err)
	}
}

// Numbers whose squares are none, too large or too small, are refused: what came of them was no number.
func TestGaugeStudy_squares(t *testing.T) {
	for size, class := range map[float64]error{1e308: fault.ErrOutOfRange, 1e200: fault.ErrOutOfRange, 1e-200: fault.ErrTooFew, 1e-99: nil, 1e99: nil} {
		cell := func(k float64) []float64 { return []float64{k * size, -k * size} }
		g := GaugeStudy{Readings: [][][]float64{{cell(1), cell(0.5)}, {cell(0.25), cell(-1)}}}
		s, err := g.ByVariance()
		if !errors.Is(err, class) || (class == nil) != (err == nil) {
			t.Errorf("%g: %v", size, err)
		}
		if n := s.Levels(); err == nil && (n < 1 || n > mostLevels || math.IsNaN(s.ShareOfSpread())) {
			t.Errorf("%g: %d groups, %v of the spread", size, n, s.ShareOfSpread())
		}
	}
}
