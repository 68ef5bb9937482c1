package fits_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"example.com/borestack/internal/check"

	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
	"example.com/borestack/tolerance/fits"
)

func ring(inner, outer, modulus, poisson, expansion float64) fits.Ring {
	return fits.Ring{Inner: tolerance.Length(inner), Outer: tolerance.Length(outer), Modulus: modulus, Poisson: poisson, Expansion: expansion}
}

func solved(t *testing.T, f fits.PressFit) fits.Pressed {
	t.Helper()
	p, err := f.Solve()
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// Source: Shigley's Mechanical Engineering Design, press and shrink fits (formula from memory); numbers recomputed, the first exact.
func TestPressFit_Solve_reference(t *testing.T) {
	for _, c := range []struct {
		d, outer, inner, delta, eo, vo, ei, vi float64
		pressure, hub, sleeve                  float64
	}{
		{50, 100, 0, 0.05, 207000, 0.29, 207000, 0.29, 77.625, 129.375, -77.625},
		{40, 80, 20, 0.03, 71000, 0.33, 207000, 0.29, 21.568688199535597, 35.947813665893, -35.947813665893},
		{72, 90, 62, 0.02, 71000, 0.33, 207000, 0.30, 2.780314142894999, 12.665875539855, -18.731847822430},
	} {
		p := solved(t, fits.PressFit{ring(c.inner, c.d, c.ei, c.vi, 0), ring(c.d, c.outer, c.eo, c.vo, 0), fits.Interference(c.delta)})
		if got := p.Pressure; !check.CloseShare(got, c.pressure, 1e-12) {
			t.Errorf("%v in %v: pressure %.17g, want %.17g", c.d, c.outer, got, c.pressure)
		}
		if got := p.Outer.HoopBore; !check.CloseShare(got, c.hub, 1e-12) {
			t.Errorf("%v in %v: hub %.17g, want %.17g", c.d, c.outer, got, c.hub)
		}
		if got := p.Inner.HoopOutside; !check.CloseShare(got, c.sleeve, 1e-12) {
			t.Errorf("%v in %v: sleeve %.17g, want %.17g", c.d, c.outer, got, c.sleeve)
		}
	}
}

// Source: a public worked example of a shrink fit: steel sleeve 150 mm on a solid shaft of 100 mm, δ 0.1 mm, E 210 GPa: about 58.3 MPa, 151.7 MPa at the sleeve's bore, -58.3 MPa in the shaft.
func TestPressFit_Solve_published(t *testing.T) {
	p := solved(t, fits.PressFit{ring(0, 100, 210e3, 0.3, 0), ring(100, 150, 210e3, 0.3, 0), 0.1})
	for _, c := range [][3]float64{
		{p.Pressure, 58.3, 0.05},
		{p.Outer.HoopBore, 151.7, 0.05},
		{p.Inner.HoopOutside, -58.3, 0.05},
	} {
		if math.Abs(c[0]-c[1]) > c[2] {
			t.Errorf("%v, want %v", c[0], c[1])
		}
	}
}

// A thin ring on a rigid shaft carries E δ/d and presses 2 t E δ/d²; what is left goes with the wall.
//
// Source: hand calculation: thin ring, hoop stress p d/(2 t), strain δ/d.
func TestPressFit_Solve_thinRing(t *testing.T) {
	const d, delta, e = 60.0, 0.03, 206000.0
	for _, wall := range []float64{1e-2, 1e-3, 1e-4} {
		p := solved(t, fits.PressFit{ring(0, d, 1e18, 0.3, 0), ring(d, d+2*wall, e, 0.3, 0), delta})
		if got, want := p.Outer.HoopBore, e*delta/d; !check.CloseShare(got, want, 2*wall/d) {
			t.Errorf("wall %v: hoop %v, want %v", wall, got, want)
		}
		if got, want := p.Pressure, 2*wall*e*delta/(d*d); !check.CloseShare(got, want, 4*wall/d) {
			t.Errorf("wall %v: pressure %v, want %v", wall, got, want)
		}
	}
}

// Source: hand calculation: one material, solid shaft: p = E δ (1 - d²/D²)/(2 d), the outside grows by δ d/D, and the shaft is under p all over; a vanishing bore doubles the hoop stress there and nothing else.
func TestPressFit_Solve_solidShaft(t *testing.T) {
	const d, outer, delta, e, v = 30.0, 41.0, 0.018, 206000.0, 0.3
	fit := func(bore float64) fits.Pressed {
		return solved(t, fits.PressFit{ring(bore, d, e, v, 0), ring(d, outer, e, v, 0), delta})
	}
	p := fit(0)
	want := e * delta * (1 - d*d/(outer*outer)) / (2 * d)
	if !check.CloseShare(p.Pressure, want, 1e-14) || !check.CloseShare(float64(p.Outer.Outside.Total()), delta*d/outer, 1e-14) {
		t.Errorf("%+v, want %v and %v", p, want, delta*d/outer)
	}
	if p.Inner.HoopBore != -p.Pressure || p.Inner.HoopOutside != -p.Pressure || p.Inner.Bore != (fits.Change{}) {
		t.Errorf("the shaft is not under even pressure: %+v", p.Inner)
	}
	if pin := fit(1e-6); !check.CloseShare(pin.Inner.HoopBore, -2*want, 1e-9) || !check.CloseShare(pin.Pressure, want, 1e-9) || !check.CloseShare(pin.Inner.HoopOutside, -want, 1e-9) {
		t.Errorf("a vanishing bore: %+v", pin)
	}
}

// pairOf makes a press fit: walls thick and thin, light and heavy metals, at any temperature, tight and
// loose.
func pairOf(rng *rand.Rand) fits.PressFit {
	var rings [2]fits.Ring
	d := 0.0
	if rng.IntN(2) == 0 {
		d = 5 + 30*rng.Float64()
	}
	for i := range rings {
		next := d + 2*math.Exp(rng.Float64()*4-1) + 1
		rings[i] = ring(d, next, 4e4+1.8e5*rng.Float64(), 0.2+0.15*rng.Float64(), 1e-5+1.6e-5*rng.Float64())
		if rng.IntN(2) == 0 {
			rings[i] = rings[i].At(tolerance.Celsius(200*rng.Float64() - 60))
		}
		d = next
	}
	return fits.PressFit{rings[0], rings[1], fits.Interference(float64(rings[0].Outer) * 1e-3 * (1.6*rng.Float64() - 0.6))}
}

// The laws that make the answer the only one: no tension, no overlap, pressure or gap but not both; every
// wall in balance; what touches has one diameter.
func TestPressFit_Solve_laws(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 58))
	open, closed := 0, 0
	for trial := range 3000 {
		f := pairOf(rng)
		p := solved(t, f)
		in, out := p.Inner.Outside.Total(), p.Outer.Bore.Total()
		if gap := float64(out-in) - float64(f.Interference); math.Abs(gap-float64(p.Gap)) > 1e-13*float64(p.Diameter) {
			t.Fatalf("trial %d: the rings are %v apart, not %v", trial, gap, p.Gap)
		}
		if p.Pressure < 0 || p.Gap < 0 || p.Pressure > 0 && p.Gap > 0 {
			t.Fatalf("trial %d: pressure %v with gap %v", trial, p.Pressure, p.Gap)
		}
		if p.Pressure == 0 {
			open++
		} else {
			closed++
		}
		// The hoop stress A + B/r², through its ends, carries what the pressures push the halves apart with.
		for _, c := range []struct {
			r               fits.Ring
			s               fits.RingState
			inside, outside float64
		}{{f.Inner, p.Inner, 0, p.Pressure}, {f.Outer, p.Outer, p.Pressure, 0}} {
			a, b := float64(c.r.Inner)/2, float64(c.r.Outer)/2
			if a == 0 {
				continue
			}
			bb := (c.s.HoopBore - c.s.HoopOutside) / (1/(a*a) - 1/(b*b))
			aa := c.s.HoopBore - bb/(a*a)
			load := c.inside*a - c.outside*b
			size := (math.Abs(c.s.HoopBore) + math.Abs(c.s.HoopOutside) + p.Pressure) * b * b / (b - a)
			if got := aa*(b-a) + bb*(1/a-1/b); math.Abs(got-load) > 1e-12*size {
				t.Fatalf("trial %d: a ring carries %v of %v", trial, got, load)
			}
		}
		// A tighter fit does not press less.
		f.Interference += 0.001
		if tighter := solved(t, f); tighter.Pressure < p.Pressure {
			t.Fatalf("trial %d: the pressure falls from %v to %v", trial, p.Pressure, tighter.Pressure)
		}
	}
	if open < 500 || closed < 1000 {
		t.Error(open, "open and", closed, "closed: the trials do not cover both")
	}
}

