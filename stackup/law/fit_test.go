package law_test

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"example.com/borestack/stackup/law"
)

// endurance is the endurance of 23 deep groove ball bearings in millions of revolutions.
//
// Source: Lieblein and Zelen, Statistical investigation of the fatigue life of deep-groove ball bearings, J. Res. NBS 57 (1956) (from memory).
var endurance = []float64{
	17.88, 28.92, 33.00, 41.52, 42.12, 45.60, 48.48, 51.84, 51.96, 54.12, 55.56, 67.80,
	68.64, 68.64, 68.88, 84.12, 93.12, 98.64, 105.12, 105.84, 127.92, 128.04, 173.40,
}

// Source: Lawless, Statistical models and methods for lifetime data (1982): Weibull shape 2.10, scale 81.9; logarithms with mean 4.15 and (divisor n) standard deviation 0.522 (from memory).
func TestFit_ballBearings(t *testing.T) {
	w, fit, err := law.FitWeibull(endurance, 0)
	if err != nil {
		t.Fatal(err)
	}
	// the 63.2 % point is the scale; the shape from two quantiles
	scale := w.UpperQuantile(math.Exp(-1))
	shape := math.Ln2 / math.Log(w.UpperQuantile(math.Exp(-2))/scale)
	if math.Abs(scale-81.9) > 0.05 || math.Abs(shape-2.10) > 0.005 {
		t.Errorf("scale %v, shape %v", scale, shape)
	}
	if fit.Count != 23 || fit.P < 0.25 {
		t.Errorf("%+v: the Weibull law fits these data well", fit)
	}
	l, fit, err := law.FitLogNormal(endurance, 0)
	if err != nil {
		t.Fatal(err)
	}
	mean := math.Log(l.Quantile(0.5))
	sd := (math.Log(l.UpperQuantile(math.Erfc(1/math.Sqrt2)/2)) - mean) * math.Sqrt(22.0/23)
	if math.Abs(mean-4.15) > 0.005 || math.Abs(sd-0.522) > 0.0005 {
		t.Errorf("mean %v, sd %v", mean, sd)
	}
	if fit.P < 0.25 {
		t.Errorf("%+v: the lognormal law fits these data well", fit)
	}
}

// The likelihood of a fitted Weibull law is greatest there.
func TestFitWeibull_isLikeliest(t *testing.T) {
	const origin = 10
	values := make([]float64, len(endurance))
	for i, v := range endurance {
		values[i] = v + origin
	}
	w, _, err := law.FitWeibull(values, origin)
	if err != nil {
		t.Fatal(err)
	}
	scale := w.UpperQuantile(math.Exp(-1)) - origin
	shape := math.Ln2 / math.Log((w.UpperQuantile(math.Exp(-2))-origin)/scale)
	likelihood := func(scale, shape float64) (sum float64) {
		for _, v := range values {
			x := (v - origin) / scale
			sum += math.Log(shape/scale) + (shape-1)*math.Log(x) - math.Pow(x, shape)
		}
		return sum
	}
	best := likelihood(scale, shape)
	for _, d := range []float64{-1e-3, 1e-3} {
		if likelihood(scale*(1+d), shape) >= best || likelihood(scale, shape*(1+d)) >= best {
			t.Errorf("scale %v, shape %v are not the likeliest", scale, shape)
		}
	}
}

// Critical values of A².
//
// Source: D'Agostino and Stephens, Goodness-of-fit techniques (1986), tables 4.2 (known law), 4.7 (normal), 4.11 (exponential), 4.17 (Weibull) (from memory).
func TestFit_criticalValues(t *testing.T) {
	for family, rows := range map[string][][2]float64{
		"known":       {{0.10, 1.933}, {0.05, 2.492}, {0.025, 3.070}, {0.01, 3.857}},
		"normal":      {{0.10, 0.631}, {0.05, 0.752}, {0.025, 0.873}, {0.01, 1.035}},
		"exponential": {{0.10, 1.062}, {0.05, 1.321}, {0.025, 1.591}, {0.01, 1.959}},
		"Weibull":     {{0.10, 0.637}, {0.05, 0.757}, {0.025, 0.877}, {0.01, 1.038}},
	} {
		for _, row := range rows {
			got := law.POfFamily(family, row[1])
			if math.Abs(got/row[0]-1) > 0.035 {
				t.Errorf("%s law, A² %v: P %v, want %v", family, row[1], got, row[0])
			}
		}
	}
}

