package chance_test

import (
	"encoding/xml"
	"errors"
	"io"
	"math"
	"strings"
	"testing"

	"example.com/borestack/align/advise/batch"
	"example.com/borestack/examples/lesson/internal/chance"
	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: %g, want %g ± %g", what, got, want, tol)
	}
}

func add(t *testing.T, off float64) *chance.Ways {
	t.Helper()
	w, err := chance.Add(off, 20000, 1)
	if err != nil {
		t.Fatal(err)
	}
	return w
}

// Where root sum of squares is right: four equal normal lengths along one line.
func TestAdd_lengths(t *testing.T) {
	c := add(t, 0.1).Sum
	// Source: hand calculation: 0.2 ± 4 · 0.03; 0.2 ± √4 · 0.03, which are three standard deviations of a normal sum.
	for i, want := range [2][2]float64{{0.08, 0.32}, {0.14, 0.26}} {
		near(t, c.Ways[i].Name+", from", c.Ways[i].Low, want[0], 1e-12)
		near(t, c.Ways[i].Name+", to", c.Ways[i].High, want[1], 1e-12)
	}
	near(t, "short", c.Short(), 0, 1e-9)
	// Source: hand calculation: 1 − erf(3/√2) = 0.0026998 is outside three standard deviations.
	near(t, "promised", c.Promised, 0.0026998, 1e-7)
	near(t, "outside", c.Outside, 0.0026998, 4*c.Error)
	m := c.Ways[2]
	near(t, "Monte Carlo, from", m.Low, 0.14, 4*m.Error)
	near(t, "Monte Carlo, to", m.High, 0.26, 4*m.Error)
	if !(m.Error > 2e-4 && m.Error < 4e-3) { // Source: hand calculation: √(0.00135/20000)/(0.00443/0.02) = 0.0012
		t.Errorf("error of an end: %g", m.Error)
	}
}

// Where it misleads: the size of an offset about nothing. Where it is right again: the same, far from nothing.
func TestAdd_size(t *testing.T) {
	c := add(t, 0).Size
	sigma := 0.01 * math.Sqrt(3)
	// Source: hand calculation: three times across and three times up, 0.03 each: √2 · 0.09.
	near(t, "worst case, from", c.Ways[0].Low, 0, 0)
	near(t, "worst case, to", c.Ways[0].High, math.Sqrt2*0.09, 1e-12)
	near(t, "root sum of squares, to", c.Ways[1].High, 3*sigma, 1e-12)
	// Source: Rayleigh's distribution: P(size > r) = exp(−r²/2σ²), so that the end is at σ √(−2 ln 0.0013499).
	near(t, "exact, to", c.Exact[1], sigma*math.Sqrt(-2*math.Log(0.00134990)), 1e-7)
	near(t, "exact, from", c.Exact[0], sigma*math.Sqrt(-2*math.Log1p(-0.00134990)), 1e-7)
	// Source: the same: exp(−9/2) = 1.11 % is outside, four times what was promised.
	near(t, "outside", c.Outside, math.Exp(-4.5), 4*c.Error)
	near(t, "Monte Carlo, to", c.Ways[2].High, c.Exact[1], 4*c.Ways[2].Error)

	c = add(t, 0.2).Size
	// Source: hand calculation, second order of √((m + x)² + y²): at x = 3σ the size is m + 3σ + y²/2m, on average σ²/2m more.
	near(t, "short, far from nothing", c.Short(), sigma*sigma/0.4, 5e-4)
	near(t, "outside, far from nothing", c.Outside, 0.0027, 6*c.Error)
	near(t, "worst case, from, far from nothing", c.Ways[0].Low, 0.11, 1e-12)
	near(t, "worst case, to, far from nothing", c.Ways[0].High, math.Hypot(0.29, 0.09), 1e-12)
}