// Source: hand calculation: an interference δ on d is gone when the outer ring has grown δ more than the
// inner: T = 20 + δ/(d (α_out - α_in)); at that temperature the pressure is 0 and so is the gap.
func TestPressFit_LetsGo(t *testing.T) {
	const d, delta, in, out = 72.0, 0.05, 11.5e-6, 21.8e-6
	f := fits.PressFit{ring(62, d, 206000, 0.29, in), ring(d, 110, 71000, 0.33, out), delta}
	at, ok := f.LetsGo().Get()
	if !ok || !check.CloseShare(float64(at), 20+delta/(d*(out-in)), 1e-13) {
		t.Error(at, ok)
	}
	for _, by := range []tolerance.Celsius{-1, 1} {
		g := fits.PressFit{f.Inner.At(at + by), f.Outer.At(at + by), delta}
		if p := solved(t, g); (p.Pressure > 0) != (by < 0) || (p.Gap > 0) != (by > 0) {
			t.Errorf("%v from it: %+v", by, p)
		}
	}
	for name, g := range map[string]fits.PressFit{
		"one material":         {f.Inner, ring(d, 110, 71000, 0.33, in), delta},
		"loose":                {f.Inner, f.Outer, -0.01},
		"colder than cold":     {ring(62, d, 206000, 0.29, out), ring(d, 110, 71000, 0.33, in), 0.5},
		"nothing between them": {},
	} {
		if at, ok := g.LetsGo().Get(); ok {
			t.Errorf("%s lets go at %v", name, at)
		}
	}
}