// P is uniform when the family is right: its 5 % and 20 % points hold in 2000 samples of 20.
func TestFit_PIsUniform(t *testing.T) {
	const samples, size = 2000, 20
	normal, weibull := must(law.NewNormal(5, 0.3)), must(law.NewWeibull(0, 3, 1.7))
	rayleigh := must(law.NewRayleigh(0.02))
	for name, c := range map[string]struct {
		law law.Law
		fit func(x []float64) (law.Fit, error)
	}{
		"normal": {normal, func(x []float64) (law.Fit, error) { _, f, err := law.FitNormal(x); return f, err }},
		"lognormal": {must(law.NewLogNormal(1, 0, 0.4)), func(x []float64) (law.Fit, error) {
			_, f, err := law.FitLogNormal(x, 1)
			return f, err
		}},
		"Weibull":  {weibull, func(x []float64) (law.Fit, error) { _, f, err := law.FitWeibull(x, 0); return f, err }},
		"Rayleigh": {rayleigh, func(x []float64) (law.Fit, error) { _, f, err := law.FitRayleigh(x); return f, err }},
		"known":    {normal, func(x []float64) (law.Fit, error) { return law.AndersonDarling(normal, x) }},
	} {
		s := law.NewStream(1, name, 0)
		x := make([]float64, size)
		var low, fifth float64
		for range samples {
			c.law.Draw(x, &s)
			fit, err := c.fit(x)
			if err != nil {
				t.Fatal(name, err)
			}
			if fit.P < 0.05 {
				low++
			}
			if fit.P < 0.2 {
				fifth++
			}
		}
		if z := (low - 0.05*samples) / math.Sqrt(samples*0.05*0.95); math.Abs(z) > 4 {
			t.Errorf("%s: P < 0.05 in %v", name, low/samples)
		}
		if z := (fifth - 0.2*samples) / math.Sqrt(samples*0.2*0.8); math.Abs(z) > 4 {
			t.Errorf("%s: P < 0.2 in %v", name, fifth/samples)
		}
	}
}

func TestFit_tellsAWrongFamily(t *testing.T) {
	s := law.NewStream(2, "arcsine", 0)
	x := make([]float64, 200)
	must(law.NewArcsine(0.1, 1)).Draw(x, &s)
	_, normal, _ := law.FitNormal(x)
	_, weibull, _ := law.FitWeibull(x, 0)
	_, lognormal, _ := law.FitLogNormal(x, 0)
	_, rayleigh, _ := law.FitRayleigh(x)
	known, _ := law.AndersonDarling(must(law.NewUniform(0.1, 1)), x)
	for i, f := range []law.Fit{normal, weibull, lognormal, rayleigh, known} {
		if f.P > 1e-4 {
			t.Errorf("fit %d of a U-shaped sample: %+v", i, f)
		}
	}
	outside, err := law.AndersonDarling(must(law.NewUniform(0.2, 0.9)), x)
	if err != nil || !math.IsInf(outside.AndersonDarling, 1) || outside.P != 0 {
		t.Errorf("values outside the support: %+v, %v", outside, err)
	}
}

func TestFit_badData(t *testing.T) {
	same := []float64{2, 2, 2, 2, 2, 2, 2, 2}
	few := []float64{1, 2, 3}
	negative := []float64{1, 2, 3, 4, 5, 6, 7, -8}
	broken := []float64{1, 2, 3, 4, 5, 6, 7, math.NaN()}
	for _, c := range []struct {
		want string
		err  func() error
	}{
		{"law: fit of a normal law: number of values 3: want at least 8", func() error { _, _, err := law.FitNormal(few); return err }},
		{"law: fit of a normal law: every value 2: want values that are not all equal", func() error { _, _, err := law.FitNormal(same); return err }},
		{"law: fit of a normal law: value NaN: want a finite number", func() error { _, _, err := law.FitNormal(broken); return err }},
		{"law: fit of a lognormal law: value -8: want more than the origin", func() error { _, _, err := law.FitLogNormal(negative, 0); return err }},
		{"law: fit of a Weibull law: value 2: want more than the origin", func() error { _, _, err := law.FitWeibull(same, 3); return err }},
		{"law: fit of a Weibull law: origin NaN: want a finite number", func() error { _, _, err := law.FitWeibull(negative, math.NaN()); return err }},
		{"law: fit of a Rayleigh law: value -8: want more than the origin", func() error { _, _, err := law.FitRayleigh(negative); return err }},
		{"law: Anderson–Darling: number of values 3: want at least 8", func() error {
			_, err := law.AndersonDarling(must(law.NewNormal(0, 1)), few)
			return err
		}},
	} {
		err := c.err()
		if fmt.Sprint(err) != c.want || !errors.Is(err, law.ErrParameter) {
			t.Errorf("error %q, want %q", fmt.Sprint(err), c.want)
		}
	}
}

// A spread of one part in 1e12 is no reason to fail.
func TestFit_nearlyConstant(t *testing.T) {
	x := make([]float64, 12)
	for i := range x {
		x[i] = 40 + float64(i)*1e-12
	}
	for name, fit := range map[string]func() (law.Law, law.Fit, error){
		"normal":    func() (law.Law, law.Fit, error) { l, f, err := law.FitNormal(x); return l, f, err },
		"lognormal": func() (law.Law, law.Fit, error) { l, f, err := law.FitLogNormal(x, 0); return l, f, err },
		"Weibull":   func() (law.Law, law.Fit, error) { l, f, err := law.FitWeibull(x, 0); return l, f, err },
	} {
		l, _, err := fit()
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if m := l.Moments(); math.Abs(m.Mean-40) > 1e-9 || !(m.SD() > 1e-13 && m.SD() < 1e-11) {
			t.Errorf("%s: %+v", name, m)
		}
	}
}
