package form_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"example.com/borestack/internal/check"

	"gonum.org/v1/gonum/spatial/r2"

	"example.com/borestack/align/form"
)

var circleSets = []string{"circle_gander1994", "circle_4pt", "circle_16pt_3lobe", "circle_12pt_bore"}

// Source: reference results: all centres where two bisectors meet (testdata/README.md).
func TestMinimumZoneCircle_reference(t *testing.T) {
	contacts := map[string][2][]float64{"circle_gander1994": {{1, 3}, {2, 5}}, "circle_4pt": {{1, 3}, {2, 4}}, "circle_16pt_3lobe": {{1, 6}, {4, 14}}, "circle_12pt_bore": {{1, 7}, {5, 10}}}
	for _, name := range circleSets {
		fit, err := circleBy(form.MinimumZone)(flatData(t, name), form.Uncertainty{})
		if err != nil {
			t.Error(name, err)
			continue
		}
		check.Near(t, name, fit.Deviation.Total.Millimetres(), reference(t, name, "MZCI roundness")[0], zoneTol)
		c := reference(t, name, "MZCI centre")
		check.Near(t, name+" x", fit.Centre.X, c[0], zoneTol)
		check.Near(t, name+" y", fit.Centre.Y, c[1], zoneTol)
		r := reference(t, name, "MZCI radii outer,inner")
		check.Near(t, name+" outer", (fit.Radius + fit.Deviation.Peak).Millimetres(), r[0], zoneTol)
		check.Near(t, name+" inner", (fit.Radius + fit.Deviation.Valley).Millimetres(), r[1], zoneTol)
		sameRows(t, name+" outer", fit.Deviation.High, contacts[name][0])
		sameRows(t, name+" inner", fit.Deviation.Low, contacts[name][1])
	}
}

// bisectors is the roundness of a few points by brute force: every centre where the bisectors of two pairs meet.
func bisectors(p []r2.Vec) float64 {
	best := math.Inf(1)
	for i := range p {
		for j := range i {
			for k := range p {
				for l := range k {
					a, b := r2.Sub(p[i], p[j]), r2.Sub(p[k], p[l])
					ra, rb := (r2.Norm2(p[i])-r2.Norm2(p[j]))/2, (r2.Norm2(p[k])-r2.Norm2(p[l]))/2
					det := r2.Cross(a, b)
					if math.Abs(det) < 1e-9*r2.Norm(a)*r2.Norm(b) {
						continue
					}
					c := r2.Vec{X: (ra*b.Y - rb*a.Y) / det, Y: (a.X*rb - b.X*ra) / det}
					hi, lo := 0.0, math.Inf(1)
					for _, q := range p {
						d := r2.Norm(r2.Sub(q, c))
						hi, lo = math.Max(hi, d), math.Min(lo, d)
					}
					best = math.Min(best, hi-lo)
				}
			}
		}
	}
	return best
}

// A second method: brute force, from near-perfect circles to clouds without shape.
func TestMinimumZoneCircle_bruteForce(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 6))
	for trial := range 120 {
		points := make([]r2.Vec, 4+rng.IntN(9))
		noise := []float64{1e-4, 1e-3, 1e-2}[trial%3]
		for i := range points {
			a := 2 * math.Pi * (float64(i) + 0.6*rng.Float64()) / float64(len(points))
			r := 10 * (1 + noise*rng.NormFloat64())
			points[i] = r2.Vec{X: r * math.Cos(a), Y: r * math.Sin(a)}
		}
		fit, err := circleBy(form.MinimumZone)(points, form.Uncertainty{})
		if err != nil {
			t.Error(trial, err)
			continue
		}
		want := bisectors(points)
		check.Near(t, "roundness", fit.Deviation.Total.Millimetres(), want, 1e-11)
	}
}

// Source: reference results: all pairs and triples (testdata/README.md). Gander's points: centre (5, 6), radius √17 exactly.
func TestMinimumCircumscribedCircle_reference(t *testing.T) {
	for _, name := range circleSets {
		fit, err := circleBy(form.MinimumCircumscribed)(flatData(t, name), form.Uncertainty{})
		if err != nil {
			t.Error(name, err)
			continue
		}
		want := reference(t, name, "MCCI centre,r")
		// Held by two ends of a diameter the centre moves freely to first order along the chord's normal.
		tol := zoneTol
		if len(fit.Deviation.High) < 3 {
			tol = 2e-6
		}
		check.Near(t, name+" x", fit.Centre.X, want[0], tol)
		check.Near(t, name+" y", fit.Centre.Y, want[1], tol)
		check.Near(t, name+" r", fit.Radius.Millimetres(), want[2], zoneTol)
		check.Near(t, name+" roundness", fit.Deviation.Total.Millimetres(), reference(t, name, "MCCI roundness")[0], tol)
	}
}

// Source: reference results: all triples (testdata/README.md).
func TestMaximumInscribedCircle_reference(t *testing.T) {
	for _, name := range circleSets[2:] {
		fit, err := circleBy(form.MaximumInscribed)(flatData(t, name), form.Uncertainty{})
		if err != nil {
			t.Error(name, err)
			continue
		}
		want := reference(t, name, "MICI centre,r")
		check.Near(t, name+" x", fit.Centre.X, want[0], zoneTol)
		check.Near(t, name+" y", fit.Centre.Y, want[1], zoneTol)
		check.Near(t, name+" r", fit.Radius.Millimetres(), want[2], zoneTol)
		check.Near(t, name+" roundness", fit.Deviation.Total.Millimetres(), reference(t, name, "MICI roundness")[0], zoneTol)
	}
}

