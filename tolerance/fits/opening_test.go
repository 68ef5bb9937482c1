package fits_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
	"example.com/borestack/tolerance/fits"
)

// Source: hand calculation: an interference δ on d is gone when the outer ring has grown δ more than the inner: T = 20 + δ/(d (α_out - α_in)); one ring heated alone: δ/(d α).
func TestPressFit_OpensAt_closedForm(t *testing.T) {
	const d, delta, in, out = 72.0, 0.05, 11.5e-6, 21.8e-6
	f := fits.PressFit{[]fits.Ring{ring(62, d, 206000, 0.29, in), ring(d, 110, 71000, 0.33, out)}, []fits.Interference{delta}}
	for _, c := range []struct {
		name      string
		clearance tolerance.Diametral
		heated    []int
		want      float64
	}{
		{"all", 0, nil, 20 + delta/(d*(out-in))},
		{"all by name", 0, []int{1, 0, 1}, 20 + delta/(d*(out-in))},
		{"hub heated", 0, []int{1}, 20 + delta/(d*out)},
		{"shaft cooled", 0, []int{0}, 20 - delta/(d*in)},
		{"hub heated, room to slip over", 0.03, []int{1}, 20 + (delta+0.03)/(d*out)},
	} {
		got, err := f.OpensAt(0, c.clearance, c.heated...)
		if err != nil || !got.Given || !near(float64(got.Value), c.want, 1e-13) {
			t.Errorf("%s: %v, %v, want %v", c.name, got, err, c.want)
		}
	}
	// A shaft that would have to be colder than cold does not let go; nor does one material, heated evenly.
	f.Interferences[0] = 0.3
	if got, err := f.OpensAt(0, 0, 0); err != nil || got.Given {
		t.Error("below absolute zero:", got, err)
	}
	f.Rings[1].Expansion = in
	if got, err := f.OpensAt(0, 0); err != nil || got.Given {
		t.Error("one expansion:", got, err)
	}
	// The other rings keep their temperature: a shaft at 60 °C asks for more of the hub.
	f.Interferences[0] = 0.05
	f.Rings[0] = f.Rings[0].At(60)
	if got, err := f.OpensAt(0, 0, 1); err != nil || !near(float64(got.Value), 20+(delta/d+in*40)/in, 1e-13) {
		t.Error(got, err)
	}
}

// At the temperature found the interface is just open to the clearance asked for; on the way there it never is; where none is found it is closed however far one goes.
func TestPressFit_OpensAt_laws(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 58))
	opened, never, already, several := 0, 0, 0, 0
	for trial := range 4000 {
		f := stackOf(rng, 2+trial%4)
		k := rng.IntN(len(f.Interferences))
		clearance := 0.0
		if rng.IntN(2) == 0 {
			clearance = 0.02 * rng.Float64()
		}
		var heated []int
		if rng.IntN(2) == 0 {
			heated = []int{rng.IntN(len(f.Rings))}
		}
		at := func(temperature float64) fits.Pressed {
			g := fits.PressFit{append([]fits.Ring(nil), f.Rings...), f.Interferences}
			for i := range g.Rings {
				if heated == nil || i == heated[0] {
					g.Rings[i] = g.Rings[i].At(tolerance.Celsius(temperature))
				}
			}
			return solved(t, g)
		}
		room := func(p fits.Pressed) float64 { return float64(p.Interfaces[k].Gap) - clearance }
		got, err := f.OpensAt(k, tolerance.Diametral(clearance), heated...)
		d := float64(f.Rings[k].Outer)
		switch {
		case errors.Is(err, fits.ErrOpen):
			already++
			if p := at(20); room(p) < -1e-12*d || clearance == 0 && !p.Interfaces[k].Open() {
				t.Fatalf("trial %d: closed at 20 °C: %+v", trial, p.Interfaces[k])
			}
		case err != nil:
			t.Fatal(err)
		case !got.Given:
			never++
			for _, far := range []float64{-273, -200, -50, 20, 100, 1e3, 1e4} {
				if p := at(far); p.Interfaces[k].Open() && room(p) > 1e-9*d {
					t.Fatalf("trial %d: said never to open, open at %v: %+v", trial, far, p.Interfaces[k])
				}
			}
		default:
			opened++
			temperature := float64(got.Value)
			p := at(temperature)
			if math.Abs(room(p)) > 1e-10*d || p.Interfaces[k].Pressure > 1e-9 {
				t.Fatalf("trial %d at %v: %+v, clearance %v", trial, temperature, p.Interfaces[k], clearance)
			}
			for _, share := range []float64{0, 0.3, 0.7, 0.99} {
				on := at(20 + share*(temperature-20))
				if room(on) >= 0 && clearance > 0 || on.Interfaces[k].Open() && clearance == 0 {
					t.Fatalf("trial %d: open already at %v of the way: %+v", trial, share, on.Interfaces[k])
				}
				for j := range on.Interfaces {
					if j != k && on.Interfaces[j].Open() != p.Interfaces[j].Open() {
						several++
						break
					}
				}
			}
		}
	}
	if opened < 800 || never < 200 || already < 500 || several < 100 {
		t.Error(opened, "open,", never, "never do,", already, "were open,", several, "with another interface changing on the way: the trials do not cover everything")
	}
}

func TestPressFit_OpensAt_faults(t *testing.T) {
	f := fits.PressFit{[]fits.Ring{ring(0, 50, 206000, 0.29, 11.5e-6), ring(50, 70, 71000, 0.33, 21.8e-6)}, []fits.Interference{0.03}}
	for _, c := range []struct {
		at        int
		clearance float64
		heated    []int
		class     error
		words     string
	}{
		{1, 0, nil, fault.ErrOutOfRange, "interface: 1: out of range: want 0 to 0"},
		{-1, 0, nil, fault.ErrOutOfRange, "interface: -1"},
		{0, -0.01, nil, fault.ErrOutOfRange, "clearance"},
		{0, math.NaN(), nil, fault.ErrNotFinite, "clearance"},
		{0, 0, []int{2}, fault.ErrOutOfRange, "rings 0 to 1"},
	} {
		if got, err := f.OpensAt(c.at, tolerance.Diametral(c.clearance), c.heated...); !errors.Is(err, c.class) || !strings.Contains(err.Error(), c.words) || got.Given {
			t.Errorf("%+v: %v, %v", c, got, err)
		}
	}
	f.Interferences[0] = -0.01
	if got, err := f.OpensAt(0, 0); !errors.Is(err, fits.ErrOpen) || got.Given {
		t.Error(got, err)
	}
	if got, err := f.OpensAt(0, 0.02); err != nil || !near(float64(got.Value), 20+0.01/(50*10.3e-6), 1e-12) {
		t.Error("loose at 20 °C, looser when warm:", got, err)
	}
	if _, err := (fits.PressFit{}).OpensAt(0, 0); !errors.Is(err, fault.ErrMissing) {
		t.Error(err)
	}
}

func BenchmarkPressFit_OpensAt(b *testing.B) {
	f := fits.PressFit{[]fits.Ring{ring(20, 35, 110000, 0.34, 18e-6), ring(35, 62, 206000, 0.29, 11.5e-6), ring(62, 90, 71000, 0.33, 21.8e-6)}, []fits.Interference{0.02, 0.03}}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := f.OpensAt(1, 0); err != nil {
			b.Fatal(err)
		}
	}
}
