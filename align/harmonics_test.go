package align_test

import (
	"math"
	"testing"

	"example.com/borestack/internal/check"

	"example.com/borestack/align"
	"example.com/borestack/tolerance"
)

// How well a first harmonic is known follows from the readings' uncertainty u and where they were taken.
//
// Source: JCGM 100:2008, 5.1.2, on closed forms, u of one component as root mean square of the two:
// at 0°, 90° and 180° cos = (v1 - v3)/2 and sin = v2 - (v1 + v3)/2, of variances 1/2 and 3/2: u.
// At equal steps each has a variance of 2/m: u √(2/m).
func TestReadings_firstUncertainty(t *testing.T) {
	const u = 0.004
	round := func(n int, at ...tolerance.Angle) align.Stack {
		r := align.Readings{At: at, Uncertainty: tolerance.Given(tolerance.Length(u))}
		for k := range n {
			r.Values = append(r.Values, []tolerance.Length{tolerance.Length(0.01 * float64(k%3))})
		}
		return align.Stack{Parts: []align.Part{{Name: "housing", Bores: []align.Bore{{Name: "register", Sweep: &align.Sweep{Readings: r}}}}}}
	}
	const right = 90 * tolerance.Degree
	for name, c := range map[string]struct {
		s    align.Stack
		want float64
	}{
		"three at right angles": {round(3, 0, right, 2*right), u},
		"turned":                {round(3, 0.3, 0.3+right, 0.3+2*right), u},
		"four equal":            {round(4), u * math.Sqrt(2.0/4)},
		"eight equal":           {round(8), u * math.Sqrt(2.0/8)},
	} {
		check.Near(t, name, float64(solve(t, c.s).Readings[0].FirstU.Value), c.want, 1e-14)
	}
}

// The mean of a round at unequal steps is less well known than that of as many at equal steps, and a
// thickness is fitted with its first harmonic alone.
//
// Source: hand calculation: at 0°, 90° and 180° the mean is (v1 + v3)/2, of variance 1/2. At 0°, 45°,
// 90°, 180° and 270° the normal equations of mean, cos and sin are (5, √½, √½), (√½, 5/2, 1/2) and
// (√½, 1/2, 5/2): the inverse has 3/14 for the mean and 3/7 for each of the others.
func TestReadings_unequalUncertainty(t *testing.T) {
	const u, right = 0.004, 90 * tolerance.Degree
	round := func(at ...tolerance.Angle) align.Readings {
		r := align.Readings{At: at, Uncertainty: tolerance.Given(tolerance.Length(u))}
		for k := range at {
			r.Values = append(r.Values, []tolerance.Length{tolerance.Length(20 + 0.01*float64(k%3))})
		}
		return r
	}
	sweep := align.Part{Name: "housing", Bores: []align.Bore{{Name: "register", Sweep: &align.Sweep{Readings: round(0, right, 2*right)}}}}
	plate := align.Part{Name: "plate", Front: &align.Face{}, Rear: &align.Face{Thickness: &align.Thickness{Readings: round(0, right/2, right, 2*right, 3*right), Radius: 90}}}
	for _, c := range []struct {
		part        align.Part
		mean, first float64
	}{
		{sweep, u * math.Sqrt(1.0/2), u},
		{plate, u * math.Sqrt(3.0/14), u * math.Sqrt(3.0/7)},
	} {
		r := solve(t, align.Stack{Parts: []align.Part{c.part}}).Readings[0]
		check.Near(t, c.part.Name+" mean", float64(r.MeanU.Value), c.mean, 1e-14)
		check.Near(t, c.part.Name+" first", float64(r.FirstU.Value), c.first, 1e-14)
	}
}

// A second harmonic is noted above a third of the first, with its size over the first's.
//
// Source: hand calculation: readings 3 cos θ + c cos 2θ at eight stations: c/3.
func TestNotes_secondHarmonic(t *testing.T) {
	for c, want := range map[float64]float64{0.9: 0, 0.99: 0, 1.02: 0.34, 1.5: 0.5, 6: 2} {
		r := align.Readings{}
		for k := range 8 {
			a := math.Pi / 4 * float64(k)
			r.Values = append(r.Values, []tolerance.Length{tolerance.Length(0.01 * (3*math.Cos(a) + c*math.Cos(2*a)))})
		}
		a := solve(t, align.Stack{Parts: []align.Part{{Name: "housing", Bores: []align.Bore{{Name: "register", Sweep: &align.Sweep{Readings: r}}}}}})
		got := 0.0
		for _, n := range a.Warnings {
			if n.Kind == align.NoteSecondHarmonic {
				got = n.Size
			}
		}
		check.Near(t, "noted", got, want, 1e-12)
	}
}

// A plate that is thickest at 3 o'clock has its wedge along x, at 12 o'clock along y; taken from the
// nose, 3 o'clock is 9 o'clock seen from the tail.
//
// Source: hand calculation: 12 + 0.02 cos(θ − clock) at a radius of 80 is a slope of 0.02/80.
func TestPart_wedgeOfThickness(t *testing.T) {
	for _, c := range []struct {
		clock    tolerance.Angle
		fromNose bool
		x, y     float64
	}{
		{0, false, 0, 1},
		{90 * tolerance.Degree, false, 1, 0},
		{180 * tolerance.Degree, false, 0, -1},
		{90 * tolerance.Degree, true, -1, 0},
		{30 * tolerance.Degree, false, 0.5, math.Sqrt(0.75)},
	} {
		r := align.Readings{FromNose: c.fromNose}
		for k := range 8 {
			r.Values = append(r.Values, []tolerance.Length{tolerance.Length(12 + 0.02*math.Cos(math.Pi/4*float64(k)-float64(c.clock)))})
		}
		a := solve(t, align.Stack{Parts: []align.Part{{
			Name: "plate", Front: &align.Face{}, Rear: &align.Face{Thickness: &align.Thickness{Radius: 80, Readings: r}},
		}}})
		wedge := a.Parts[0].Wedge
		check.Near(t, "wedge x", wedge.X, c.x*0.02/80, 1e-15)
		check.Near(t, "wedge y", wedge.Y, c.y*0.02/80, 1e-15)
		check.Near(t, "thickness", float64(a.Parts[0].Thickness), 12, 1e-12)
	}
}
