package stackup

import (
	"math"
	"testing"

	"example.com/borestack/stackup/law"
)

func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

// Every law made of normal numbers has the moments of the law, the share inside of a disc, and its reach.
func TestPlaneOfNormals_moments(t *testing.T) {
	const n = 1 << 17
	turned := must(law.NewEllipse(0.3, -0.1, 2, 0.5, 0.7))
	for _, c := range []struct {
		name string
		law  law.Plane
	}{
		{"disc", must(law.NewDisc(1, 2, 0.5))},
		{"ring", must(law.NewRing(1, 2, 0.5))},
		{"ellipse", turned},
		{"normal", must(law.NewBivariate(1, -1, 2, 0.5, -0.7))},
		{"singular", must(law.NewBivariate(1, -1, 1, 4, 2))},
		{"upright", must(law.NewBivariate(0, 0, 0, 4, 0))},
		{"pair", law.Pair{X: must(law.NewUniform(0, 1)), Y: must(law.NewNormal(2, 3))}},
		{"spread ellipse", must(ScaledPlane(turned, 3))},
		{"shifted pair", must(ShiftedPlane(law.Pair{X: must(law.NewUniform(0, 1)), Y: must(law.NewNormal(2, 3))}, 1, 2))},
	} {
		x, y := make([]float64, n), make([]float64, n)
		s := law.NewStream(1, c.name, 0)
		s.Normals(x)
		s.Normals(y)
		planeOfNormals(c.law)(x, y)
		var mx, my, xx, yy, xy float64
		for i := range x {
			mx += x[i] / n
			my += y[i] / n
		}
		for i := range x {
			xx += (x[i] - mx) * (x[i] - mx) / n
			yy += (y[i] - my) * (y[i] - my) / n
			xy += (x[i] - mx) * (y[i] - my) / n
		}
		wx, wy := c.law.Mean()
		vxx, vyy, vxy := c.law.Covariance()
		se := 5 / math.Sqrt(n)
		if math.Abs(mx-wx) > se*math.Sqrt(vxx)+1e-12 || math.Abs(my-wy) > se*math.Sqrt(vyy)+1e-12 {
			t.Errorf("%s: mean %v, %v, want %v, %v", c.name, mx, my, wx, wy)
		}
		if math.Abs(xx-vxx) > 1.5*se*vxx || math.Abs(yy-vyy) > 1.5*se*vyy || math.Abs(xy-vxy) > 1.5*se*math.Sqrt(vxx*vyy) {
			t.Errorf("%s: covariance %v %v %v, want %v %v %v", c.name, xx, yy, xy, vxx, vyy, vxy)
		}
		if r, ok := c.law.Reach(); ok {
			sin, cos := math.Sincos(r.Angle)
			for i := range x {
				u, v := (cos*(x[i]-r.X)+sin*(y[i]-r.Y))/r.A, (-sin*(x[i]-r.X)+cos*(y[i]-r.Y))/r.B
				if u*u+v*v > 1+1e-9 {
					t.Fatalf("%s: %v, %v lies outside", c.name, x[i], y[i])
				}
			}
		}
	}
}

// A disc is uniform: shares within radii, and in quarters.
func TestPlaneOfNormals_uniformDisc(t *testing.T) {
	const n = 1 << 17
	x, y := make([]float64, n), make([]float64, n)
	s := law.NewStream(2, "disc", 0)
	s.Normals(x)
	s.Normals(y)
	planeOfNormals(must(law.NewDisc(0, 0, 1)))(x, y)
	var within [4]int
	for i := range x {
		for k := range within {
			if r := float64(k+1) / 5; x[i]*x[i]+y[i]*y[i] <= r*r {
				within[k]++
			}
		}
	}
	for k, got := range within {
		want := float64((k+1)*(k+1)) / 25 // Source: hand calculation: r²
		if math.Abs(float64(got)/n-want) > 5*math.Sqrt(want*(1-want)/n) {
			t.Errorf("within %d/5: %v, want %v", k+1, float64(got)/n, want)
		}
	}
}

func TestAffine_law(t *testing.T) {
	l := must(Scaled(must(law.NewUniform(1, 3)), 2))
	l = must(Shifted(l, 10))
	// Source: hand calculation: uniform from 2 − 2 + 10 to 2 + 2 + 10
	want := must(law.NewUniform(10, 14))
	for _, p := range []float64{0, 0.1, 0.5, 0.9, 1} {
		if got := l.Quantile(p); math.Abs(got-want.Quantile(p)) > 1e-12 {
			t.Errorf("quantile %v: %v", p, got)
		}
		if got := l.UpperQuantile(p); math.Abs(got-want.UpperQuantile(p)) > 1e-12 {
			t.Errorf("upper quantile %v: %v", p, got)
		}
	}
	for _, x := range []float64{9, 10.5, 13, 15} {
		if math.Abs(l.CDF(x)-want.CDF(x)) > 1e-12 || math.Abs(l.Survival(x)-want.Survival(x)) > 1e-12 {
			t.Errorf("shares at %v", x)
		}
	}
	m, wm := l.Moments(), want.Moments()
	if math.Abs(m.Mean-wm.Mean) > 1e-12 || math.Abs(m.Variance-wm.Variance) > 1e-12 || m.ExcessKurtosis != wm.ExcessKurtosis {
		t.Error(m)
	}
	if lo, hi := l.Support(); lo != 10 || hi != 14 {
		t.Error(lo, hi)
	}
	if lo, hi := must(Scaled(must(law.NewNormal(2, 1)), 0.5)).Support(); !math.IsInf(lo, -1) || !math.IsInf(hi, 1) {
		t.Error(lo, hi)
	}
	constant := must(Scaled(must(law.NewNormal(2, 1)), 0))
	if lo, hi := constant.Support(); lo != 2 || hi != 2 || constant.Moments() != (law.Moments{Mean: 2}) || constant.CDF(2) != 1 || constant.Survival(2) != 0 || constant.Quantile(0) != 2 {
		t.Error("spread 0 is a constant")
	}
	for _, bad := range []float64{-1, math.NaN(), math.Inf(1)} {
		if _, err := Scaled(must(law.NewNormal(2, 1)), bad); err == nil {
			t.Error(bad)
		}
	}
	if _, err := Shifted(must(law.NewNormal(2, 1)), math.NaN()); err == nil {
		t.Error("shift NaN")
	}
	x, y := make([]float64, 100), make([]float64, 100)
	s, u := law.NewStream(1, "a", 0), law.NewStream(1, "a", 0)
	l.Draw(x, &s)
	must(law.NewUniform(1, 3)).Draw(y, &u)
	for i := range x {
		if math.Abs(x[i]-(2*(y[i]-2)+12)) > 1e-12 {
			t.Fatal("other draws")
		}
	}
}
