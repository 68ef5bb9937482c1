package law_test

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"example.com/borestack/fault"
	"example.com/borestack/stackup/internal/stacktest"
	"example.com/borestack/stackup/law"
)

// pairs draws from a plane law and returns the pairs and their sample moments.
func pairs(l law.Joint, n int) (x, y []float64, mx, my, xx, yy, xy float64) {
	s := law.NewStream(5, "pair", 0)
	x, y = make([]float64, n), make([]float64, n)
	for from := 0; from < n; from += 500 {
		l.Draw([][]float64{x[from : from+500], y[from : from+500]}, nil, &s)
	}
	for i := range x {
		mx += x[i] / float64(n)
		my += y[i] / float64(n)
	}
	for i := range x {
		xx += (x[i] - mx) * (x[i] - mx) / float64(n)
		yy += (y[i] - my) * (y[i] - my) / float64(n)
		xy += (x[i] - mx) * (y[i] - my) / float64(n)
	}
	return
}

func TestPlane_drawsAgainstMoments(t *testing.T) {
	for _, c := range []struct {
		name string
		law  law.Joint
	}{
		{"disc", stacktest.Must(law.NewDisc(1, -2, 0.5))},
		{"ring", stacktest.Must(law.NewRing(1, -2, 0.5))},
		{"ellipse", stacktest.Must(law.NewEllipse(3, 4, 2, 0.5, 0.7))},
		{"flat ellipse", stacktest.Must(law.NewEllipse(0, 0, 2, 0, -2))},
		{"normal", stacktest.Must(law.NewBivariate(1, 2, 4, 9, -3))},
		{"singular normal", stacktest.Must(law.NewBivariate(0, 0, 4, 9, 6))},
		{"normal along y", stacktest.Must(law.NewBivariate(0, 0, 0, 9, 0))},
		{"two laws", law.Independent{stacktest.Must(law.NewUniform(0, 1)), stacktest.Must(law.NewNormal(2, 3))}},
		{"constant", stacktest.Must(law.NewDisc(1, 1, 0))},
	} {
		const n = 100_000
		x, y, mx, my, xx, yy, xy := pairs(c.law, n)
		wantX, wantY := c.law.Mean(0), c.law.Mean(1)
		vx, vy, vxy := c.law.Covariance(0, 0), c.law.Covariance(1, 1), c.law.Covariance(1, 0)
		if c.law.Covariance(0, 1) != vxy {
			t.Errorf("%s: covariance %v and %v", c.name, c.law.Covariance(0, 1), vxy)
		}
		check := func(what string, got, want, sd float64) {
			if math.Abs(got-want) > 5*sd/math.Sqrt(n)+1e-11 {
				t.Errorf("%s: %s %v, want %v", c.name, what, got, want)
			}
		}
		check("mean x", mx, wantX, math.Sqrt(vx))
		check("mean y", my, wantY, math.Sqrt(vy))
		check("variance of x", xx, vx, math.Sqrt2*vx)
		check("variance of y", yy, vy, math.Sqrt2*vy)
		check("covariance", xy, vxy, math.Sqrt(vx*vy+vxy*vxy))
		if reach, bounded := c.law.Reach(); bounded {
			r := reach[0]
			long, short := math.Hypot(r.A[0], r.A[1]), math.Hypot(r.B[0], r.B[1])
			var most float64
			for i := range x {
				u, v := (x[i]-r.Centre[0])*r.A[0]+(y[i]-r.Centre[1])*r.A[1], (x[i]-r.Centre[0])*r.B[0]+(y[i]-r.Centre[1])*r.B[1]
				most = max(most, math.Hypot(u/max(long*long, 1e-300), v/max(short*short, 1e-300)))
			}
			if most > 1+1e-12 || most < 0.99 && long > 0 {
				t.Errorf("%s: draws reach %v of the reach", c.name, most)
			}
		}
		s, dst := law.NewStream(1, "x", 0), [][]float64{x[:100], y[:100]}
		if n := testing.AllocsPerRun(5, func() { c.law.Draw(dst, nil, &s) }); n != 0 {
			t.Errorf("%s: %v allocations", c.name, n)
		}
	}
}

// The distance of draws from 0 follows the size's own law.
func TestBivariate_Size(t *testing.T) {
	l := stacktest.Must(law.NewBivariate(0.5, -1, 4, 1, 1.2))
	const n = 20_000
	x, y, _, _, _, _, _ := pairs(l, n)
	size := stacktest.Must(law.NewNormalSize(0.5, -1, 4, 1, 1.2))
	for _, p := range []float64{0.01, 0.1, 0.3, 0.5, 0.8, 0.95, 0.99} {
		r, count := size.Quantile(p), 0.0
		for i := range x {
			if math.Hypot(x[i], y[i]) <= r {
				count++
			}
		}
		if z := (count - n*p) / math.Sqrt(n*p*(1-p)); math.Abs(z) > 4.9 {
			t.Errorf("share %v: %v", p, count/n)
		}
	}
}

