package shaftline

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// The slack of a holder is the shortest way out in any direction. The shafts tried are those of 400
// random ones whose rim comes near in several places, and a few more.
//
// Source: a second method: a sweep of directions.
func TestSolver_slackAgainstSweep(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 1))
	near := []int{1, 45, 65, 100, 151, 295, 306, 307}
	for trial := range 308 {
		l := bed(rng, 1+trial%2)
		if !slices.Contains(near, trial) && trial%100 != 0 || l == nil {
			continue
		}
		holders := 0
		for i := range l.Circles {
			if c := &l.Circles[i]; c.Other < 0 {
				c.Radius *= 3
				holders = c.Holder + 1
			}
		}
		use, err := l.Utilisation()
		if err != nil {
			t.Fatal(err)
		}
		slacks, err := l.Slacks(holders, use)
		if err != nil {
			t.Fatal(trial, err)
		}
		for i, slack := range slacks {
			if math.IsInf(slack, 1) {
				continue
			}
			least := math.Inf(1)
			const steps = 90
			for n := range steps {
				sin, cos := math.Sincos(2 * math.Pi * float64(n) / steps)
				r, _, _, err := l.reach(l.Groups[0], i, sin, cos)
				if err != nil {
					t.Fatal(trial, i, err)
				}
				least = math.Min(least, r)
			}
			if least < slack-1e-8 || least > slack*1.01+1e-9 {
				t.Errorf("trial %d, holder %d: slack %.9g, by a sweep %.9g", trial, i, slack, least)
			}
		}
	}
}

// How far a holder may move in a direction, and the rim's normal there, are by tangents what the
// cone program says.
//
// Source: a second method: the cone program.
func TestSlack_tangentsAgainstCones(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 2))
	checked := 0
	for trial := range 60 {
		l := bed(rng, 1+trial%2)
		if l == nil {
			continue
		}
		for i := range l.Circles {
			l.Circles[i].Radius *= 3
		}
		if use, err := l.Utilisation(); err != nil || !(use < 1) || l.Closed || l.LeastRadius() <= 0 {
			continue
		}
		q := l.newSlackSearch(l.Groups[0])
		q.holder, q.sure, q.from = trial%3, tangentSure, l.widestRadius()
		for n := range 4 {
			sin, cos := math.Sincos(2*math.Pi*rng.Float64() + float64(n))
			got, nx, ny, err := q.tangents(sin, cos)
			if err != nil {
				t.Fatal(trial, err)
			}
			want, mx, my, err := l.reach(q.group, q.holder, sin, cos)
			if err != nil {
				t.Fatal(trial, err)
			}
			if checked++; math.IsInf(got, 1) != math.IsInf(want, 1) || math.Abs(got-want) > 1e-8*(1+want) {
				t.Errorf("trial %d: reach %.12g by tangents, %.12g by cones", trial, got, want)
			}
			if lean := math.Atan2(nx*my-ny*mx, nx*mx+ny*my); math.Abs(lean) > 0.02 {
				t.Errorf("trial %d: the normals are %g rad apart", trial, lean)
			}
		}
	}
	if checked < 40 {
		t.Errorf("only %d directions", checked)
	}
}

// Where nearly every circle just touches there is hardly any slack, and the search for it ends: reaches differ there
// by rounding alone, which halved every arc down to the finest.
//
// Source: a second method: a sweep of directions by the cone program.
func TestSolver_slackOfNothing(t *testing.T) {
	for _, more := range []float64{0, 1e-14, 1e-12, 1e-10, 1e-8, 1e-6, 1e-4} {
		var l Solver
		for i, c := range [][4]float64{ // x, y, z and the diameter that a line just passes
			{0.279606566013279, -0.07706446847474187, 18.74567281293941, 0.18796359844483626},
			{-1.3137209340389102, -0.49183307229776213, 61.16396241098831, 5.8},
			{0.4576382610804795, 0.04069004966395056, 145.81235555230793, 0.10457899937628844},
			{0.5162890421497229, 0.21740332463979686, 201.87085903390567, 0.03972523120078515},
			{0.5471295989595909, 0.3316284420801342, 253.5951557162242, 0.05055791347461272},
			{0.5512009602539828, 0.4667143145875904, 314.550001166898, 0.1473490749331282},
		} {
			l.Circles = append(l.Circles, Circle{Holder: i, Other: -1, X: c[0], Y: c[1], Z: c[2], Radius: c[3] / 2 * (1 + more)})
		}
		l.Shafts, l.Groups = 1, [][]int{{0}}
		use, err := l.Utilisation()
		if err != nil {
			t.Fatal(err)
		}
		slacks, err := l.Slacks(len(l.Circles), use)
		if err != nil {
			t.Fatal(err)
		}
		for i, slack := range slacks {
			least := math.Inf(1)
			for n := range 60 {
				sin, cos := math.Sincos(2 * math.Pi * float64(n) / 60)
				r, _, _, err := l.reach(l.Groups[0], i, sin, cos)
				if err != nil {
					t.Fatal(err)
				}
				least = math.Min(least, r)
			}
			if use < 1 && (slack > least*1.01+1e-6 || slack < least*0.9-1e-6) {
				t.Errorf("larger by %g: holder %d: slack %.9g, by a sweep %.9g", more, i, slack, least)
			}
		}
	}
}