// Warmth is an interference: α ΔT d of the inner less that of the outer ring; one temperature on one material changes sizes and nothing else.
func TestPressFit_Solve_warmth(t *testing.T) {
	steel, light := ring(0, 72, 206000, 0.29, 11.5e-6), ring(72, 110, 71000, 0.33, 21.8e-6)
	cold := solved(t, fits.PressFit{steel, light, fits.Interference(0.05 + 72*(11.5e-6*30-21.8e-6*60))})
	warm := solved(t, fits.PressFit{steel.At(50), light.At(80), 0.05})
	if !check.CloseShare(warm.Pressure, cold.Pressure, 1e-12) {
		t.Errorf("%v, want %v", warm.Pressure, cold.Pressure)
	}
	// Source: hand calculation: 110 mm × 21.8e-6/K × 60 K = 0.14388 mm.
	if got := float64(warm.Outer.Outside.Warmed); !check.CloseShare(got, 0.14388, 1e-12) {
		t.Error(got)
	}
	sleeve := ring(72, 90, 206000, 0.29, 11.5e-6)
	a := solved(t, fits.PressFit{steel, sleeve, 0.05})
	b := solved(t, fits.PressFit{steel.At(200), sleeve.At(200), 0.05})
	if a.Pressure != b.Pressure || a.Outer.HoopBore != b.Outer.HoopBore {
		t.Error("one steel, evenly warm, presses differently:", a, b)
	}
}