func TestConstructors_nameWhatIsWrong(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	normal := stacktest.Must(law.NewNormal(0, 1))
	for _, c := range []struct {
		want string
		err  func() error
	}{
		{"normal/mean: NaN: out of range: want a finite number", func() error { _, err := law.NewNormal(nan, 1); return err }},
		{"normal/sd: -1: out of range: want >= 0", func() error { _, err := law.NewNormal(0, -1); return err }},
		{"normal/sd: +Inf: out of range: want >= 0", func() error { _, err := law.NewNormal(0, inf); return err }},
		{"uniform/highest: 0: out of range: want the lowest or more", func() error { _, err := law.NewUniform(1, 0); return err }},
		{"uniform/highest: 1.7e+308: out of range: want a finite distance from the lowest", func() error { _, err := law.NewUniform(-1.7e308, 1.7e308); return err }},
		{"triangular/half-width: NaN: out of range: want >= 0", func() error { _, err := law.NewTriangular(0, nan); return err }},
		{"trapezoidal/top: 1.5: out of range: want the flat share of the width, 0 to 1", func() error { _, err := law.NewTrapezoidal(0, 1, 1.5); return err }},
		{"curvilinear trapezoid/inexactness: 2: out of range: want 0 to half the distance of the limits", func() error { _, err := law.NewCurvilinearTrapezoid(0, 2, 2); return err }},
		{"arcsine/lowest: -Inf: out of range: want a finite number", func() error { _, err := law.NewArcsine(-inf, 2); return err }},
		{"beta/first shape: 0: out of range: want > 0 and at most 1e6", func() error { _, err := law.NewBeta(0, 1, 0, 1); return err }},
		{"beta/second shape: +Inf: out of range: want > 0 and at most 1e6", func() error { _, err := law.NewBeta(0, 1, 1, inf); return err }},
		{"lognormal/sd of the logarithm: -1: out of range: want >= 0", func() error { _, err := law.NewLogNormal(0, 0, -1); return err }},
		{"lognormal/mean of the logarithm: 1000: out of range: want at most 709", func() error { _, err := law.NewLogNormal(0, 1000, 1); return err }},
		{"Weibull/shape: 0: out of range: want > 0", func() error { _, err := law.NewWeibull(0, 1, 0); return err }},
		{"Student's t/degrees of freedom: 0: out of range: want > 0", func() error { _, err := law.NewStudent(0, 1, 0); return err }},
		{"truncated/highest: -1: out of range: want the lowest limit or more", func() error { _, err := law.Truncate(normal, 1, -1); return err }},
		{"truncated/lowest: 50: out of range: want limits that leave some of the law between them", func() error { _, err := law.Truncate(normal, 50, 60); return err }},
		{"discrete/number of weights: 1: out of range: want one for each value, and at least one", func() error { _, err := law.NewDiscrete([]float64{1, 2}, []float64{1}); return err }},
		{"discrete/weight: -1: out of range: want >= 0", func() error { _, err := law.NewDiscrete([]float64{1, 2}, []float64{1, -1}); return err }},
		{"discrete/sum of weights: 0: out of range: want > 0", func() error { _, err := law.NewDiscrete([]float64{1, 2}, []float64{0, 0}); return err }},
		{"discrete/value: NaN: out of range: want a finite number", func() error { _, err := law.NewDiscrete([]float64{1, nan}, []float64{1, 1}); return err }},
		{"sample/number of values: 0: out of range: want at least 1", func() error { _, err := law.NewSample(nil); return err }},
		{"mixture/law: 0: out of range: want a law for every weight, not nil", func() error { _, err := law.NewMixture([]law.Law{nil}, []float64{1}); return err }},
		{"disc/radius: -1: out of range: want >= 0", func() error { _, err := law.NewDisc(0, 0, -1); return err }},
		{"ring/centre y: NaN: out of range: want a finite number", func() error { _, err := law.NewRing(0, nan, 1); return err }},
		{"ellipse/second semi-axis: -1: out of range: want >= 0", func() error { _, err := law.NewEllipse(0, 0, 1, -1, 0); return err }},
		{"plane normal/covariance: 3: out of range: want its size at most √(variance of x · variance of y)", func() error { _, err := law.NewBivariate(0, 0, 1, 4, 3); return err }},
		{"normal from limits/Cpk: 0: out of range: want > 0", func() error { _, err := law.FromCpk(0, 1, 0, 0); return err }},
		{"normal from limits/shift: 1: out of range: want at most half the distance of the limits", func() error { _, err := law.FromCpk(0, 1, 1, 1); return err }},
		{"shared sources/length of row 0: 1: out of range: want one gain for each source", func() error {
			_, err := law.NewShared([]law.Law{normal, normal}, [][]float64{{1}})
			return err
		}},
	} {
		err := c.err()
		if fmt.Sprint(err) != c.want {
			t.Errorf("error %q, want %q", fmt.Sprint(err), c.want)
		}
		var p *fault.FieldError
		if !errors.Is(err, fault.ErrOutOfRange) || !errors.As(err, &p) {
			t.Errorf("%v: not a parameter error", err)
		}
	}
}
