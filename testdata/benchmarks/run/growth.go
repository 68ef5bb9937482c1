//go:build unix

package main

import (
	"fmt"
	"math"
	"time"

	"example.com/borestack/align/study"
	"example.com/borestack/stackup"
	"example.com/borestack/testdata/benchmarks/stack3"
)

// curve is how the time of something grows with one size.
type curve struct {
	what  string
	sizes []int
	cause string // why it grows faster than in proportion, where it does
	of    func(t *table, n int) (time.Duration, error)
}

// proportional is the exponent up to which a curve counts as growing in proportion.
const proportional = 1.1

// overFloats is the time of one sample with best and worst over the floats.
func overFloats(change func(z *tower, n int)) func(*table, int) (time.Duration, error) {
	return func(_ *table, n int) (time.Duration, error) {
		z := usual()
		change(&z, n)
		s, err := z.stack()
		if err != nil {
			return 0, err
		}
		return sampleTime(s, lineOutputs)
	}
}

// curves are the sizes that a user may let grow.
var curves = []curve{
	{
		"parts, joints at rest: a sample",
		[]int{3, 5, 10, 20, 40},
		"",
		overFloats(func(z *tower, n int) { z.parts, z.loose = n, 0 }),
	},
	{
		"joints that lie anywhere, of ten parts: a sample",
		[]int{1, 2, 4, 6, 9},
		"",
		overFloats(func(z *tower, n int) { z.parts, z.loose = 10, n }),
	},
	{
		"supports of a shaft, joints at rest: a sample",
		[]int{4, 6, 8, 12, 16, 24, 32},
		"the search for the line works out the weights of all circles together, a square system",
		overFloats(func(z *tower, n int) { z.supports, z.loose = n, 0 }),
	},
	{
		"supports of a shaft, joints at rest: Solve",
		[]int{4, 6, 8, 12, 16, 24, 32},
		"every support has its slack searched for, and each look finds the line of all circles again",
		func(_ *table, n int) (time.Duration, error) {
			s, err := tower{parts: 4, pins: 1, shafts: 1, supports: n}.stack()
			if err != nil {
				return 0, err
			}
			return each(func() error { _, err := s.Solve(); return err })
		},
	},
	{
		"supports of a shaft over the floats: a sample",
		[]int{4, 6, 8, 12, 16, 24, 32},
		"sums of three circles, more the more circles there are (up to 60 are followed), and the search for the line as above at every look",
		overFloats(func(z *tower, n int) { z.supports = n }),
	},
	{
		"dowels of each joint over the floats: a sample",
		[]int{1, 2, 4, 8, 16, 32, 64},
		"by profile 85 % is cone programs of the floats: a step is in proportion, more bounds take more steps",
		overFloats(func(z *tower, n int) { z.pins = n }),
	},
	{
		"samples of a study of stack-3",
		[]int{1024, 4096, 16384, 65536, 262144},
		"",
		func(t *table, n int) (time.Duration, error) {
			st, err := stack3.Study()
			if err != nil {
				return 0, err
			}
			return each(func() error {
				_, err := st.Run(t.ctx, stackup.Settings{Samples: n, Seed: 1, Workers: 1})
				return err
			})
		},
	},
	{
		"candidates: the verdicts of a box",
		[]int{2, 5, 10, 20, 50},
		"",
		func(t *table, n int) (time.Duration, error) {
			z := usual()
			z.candidates = n
			rec, err := z.record()
			if err != nil {
				return 0, err
			}
			return each(func() error { _, err := study.Run(t.ctx, rec); return err })
		},
	},
}

// growth says how time grows with each size: as a power of it, fitted to the larger sizes.
func growth(t *table) error {
	t.line("\nHow time grows with size (an invented box of four parts, three joints, one shaft on five supports; the power is fitted to the larger half)")
	for _, c := range curves {
		var sizes, times []float64
		said := ""
		for _, n := range c.sizes {
			d, err := c.of(t, n)
			if err != nil {
				return fmt.Errorf("%s, %d: %w", c.what, n, err)
			}
			sizes, times = append(sizes, float64(n)), append(times, d.Seconds())
			said += fmt.Sprintf("  %d: %s", n, rounded(d))
			if d > 2*time.Second || (t.quick && d > time.Second/4) {
				break
			}
		}
		from := min(len(sizes)/2, max(len(sizes)-3, 0))
		power := slope(sizes[from:], times[from:])
		t.line("  %s: size to the power %.2f", c.what, power)
		t.line("   %s", said)
		if power > proportional && c.cause != "" {
			t.line("    faster than in proportion: %s", c.cause)
		}
	}
	return nil
}

// rounded is a time to three digits.
func rounded(d time.Duration) time.Duration {
	unit := time.Duration(1)
	for d/unit >= 1000 {
		unit *= 10
	}
	return d.Round(unit)
}

// slope is that of the straight line through the logarithms, by least squares.
func slope(x, y []float64) float64 {
	n := float64(len(x))
	var sx, sy, sxx, sxy float64
	for i := range x {
		u, v := math.Log(x[i]), math.Log(y[i])
		sx, sy, sxx, sxy = sx+u, sy+v, sxx+u*u, sxy+u*v
	}
	return (n*sxy - sx*sy) / (n*sxx - sx*sx)
}
