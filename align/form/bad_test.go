package form_test

import (
	"errors"
	"math"
	"strconv"
	"strings"
	"testing"

	"example.com/borestack/internal/check"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"example.com/borestack/align/form"
	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

func spaceFits(p []r3.Vec, u form.Uncertainty) map[string]error {
	errs := map[string]error{}
	_, errs["plane LS"] = planeBy(form.LeastSquares)(p, u)
	_, errs["plane MZ"] = planeBy(form.MinimumZone)(p, u)
	if u == none {
		_, errs["tangent plane"] = form.TangentPlane(p, r3.Vec{X: 0.1, Y: 0.2, Z: 1})
	}
	_, errs["cylinder LS"] = cylinderBy(form.LeastSquares)(p, u)
	_, errs["cylinder MZ"] = cylinderBy(form.MinimumZone)(p, u)
	_, errs["cylinder MCC"] = cylinderBy(form.MinimumCircumscribed)(p, u)
	_, errs["cylinder MIC"] = cylinderBy(form.MaximumInscribed)(p, u)
	return errs
}

func flatFits(p []r2.Vec, u form.Uncertainty) map[string]error {
	errs := map[string]error{}
	_, errs["circle LS"] = circleBy(form.LeastSquares)(p, u)
	_, errs["circle MZ"] = circleBy(form.MinimumZone)(p, u)
	_, errs["circle MCC"] = circleBy(form.MinimumCircumscribed)(p, u)
	_, errs["circle MIC"] = circleBy(form.MaximumInscribed)(p, u)
	return errs
}

func only(errs map[string]error, prefix ...string) map[string]error {
	kept := map[string]error{}
	for name, err := range errs {
		for _, p := range prefix {
			if strings.HasPrefix(name, p) {
				kept[name] = err
			}
		}
	}
	return kept
}

func TestFits_badPoints(t *testing.T) {
	some := measuredPlane(10, 1)
	circle := measuredCircle(10, 1)
	with := func(i int, p r3.Vec) []r3.Vec {
		q := append([]r3.Vec(nil), some...)
		q[i] = p
		return q
	}
	flatWith := func(i int, p r2.Vec) []r2.Vec {
		q := append([]r2.Vec(nil), circle...)
		q[i] = p
		return q
	}
	same := make([]r3.Vec, 9)
	var onLine []r3.Vec
	for i := range same {
		same[i] = r3.Vec{X: 1234.5, Y: -7, Z: 3}
		onLine = append(onLine, r3.Vec{X: 100 + 0.1*float64(i), Y: 0.3 * float64(i), Z: -0.7 * float64(i)})
	}
	nearly := append([]r3.Vec(nil), onLine...)
	nearly[4].Y += 1e-10
	twice := some[2]
	twice.Z += 0.005
	var u form.Uncertainty
	for _, c := range []struct {
		name string
		errs map[string]error
		want error
		row  int
	}{
		{"NaN", spaceFits(with(3, r3.Vec{X: 1, Y: math.NaN(), Z: 2}), u), fault.ErrNotFinite, 3},
		{"infinite", spaceFits(with(9, r3.Vec{Z: math.Inf(-1)}), u), fault.ErrNotFinite, 9},
		{"too large", spaceFits(with(0, r3.Vec{X: 1e200}), u), fault.ErrOutOfRange, 0},
		{"flat NaN", flatFits(flatWith(4, r2.Vec{Y: math.NaN()}), u), fault.ErrNotFinite, 4},
		{"none", spaceFits(nil, u), fault.ErrTooFew, -1},
		{"one", spaceFits(some[:1], u), fault.ErrTooFew, -1},
		{"two for a plane", spaceFits(some[:2], u), fault.ErrTooFew, -1},
		{"four for a cylinder", only(spaceFits(some[:4], u), "cylinder"), fault.ErrTooFew, -1},
		{"flat one", flatFits(circle[:1], u), fault.ErrTooFew, -1},
		{"two for a circle", flatFits(circle[:2], u), fault.ErrTooFew, -1},
		{"one place", spaceFits(same, u), form.ErrCoincident, 8},
		{"one flat place", flatFits(flatten(same), u), form.ErrCoincident, 8},
		{"collinear", spaceFits(onLine, u), form.ErrCollinear, -2},
		{"all but collinear", spaceFits(nearly, u), form.ErrCollinear, 4},
		{"collinear circle", flatFits(flatten(onLine), u), form.ErrCollinear, -2},
		{"station twice", only(spaceFits(with(7, twice), u), "plane", "tangent"), form.ErrStation, 7},
		{"uncertainty below 0", spaceFits(some, form.Uncertainty{Standard: -1}), fault.ErrOutOfRange, -3},
		{"uncertainty NaN", spaceFits(some, form.Uncertainty{Standard: tolerance.Length(math.NaN())}), fault.ErrOutOfRange, -3},
	} {
		if len(c.errs) == 0 {
			t.Error(c.name, "checks nothing")
		}
		for fit, err := range c.errs {
			var at *fault.FieldError
			if !errors.Is(err, c.want) || !errors.As(err, &at) {
				t.Errorf("%s, %s: %v, want %v", c.name, fit, err, c.want)
				continue
			}
			want := map[int]string{-1: "/points", -2: at.Path, -3: "uncertainty"}[c.row]
			if c.row >= 0 {
				want = "/points/" + strconv.Itoa(c.row)
			}
			if at.Path != want {
				t.Errorf("%s, %s: at %s, want %s", c.name, fit, at.Path, want)
			}
			if at.Value == "" || at.Want == "" || strings.Contains(err.Error(), "\n") {
				t.Errorf("%s, %s: message %q", c.name, fit, err)
			}
		}
	}
}

// A station is told from a wall: heights are along the frame axis nearest to the normal, and a row repeated whole is no fault.
func TestPlane_stations(t *testing.T) {
	wall := []r3.Vec{{X: 0.001}, {X: 0.002, Z: 50}, {X: -0.001, Y: 40}, {X: 0, Y: 40, Z: 50}}
	if _, err := planeBy(form.MinimumZone)(wall, none); err != nil {
		t.Error(err)
	}
	if _, err := planeBy(form.LeastSquares)(append(wall, wall[1]), none); err != nil {
		t.Error(err)
	}
	_, err := planeBy(form.LeastSquares)(append(wall, r3.Vec{X: 0.003, Z: 50}), none)
	var at *fault.FieldError
	if !errors.As(err, &at) || !errors.Is(err, form.ErrStation) {
		t.Error(err)
	}
	const want = "/points/4: height 0.003 mm at (0, 50), where row 1 has 0.002 mm: one station twice with different heights: want one height for a station (average repeats)"
	if err.Error() != want {
		t.Errorf("%q, want %q", err, want)
	}
}

func TestFits_undefined(t *testing.T) {
	if _, err := planeBy(form.LeastSquares)(tetra, none); !errors.Is(err, fault.ErrUndefined) {
		t.Error("tetrahedron:", err)
	}
	var ringOnly []r3.Vec
	for _, p := range measuredCircle(12, 1) {
		ringOnly = append(ringOnly, r3.Vec{X: p.X, Y: p.Y, Z: 5})
	}
	if f, err := cylinderBy(form.LeastSquares)(ringOnly, none); err == nil {
		t.Errorf("one ring: %+v", f)
	}
	arc := []r2.Vec{{X: 31}, {X: 31 * math.Cos(0.3), Y: 31 * math.Sin(0.3)}, {X: 31 * math.Cos(0.6), Y: 31 * math.Sin(0.6)}, {X: 30.99 * math.Cos(0.4), Y: 30.99 * math.Sin(0.4)}}
	if f, err := circleBy(form.MaximumInscribed)(arc, none); !errors.Is(err, fault.ErrUndefined) {
		t.Errorf("arc: %v %+v", err, f)
	}
}

// Source: hand calculation: the fewest points fit exactly.
func TestFits_fewest(t *testing.T) {
	p := must[form.PlaneFit](t)(planeBy(form.MinimumZone)([]r3.Vec{{X: 1}, {Y: 1}, {Z: 1}}, form.Uncertainty{Standard: 0.001}))
	check.Near(t, "plane", p.Deviation.Total.Millimetres(), 0, 1e-15)
	check.Near(t, "normal", p.Normal.X, 1/math.Sqrt(3), 1e-15)
	for _, fit := range []func([]r2.Vec, form.Uncertainty) (form.CircleFit, error){circleBy(form.LeastSquares), circleBy(form.MinimumZone), circleBy(form.MaximumInscribed), circleBy(form.MinimumCircumscribed)} {
		c, err := fit([]r2.Vec{{X: 5, Y: 1}, {X: -2, Y: 1 + math.Sqrt(21)}, {X: -3, Y: -3}}, none)
		if err != nil {
			t.Error(err)
			continue
		}
		check.Near(t, c.Rule.String()+" x", c.Centre.X, 0, 1e-14)
		check.Near(t, c.Rule.String()+" y", c.Centre.Y, 1, 1e-14)
		check.Near(t, c.Rule.String()+" r", c.Radius.Millimetres(), 5, 1e-14)
	}
}

// An exact feature has no form error, wherever it stands.
func TestFits_exact(t *testing.T) {
	dir := r3.Unit(r3.Vec{X: 1, Y: 2, Z: 3})
	e1, e2 := form.Plane{Normal: dir}.Axes()
	var tube, flat []r3.Vec
	for i := range 40 {
		s, c := math.Sincos(float64(i) * 0.9)
		tube = append(tube, r3.Add(r3.Vec{X: 2000, Y: -1000, Z: 500}, r3.Add(r3.Scale(1.5*float64(i), dir), r3.Add(r3.Scale(25*c, e1), r3.Scale(25*s, e2)))))
		flat = append(flat, r3.Add(r3.Vec{X: 2000, Y: -1000, Z: 500}, r3.Add(r3.Scale(3*float64(i)*c, e1), r3.Scale(2*float64(i)*s, e2))))
	}
	const rounding = 5e-12 // of coordinates of 2 m
	for _, fit := range []func([]r3.Vec, form.Uncertainty) (form.CylinderFit, error){cylinderBy(form.LeastSquares), cylinderBy(form.MinimumZone), cylinderBy(form.MinimumCircumscribed), cylinderBy(form.MaximumInscribed)} {
		f := must[form.CylinderFit](t)(fit(tube, none))
		check.Near(t, "radius "+f.Rule.String(), f.Radius.Millimetres(), 25, rounding)
		check.Near(t, "direction "+f.Rule.String(), r3.Norm(r3.Sub(f.Direction, dir)), 0, 1e-13)
		check.Near(t, "cylindricity "+f.Rule.String(), f.Deviation.Total.Millimetres(), 0, rounding)
		check.Near(t, "length "+f.Rule.String(), r3.Norm(r3.Sub(f.Ends[1], f.Ends[0])), 58.5, rounding)
	}
	for _, fit := range []func([]r3.Vec, form.Uncertainty) (form.PlaneFit, error){planeBy(form.LeastSquares), planeBy(form.MinimumZone)} {
		f := must[form.PlaneFit](t)(fit(flat, none))
		check.Near(t, "normal "+f.Rule.String(), r3.Norm(r3.Sub(f.Normal, dir)), 0, 1e-13)
		check.Near(t, "flatness "+f.Rule.String(), f.Deviation.Total.Millimetres(), 0, rounding)
	}
}