func TestPressFit_faults(t *testing.T) {
	good := func() fits.PressFit {
		return fits.PressFit{ring(0, 50, 206000, 0.29, 11.5e-6), ring(50, 100, 71000, 0.33, 21.8e-6), 0.03}
	}
	if _, err := good().Solve(); err != nil {
		t.Fatal(err)
	}
	nan := math.NaN()
	for _, c := range []struct {
		spoil func(f *fits.PressFit)
		class error
		words string
	}{
		{func(f *fits.PressFit) { *f = fits.PressFit{} }, fault.ErrOutOfRange, "/inner/outer: 0 mm"},
		{func(f *fits.PressFit) { f.Outer.Inner = 50.03 }, fault.ErrConflict, "/outer/inner: 50.03 mm: conflict: want 50 mm"},
		{func(f *fits.PressFit) { f.Outer.Outer = 40 }, fault.ErrOutOfRange, "/outer/outer: 40 mm"},
		{func(f *fits.PressFit) { f.Inner.Inner = -1 }, fault.ErrOutOfRange, "/inner/inner: -1 mm"},
		{func(f *fits.PressFit) { f.Inner.Inner = 50 }, fault.ErrOutOfRange, "/inner/outer: 50 mm"},
		{func(f *fits.PressFit) { f.Outer.Outer = tolerance.Length(math.Inf(1)) }, fault.ErrNotFinite, "/outer/outer"},
		{func(f *fits.PressFit) { f.Outer.Modulus = 0 }, fault.ErrOutOfRange, "/outer/modulus: 0 N/mm²"},
		{func(f *fits.PressFit) { f.Outer.Modulus = nan }, fault.ErrNotFinite, "/outer/modulus"},
		{func(f *fits.PressFit) { f.Inner.Poisson = 0.51 }, fault.ErrOutOfRange, "/inner/poisson"},
		{func(f *fits.PressFit) { f.Inner.Expansion = 11.5 }, fault.ErrOutOfRange, "such as 11.5e-6"},
		{func(f *fits.PressFit) { f.Inner = f.Inner.At(-300) }, fault.ErrOutOfRange, "/inner/temperature"},
		{func(f *fits.PressFit) { f.Inner = f.Inner.At(tolerance.Celsius(nan)) }, fault.ErrNotFinite, "/inner/temperature"},
		{func(f *fits.PressFit) { f.Interference = 40 }, fault.ErrOutOfRange, "/interference: 40 mm: out of range: want at most 0.5"},
		{func(f *fits.PressFit) { f.Interference = fits.Interference(nan) }, fault.ErrNotFinite, "/interference"},
		{func(f *fits.PressFit) { f.Interference = fits.Interference(math.Inf(-1)) }, fault.ErrNotFinite, "/interference"},
	} {
		f := good()
		c.spoil(&f)
		p, err := f.Solve()
		var wrong *fault.FieldError
		if !errors.Is(err, c.class) || !errors.As(err, &wrong) || !strings.Contains(err.Error(), c.words) || p != (fits.Pressed{}) {
			t.Errorf("want %v with %q, got %v, %v", c.class, c.words, err, p)
		}
	}
	f := good()
	f.Inner.Modulus, f.Outer.Poisson = -1, 2
	if _, err := f.Solve(); err == nil || !strings.Contains(err.Error(), "/inner/modulus") || !strings.Contains(err.Error(), "/outer/poisson") {
		t.Error("not every fault is named:", err)
	}
	if _, err := fits.RingOf(tolerance.Material{Name: "wood", Expansion: 5e-6}, 0, 30); !errors.Is(err, fault.ErrMissing) || !strings.Contains(err.Error(), "wood") {
		t.Error(err)
	}
}

// Numbers at the ends of float64 give an answer or an error, never a NaN.
func TestPressFit_Solve_extremes(t *testing.T) {
	for _, e := range []float64{1e-300, 1, 1e300} {
		for _, d := range []float64{1e-300, 1e-160, 1, 1e150, 1e300} {
			f := fits.PressFit{ring(0, d, e, 0.3, 0), ring(d, d*(1+1e-15), 1/e, 0.3, 0), fits.Interference(d * 0.01)}
			p, err := f.Solve()
			if err != nil {
				if !errors.Is(err, fault.ErrOutOfRange) {
					t.Error(e, d, err)
				}
				continue
			}
			for _, r := range []fits.RingState{p.Inner, p.Outer} {
				for _, v := range []float64{r.HoopBore, r.HoopOutside, float64(r.Bore.Total()), float64(r.Outside.Total())} {
					if math.IsNaN(v) || math.IsInf(v, 0) {
						t.Errorf("E %v, d %v: %+v", e, d, p)
					}
				}
			}
		}
	}
}