// triples returns the smallest enclosing and the largest empty circle of points around a centre, by trial of all pairs and triples; contacts of the empty one surround its centre.
func triples(p []r2.Vec) (enclosing, empty float64) {
	enclosing = math.Inf(1)
	judge := func(c r2.Vec, r float64, around bool) {
		const rounding = 1e-12
		in, out := false, false
		for _, q := range p {
			d := r2.Norm(r2.Sub(q, c))
			in, out = in || d < r-rounding, out || d > r+rounding
		}
		if !out {
			enclosing = math.Min(enclosing, r)
		}
		if !in && around {
			empty = math.Max(empty, r)
		}
	}
	for i := range p {
		for j := range i {
			judge(r2.Scale(0.5, r2.Add(p[i], p[j])), r2.Norm(r2.Sub(p[i], p[j]))/2, false)
			for k := range j {
				a, b := r2.Sub(p[j], p[i]), r2.Sub(p[k], p[i])
				det := 2 * r2.Cross(a, b)
				c := r2.Vec{X: (b.Y*r2.Norm2(a) - a.Y*r2.Norm2(b)) / det, Y: (a.X*r2.Norm2(b) - b.X*r2.Norm2(a)) / det}
				sharp := r2.Dot(a, b) > 0 && r2.Dot(a, r2.Sub(b, a)) < 0 && r2.Dot(b, r2.Sub(a, b)) < 0
				judge(r2.Add(p[i], c), r2.Norm(c), sharp)
			}
		}
	}
	return enclosing, empty
}

// A second method: all pairs and triples.
func TestOneSidedCircles_bruteForce(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 8))
	for trial := range 150 {
		points := make([]r2.Vec, 8+rng.IntN(9))
		noise := []float64{1e-4, 1e-3, 0.02}[trial%3]
		for i := range points {
			a := 2 * math.Pi * (float64(i) + 0.6*rng.Float64()) / float64(len(points))
			r := 10 * (1 + noise*rng.NormFloat64())
			points[i] = r2.Vec{X: r * math.Cos(a), Y: r * math.Sin(a)}
		}
		enclosing, empty := triples(points)
		outer, err := circleBy(form.MinimumCircumscribed)(points, form.Uncertainty{})
		if err != nil {
			t.Fatal(trial, err)
		}
		check.Near(t, "enclosing", outer.Radius.Millimetres(), enclosing, 1e-12)
		inner, err := circleBy(form.MaximumInscribed)(points, form.Uncertainty{})
		if err != nil {
			t.Error(trial, err)
			continue
		}
		check.Near(t, "empty", inner.Radius.Millimetres(), empty, 1e-12)
	}
}

// No centre within the proof's reach is better: tried at random, near and far, from round sets to clouds
// without shape, which have many optima.
func TestCircle_proof(t *testing.T) {
	rng := rand.New(rand.NewPCG(21, 22))
	tried := map[form.Rule]int{}
	for trial := range 150 {
		points := make([]r2.Vec, 5+rng.IntN(12))
		for i := range points {
			a := 2 * math.Pi * rng.Float64()
			r := []float64{10 * math.Sqrt(rng.Float64()), 10 * (1 + 0.1*rng.NormFloat64()), 10 * (1 + 0.001*rng.NormFloat64())}[trial%3]
			points[i] = r2.Vec{X: r * math.Cos(a), Y: r * math.Sin(a)}
		}
		merit := func(c r2.Vec, rule form.Rule) float64 {
			hi, lo := 0.0, math.Inf(1)
			for _, q := range points {
				d := r2.Norm(r2.Sub(q, c))
				hi, lo = math.Max(hi, d), math.Min(lo, d)
			}
			return map[form.Rule]float64{form.MinimumZone: hi - lo, form.MinimumCircumscribed: hi, form.MaximumInscribed: -lo}[rule]
		}
		for _, rule := range []form.Rule{form.MinimumZone, form.MinimumCircumscribed, form.MaximumInscribed} {
			f, err := form.FitCircle(points, rule, none)
			if err != nil {
				continue
			}
			tried[rule]++
			best, far := merit(f.Centre, rule), f.Deviation.Total.Millimetres()/30
			for range 300 {
				turn, by := 2*math.Pi*rng.Float64(), far*math.Pow(10, -5*rng.Float64())
				c := r2.Add(f.Centre, r2.Scale(by, r2.Vec{X: math.Cos(turn), Y: math.Sin(turn)}))
				if m := merit(c, rule); m < best-1e-12 {
					t.Fatalf("trial %d, %v: %.15g about %v, %g off, undercuts %.15g", trial, rule, m, c, by, best)
				}
			}
		}
	}
	for _, rule := range []form.Rule{form.MinimumZone, form.MinimumCircumscribed, form.MaximumInscribed} {
		if tried[rule] < 50 {
			t.Errorf("only %d of 150 fits by %v", tried[rule], rule)
		}
	}
}
