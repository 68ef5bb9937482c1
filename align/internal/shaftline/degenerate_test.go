package shaftline

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// oneShaft is a solver whose one shaft runs through the given circles.
func oneShaft(circles []Circle) *Solver {
	l := &Solver{Groups: [][]int{{0}}, Shafts: 1, Circles: slices.Clone(circles)}
	for i := range l.Circles {
		l.Circles[i].Holder = i
	}
	return l
}

func at(z, x, y, radius float64) Circle {
	return Circle{Other: -1, Z: z, X: x, Y: y, Radius: RadiusOf(2 * radius)}
}

var degenerateLines = []struct {
	name string
	make func(rng *rand.Rand, size float64) []Circle
}{
	{"three in line", func(rng *rand.Rand, size float64) []Circle {
		return []Circle{at(0, 0, 0, 0.02), at(100, size, -size, 0.03), at(250, 0, 0, 0.04)}
	}},
	{"three in line, askew", func(rng *rand.Rand, size float64) []Circle {
		return []Circle{at(0, 0.1, 0.05, 0.02), at(100, 0.1+1e-4*100+size, 0.05-2e-4*100, 0.03), at(250, 0.1+1e-4*250, 0.05-2e-4*250, 0.04)}
	}},
	{"five in line", func(rng *rand.Rand, size float64) []Circle {
		return []Circle{at(0, size, 0, 0.02), at(100, -size, size, 0.02), at(150, 0, 0, 0.02), at(200, 0, size, 0.02), at(250, 0, 0, 0.02)}
	}},
	{"two at one place", func(rng *rand.Rand, size float64) []Circle {
		return []Circle{at(0, 0, 0, 0.02), at(100, 0.02, -0.01, 0.03), at(100+size, 0.02+size, -0.01, 0.03), at(250, 0, 0, 0.04)}
	}},
	{"two places of two", func(rng *rand.Rand, size float64) []Circle {
		return []Circle{at(0, 0, 0, 0.02), at(size, 0.01, 0, 0.02), at(100, 0.02, -0.01, 0.03), at(100+size, 0.02, 0.01, 0.03)}
	}},
	{"three, two at one place", func(rng *rand.Rand, size float64) []Circle {
		return []Circle{at(0, 0, 0, 0.02), at(size, 0.01, 0, 0.02), at(100, 0.02, -0.01, 0.03)}
	}},
	{"all at one place", func(rng *rand.Rand, size float64) []Circle {
		return []Circle{at(0, 0, 0, 0.02), at(0, 0.01+size, 0, 0.02), at(0, 0.005, 0.005, 0.03), at(size, 0.005, -0.005, 0.03)}
	}},
	{"one without room", func(rng *rand.Rand, size float64) []Circle {
		return []Circle{at(0, 0, 0, 0.02), at(100, 0.02, -0.01, size), at(150, 0.01, 0.01, 0.04), at(250, 0, 0, 0.04)}
	}},
	{"three, one without room", func(rng *rand.Rand, size float64) []Circle {
		return []Circle{at(0, 0, 0, 0.02), at(100, 0.02, -0.01, size), at(250, 0, 0, 0.04)}
	}},
	{"two without room", func(rng *rand.Rand, size float64) []Circle {
		return []Circle{at(0, 0, 0, size), at(100, 0.02, -0.01, size), at(150, 0.01, 0.01, 0.04), at(250, 0, 0, 0.04)}
	}},
	{"equal rooms, a zigzag", func(rng *rand.Rand, size float64) []Circle {
		return []Circle{at(0, 0.01, 0, 0.02), at(100, -0.01, 0, 0.02), at(200, 0.01, 0, 0.02+size), at(300, -0.01+size, 0, 0.02)}
	}},
	{"square, seen along z", func(rng *rand.Rand, size float64) []Circle {
		return []Circle{at(0, 0.01, 0, 0.02), at(0, -0.01, 0, 0.02), at(200, 0, 0.01, 0.02), at(200, 0, -0.01+size, 0.02)}
	}},
	{"just touching", func(rng *rand.Rand, size float64) []Circle {
		return []Circle{at(0, 0, 0, 0.02), at(100, 0.04+size, 0, 0.02), at(200, 0, 0, 0.02), at(300, 0.02, 0.01, 0.5)}
	}},
	{"at the floor of the margin", func(rng *rand.Rand, size float64) []Circle {
		return []Circle{at(0, 0, 0, 0.02), at(100, 0.01, 0, 0.05), at(200, 0, 0, 0.05), at(300, 0.01, 0.01-size, 0.02+size)}
	}},
}