func TestSample(t *testing.T) {
	few, err := chance.Sample(400, 1)
	if err != nil {
		t.Fatal(err)
	}
	// Source: Rayleigh's distribution, σ² = 3 · 0.01²: 1 − exp(−0.037²/0.0006) = 0.89788.
	near(t, "exact share", few.Exact, 0.89788, 1e-5)
	// Source: hand calculation: √(p (1 − p)/N); sixteen times the samples, a quarter of the error.
	near(t, "standard error", few.StandardError(400), math.Sqrt(0.89788*0.10212/400), 1e-6)
	near(t, "a quarter", few.StandardError(6400), few.StandardError(400)/4, 1e-15)
	for _, n := range []int{chance.LeastCount, 400, 6400, chance.MostCount} {
		c, err := chance.Sample(n, 1)
		if err != nil {
			t.Fatal(err)
		}
		mean, square := 0.0, 0.0
		for _, r := range c.Runs {
			mean += r.Share / float64(len(c.Runs))
			square += (r.Share - c.Exact) * (r.Share - c.Exact) / float64(len(c.Runs))
			near(t, "error that a run states, over the theory's", r.Error/c.StandardError(float64(n)), 1, 0.5)
		}
		near(t, "mean of the runs", mean, c.Exact, 4*c.StandardError(float64(n*len(c.Runs))))
		// Source: χ² with 20 degrees of freedom is within 5.9 to 45.3 but for 2 in 1,000 (any table).
		near(t, "scatter of the runs over the theory's", 20*square/c.StandardError(float64(n))/c.StandardError(float64(n)), 25.6, 19.7)
		// Source: 95 % intervals: fewer than 15 of 20 catch the share in 3 of 10,000 cases.
		if c.Caught < 15 {
			t.Errorf("%d samples: %d of %d intervals hold the share", n, c.Caught, len(c.Runs))
		}
	}
}

func TestOneLot(t *testing.T) {
	for _, alike := range []float64{-1, -0.5, 0, 0.7, 1} {
		l, err := chance.OneLot(alike, 20000, 1)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "worst", l.Worst, 0.06, 1e-15)
		near(t, "RSS", l.RSS, 0.03*math.Sqrt2, 1e-15)
		// Source: hand calculation: var(a ± b) = 2 s² (1 ± ρ).
		near(t, "sum, exact", l.Sum.Exact, 0.03*math.Sqrt(2+2*alike), 1e-15)
		near(t, "difference, exact", l.Less.Exact, 0.03*math.Sqrt(2-2*alike), 1e-15)
		near(t, "sum", l.Sum.Sampled, l.Sum.Exact, 4*l.Sum.Error+1e-9)
		near(t, "difference", l.Less.Sampled, l.Less.Exact, 4*l.Less.Error+1e-9)
	}
}

func plates(t *testing.T, f chance.Fixture) *chance.Maker {
	t.Helper()
	m, err := f.Plates()
	if err != nil {
		t.Fatal(err)
	}
	if err := m.Ask(); err != nil {
		t.Fatal(err)
	}
	return m
}

// Both batches have one list of sizes; only the vectors tell the fixture from scatter.
func TestMaker(t *testing.T) {
	for _, wedge := range []tolerance.Length{0, 0.015, 0.03, chance.MostFixture} {
		m := plates(t, chance.Fixture{Wedge: wedge, Clock: 120 * tolerance.Degree, Turn: true})
		for i := range m.InFixture {
			a, b := m.Made.Pieces[i].At.Size(), m.Scattered.Pieces[i].At.Size()
			near(t, "size of a plate in both batches", float64(a), float64(b), 1e-15)
			near(t, "size of a plate, as it lay", float64(a), float64(m.InFixture[i].Size()), 1e-15)
		}
		near(t, "mean size", float64(m.OfMade.Typical), float64(m.OfScattered.Typical), 1e-15)
		near(t, "mean size, as it is said", float64(m.Typical()), float64(m.OfMade.Typical), 1e-15)
		if n := len(m.OfScattered.Causes); n > 0 {
			t.Errorf("a fixture of %v: plates from scatter have something in common: %+v", wedge, m.OfScattered.Causes)
		}
		if wedge == 0 {
			if len(m.OfMade.Causes) > 0 {
				t.Errorf("a true fixture is told to do %+v", m.OfMade.Causes)
			}
			continue
		}
		if len(m.OfMade.Causes) != 1 || m.OfMade.Causes[0].Kind != batch.FromFixture {
			t.Fatalf("a fixture of %v: %+v", wedge, m.OfMade.Causes)
		}
		// Source: hand calculation: the mean of what the reader set and of the scatter that was drawn, which the region covers.
		c := m.OfMade.Causes[0]
		x, y := wedge*tolerance.Length(math.Sin(2*math.Pi/3)), wedge*tolerance.Length(math.Cos(2*math.Pi/3))
		near(t, "fixture, from what was set, over the region's radius", math.Hypot(float64(c.Vector.X-x), float64(c.Vector.Y-y))/float64(c.Radius), 0, 1)
	}
}

