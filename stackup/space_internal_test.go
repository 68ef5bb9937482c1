package stackup

import (
	"math"
	"slices"
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
		law  law.Joint
	}{
		{"disc", must(law.NewDisc(1, 2, 0.5))},
		{"ring", must(law.NewRing(1, 2, 0.5))},
		{"ellipse", turned},
		{"normal", must(law.NewBivariate(1, -1, 2, 0.5, -0.7))},
		{"singular", must(law.NewBivariate(1, -1, 1, 4, 2))},
		{"upright", must(law.NewBivariate(0, 0, 0, 4, 0))},
		{"pair", law.Independent{must(law.NewUniform(0, 1)), must(law.NewNormal(2, 3))}},
	} {
		x, y := make([]float64, n), make([]float64, n)
		s := law.NewStream(1, c.name, 0)
		s.Normals(x)
		s.Normals(y)
		c.law.(ofNormals).FromNormals([][]float64{x, y}, [][]float64{slices.Clone(x), slices.Clone(y)}, nil)
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
		wx, wy := c.law.Mean(0), c.law.Mean(1)
		vxx, vyy, vxy := c.law.Covariance(0, 0), c.law.Covariance(1, 1), c.law.Covariance(0, 1)
		se := 5 / math.Sqrt(n)
		if math.Abs(mx-wx) > se*math.Sqrt(vxx)+1e-12 || math.Abs(my-wy) > se*math.Sqrt(vyy)+1e-12 {
			t.Errorf("%s: mean %v, %v, want %v, %v", c.name, mx, my, wx, wy)
		}
		if math.Abs(xx-vxx) > 1.5*se*vxx || math.Abs(yy-vyy) > 1.5*se*vyy || math.Abs(xy-vxy) > 1.5*se*math.Sqrt(vxx*vyy) {
			t.Errorf("%s: covariance %v %v %v, want %v %v %v", c.name, xx, yy, xy, vxx, vyy, vxy)
		}
		if sets, ok := c.law.Reach(); ok {
			r := sets[0]
			long, short := r.A[0]*r.A[0]+r.A[1]*r.A[1], r.B[0]*r.B[0]+r.B[1]*r.B[1]
			for i := range x {
				dx, dy := x[i]-r.Centre[0], y[i]-r.Centre[1]
				u, v := (dx*r.A[0]+dy*r.A[1])/long, (dx*r.B[0]+dy*r.B[1])/short
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
	must(law.NewDisc(0, 0, 1)).(ofNormals).FromNormals([][]float64{x, y}, [][]float64{x, y}, nil)
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

// An input that is spread and shifted has the moments, the draws and the limits of its law, moved.
func TestInput_moved(t *testing.T) {
	flat := Input{Name: "a", Law: must(law.NewUniform(1, 3))}
	l := must(must(flat.Scaled(2)).Shifted(10))
	// Source: hand calculation: uniform from 2 − 2 + 10 to 2 + 2 + 10
	want := must(law.NewUniform(10, 14)).Moments()
	if math.Abs(l.Mean(0)-want.Mean) > 1e-12 || math.Abs(l.covariance(0, 0)-want.Variance) > 1e-12 {
		t.Error(l.Mean(0), l.covariance(0, 0))
	}
	if m, err := (&Study{Inputs: []Input{l}}).moments(); err != nil || m[0].Variance != want.Variance || m[0].ExcessKurtosis != want.ExcessKurtosis {
		t.Error(m, err)
	}
	if lo, hi := l.support(); lo != 10 || hi != 14 {
		t.Error(lo, hi)
	}
	normal := Input{Name: "n", Law: must(law.NewNormal(2, 1))}
	half := must(normal.Scaled(0.5))
	if lo, hi := half.support(); !math.IsInf(lo, -1) || !math.IsInf(hi, 1) {
		t.Error(lo, hi)
	}
	// spread 0 is a constant
	constant := must(normal.Scaled(0))
	if lo, hi := constant.support(); lo != 2 || hi != 2 || constant.Mean(0) != 2 || constant.covariance(0, 0) != 0 {
		t.Error(lo, hi)
	}
	for _, bad := range []float64{-1, math.NaN(), math.Inf(1)} {
		if _, err := normal.Scaled(bad); err == nil {
			t.Error(bad)
		}
	}
	if _, err := normal.Shifted(math.NaN()); err == nil {
		t.Error("shift NaN")
	}
	x, y := [][]float64{make([]float64, 100)}, [][]float64{make([]float64, 100)}
	for in, to := range map[*Input][][]float64{&l: x, &flat: y} {
		stream := law.NewStream(1, "a", 0)
		(&place{input: in, law: in.joint(), columns: 1, work: make([]float64, 100)}).draw(to, &stream, 100)
	}
	for i := range x[0] {
		if math.Abs(x[0][i]-(2*(y[0][i]-2)+12)) > 1e-12 {
			t.Fatal("other draws")
		}
	}
	// a median stands for a mean that there is not
	heavy := must(Input{Name: "t", Law: must(law.Truncate(must(law.NewStudent(1, 1, 1)), 0, math.Inf(1)))}.Scaled(3))
	if lo, _ := heavy.support(); math.Abs(lo-(heavy.Law.Quantile(0.5)*-2)) > 1e-12 {
		t.Error(lo)
	}
}

// The sets of a moved input are its law's, moved: of a rim, of a pair, of shared sources.
func TestInput_moved_reaches(t *testing.T) {
	u := must(law.NewUniform(-1, 1))
	shared := must(law.NewShared([]law.Law{must(law.NewUniform(-1, 1)), must(law.NewUniform(0, 0.5))}, [][]float64{{1, 0}, {1, 1}}))
	for _, c := range []struct {
		name            string
		in              Input
		scale           float64
		gains, shift    []float64
		least, greatest float64
	}{
		// Source: hand calculation: y = 3 ± 2·√2 of a disc of radius 1 about (1, 2), spread twice
		{"disc", Input{Joint: must(law.NewDisc(1, 2, 1))}, 2, []float64{1, 1}, []float64{0, 0}, 3 - 2*math.Sqrt2, 3 + 2*math.Sqrt2},
		{"pair", Input{Joint: law.Independent{u, u}}, 0.5, []float64{1, 2}, []float64{1, 1}, 3 - 1.5, 3 + 1.5},
		// x1 − x2 is minus the second source, 0 to 0.5, spread twice about 0.25
		{"shared", Input{Joint: shared}, 2, []float64{1, -1}, []float64{0, 0}, -0.75, 0.25},
		{"shared, nothing left", Input{Joint: shared}, 0, []float64{1, -1}, []float64{0, 1}, -1.25, -1.25},
		{"normal, nothing left", Input{Joint: must(law.NewBivariate(1, 2, 1, 1, 0))}, 0, []float64{1, 1}, []float64{0, 0}, 3, 3},
	} {
		c.in.Name = c.name
		in := must(must(c.in.Scaled(c.scale)).Shifted(c.shift...))
		s := &Study{Inputs: []Input{in}}
		l := &Linear{At: []float64{0}, Gain: [][]float64{c.gains}}
		least, greatest, ok := l.WorstScalar(s, 0)
		if !ok || math.Abs(least.Value-c.least) > 1e-12 || math.Abs(greatest.Value-c.greatest) > 1e-12 {
			t.Errorf("%s: %v to %v, want %v to %v", c.name, least.Value, greatest.Value, c.least, c.greatest)
		}
	}
}