// Use and margin of every degenerate shaft, at exact zero, at sizes that are rounding and just
// above the thresholds, are those of a search without any.
//
// Source: a second method: golden section over the slopes, bisection over the discs' crossings.
func TestSolver_degenerateLines(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for _, d := range degenerateLines {
		var exact [2]float64
		for n, size := range []float64{0, 1e-20, 1e-16, 1e-13, 3e-12, 1e-9} {
			circles := d.make(rng, size)
			l := oneShaft(circles)
			for i := range circles { // the search cannot hit a point: it gets a little room
				circles[i].Radius = math.Max(circles[i].Radius, 1e-11)
			}
			for _, by := range []Measure{ByUtilisation, ByMargin} {
				got, err := l.Solve(l.Groups[0], by)
				if err != nil {
					t.Errorf("%s, %g: %v", d.name, size, err)
					continue
				}
				switch want := exact[by]; {
				case n == 0:
					exact[by] = got
				case !(math.Abs(got-want) <= (300*size+1e-10)*(1+want)):
					t.Errorf("%s, %g, measure %d: %.15g, exactly %.15g", d.name, size, by, got, want)
				}
				if n == 0 || n == 4 && by == ByUtilisation {
					if want := slowLine(circles, by); !(math.Abs(got-want) <= 2e-8*(1+math.Abs(want))) {
						t.Errorf("%s, %g, measure %d: %.12g, the search %.12g", d.name, size, by, got, want)
					}
				}
			}
		}
	}
}

// What governs shafts that pass through every centre is nothing, whether they pass exactly or but
// for rounding; a room used up but for rounding is none.
func TestSolver_roundingGovernsNothing(t *testing.T) {
	for _, size := range []float64{0, 1e-20, 1e-17, 1e-14, 2e-13} {
		for _, d := range degenerateLines[:3] {
			l := oneShaft(d.make(nil, size))
			if _, err := l.Solve(l.Groups[0], ByUtilisation); err != nil {
				t.Fatal(err)
			}
			l.GovernWeights(ByUtilisation, func(member int, weight float64) {
				t.Errorf("%s, %g off: governed by circle %d, %v", d.name, size, member, weight)
			})
		}
		circles := []Circle{at(0, 0, 0, 0.02), at(100, 0.02, -0.01, size), at(150, 0.01, 0.01, size), at(250, 0, 0, size)}
		l := oneShaft(circles)
		if use, err := l.Utilisation(); !math.IsInf(use, 1) || err != nil {
			t.Errorf("three bores out of line with %g of room: use %v, %v, want no line", size, use, err)
		}
	}
}

// A circle given again, or one that another implies, changes neither utilisation nor margin.
func TestSolver_deletingCircles(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 9))
	for trial := range 300 {
		l := bed(rng, 1+trial%3)
		if l == nil {
			continue
		}
		size := []float64{0, 1e-20, 1e-16, 1e-13, 1e-11}[trial%5]
		more := &Solver{Groups: l.Groups, Shafts: l.Shafts, Circles: slices.Clone(l.Circles)}
		again := l.Circles[rng.IntN(len(l.Circles))]
		again.X += size
		again.Z += size
		if rng.IntN(2) == 0 {
			again.Radius += size
		}
		more.Circles = append(more.Circles, again)
		var use, margin [2]float64
		for n, q := range []*Solver{l, more} {
			var err error
			if use[n], err = q.Utilisation(); err != nil {
				t.Fatal(err)
			}
			if margin[n], err = q.Margin(); err != nil {
				t.Fatal(err)
			}
		}
		if math.Abs(use[0]-use[1]) > 2e-9*(1+use[0]) || math.Abs(margin[0]-margin[1]) > 1e-9 {
			t.Errorf("trial %d, %g: utilisation %.12g, with a circle again %.12g; margin %.12g, %.12g", trial, size, use[0], use[1], margin[0], margin[1])
		}
	}
}