// Laid in alike, plates cannot tell the fixture from the casting; what they carry is the same.
func TestMaker_laidAlike(t *testing.T) {
	turned := plates(t, chance.Fixture{Wedge: 0.03, Clock: 1, Turn: true})
	alike := plates(t, chance.Fixture{Wedge: 0.03, Clock: 1})
	for i, v := range alike.InFixture {
		at := alike.Made.Pieces[i].At
		near(t, "x of a plate as it lay", float64(at.X), float64(v.X), 1e-15)
		near(t, "y of a plate as it lay", float64(at.Y), float64(v.Y), 1e-15)
		// Source: hand calculation: a quarter turn further, what the fixture has at 3 o'clock is at the plate's 12.
		if i == 1 {
			at = turned.Made.Pieces[i].At
			near(t, "x of a plate a quarter turn on", float64(at.X), float64(-v.Y), 1e-15)
			near(t, "y of a plate a quarter turn on", float64(at.Y), float64(v.X), 1e-15)
		}
	}
	if c := alike.OfMade.Causes; len(c) == 0 || c[0].Kind != batch.FromPart || alike.OfMade.LaysDiffer {
		t.Errorf("%+v", c)
	}
	if s := alike.Sentence(tolerance.Inches); !strings.Contains(s, "cannot be told") || !strings.Contains(s, " in ") {
		t.Error(s)
	}
	sheet, err := turned.Sheet(tolerance.Millimetres)
	if err != nil || !strings.Contains(strings.Join(strings.Fields(sheet), " "), "the fixture can explain it") {
		t.Error(sheet, err)
	}
}

func TestFaults(t *testing.T) {
	nan := math.NaN()
	for name, do := range map[string]func() error{
		"off":     func() error { _, err := chance.Add(-0.1, 10, 1); return err },
		"off NaN": func() error { _, err := chance.Add(nan, 10, 1); return err },
		"samples": func() error { _, err := chance.Sample(1, 1); return err },
		"alike":   func() error { _, err := chance.OneLot(1.1, 10, 1); return err },
		"wedge":   func() error { _, err := chance.Fixture{Wedge: 1}.Plates(); return err },
		"clock":   func() error { _, err := chance.Fixture{Clock: tolerance.Angle(nan)}.Plates(); return err },
	} {
		var wrong *fault.FieldError
		if err := do(); !errors.As(err, &wrong) || !errors.Is(err, fault.ErrOutOfRange) {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, err := chance.Add(0, 0, 1); err == nil {
		t.Error("no samples were taken")
	}
}

// Pictures are well formed, keep numbers that are none out, and move with what is dragged.
func TestPictures(t *testing.T) {
	draw := func(at float64) (out []string) {
		w, err1 := chance.Add(at*chance.MostOff, 500, 1)
		c, err2 := chance.Sample(chance.LeastCount+int(at*300), 1)
		l, err3 := chance.OneLot(2*at-1, 500, 1)
		m, err4 := chance.Fixture{Wedge: tolerance.Length(at) * chance.MostFixture, Turn: true}.Plates()
		if err := errors.Join(err1, err2, err3, err4); err != nil {
			t.Fatal(err)
		}
		for _, unit := range []tolerance.Unit{tolerance.Millimetres, tolerance.Inches} {
			out = append(out, w.Picture(unit), c.Picture(unit), l.Picture(unit), "<g>"+m.Pictures(unit)+"</g>")
			if rows := w.Table(unit); len(rows) != 7 || strings.Contains(strings.Join(rows[0], ""), "mm") == (unit == tolerance.Inches) {
				t.Errorf("%v: %v", unit, rows)
			}
		}
		return out
	}
	first, last := draw(0), draw(1)
	for i, svg := range append(first, last...) {
		if strings.Contains(svg, "NaN") || strings.Contains(svg, "Inf") {
			t.Errorf("picture %d has a number that is none", i)
		}
		d := xml.NewDecoder(strings.NewReader(svg))
		for {
			if _, err := d.Token(); errors.Is(err, io.EOF) {
				break
			} else if err != nil {
				t.Fatalf("picture %d: %v", i, err)
			}
		}
	}
	for i := range first {
		if first[i] == last[i] {
			t.Errorf("picture %d does not move", i)
		}
	}
}
