package specify

import "math"

// preferred is series R10 of preferred numbers.
//
// Source: ISO 3:1973, table 1, basic series R10 (from memory).
var preferred = [...]float64{1, 1.25, 1.6, 2, 2.5, 3.15, 4, 5, 6.3, 8}

// nextStep reaches the next preferred number, and no further.
const nextStep = 1.3

// finest is the smallest zone that is called out, mm: below it no shop holds and no gauge sees.
const finest = 0.001

// roundDown is the largest preferred number of tenths of a micrometre, or more, not above a zone; 0 where
// that is below the finest.
func roundDown(zone float64) float64 {
	const rounding = 1e-9
	if zone < finest*(1-rounding) {
		return 0
	}
	decade := math.Pow(10, math.Floor(math.Log10(zone)+rounding))
	out := decade
	for _, p := range preferred {
		if p*decade <= zone*(1+rounding) {
			out = p * decade
		}
	}
	return math.Round(out*1e6) / 1e6
}

// general says whether a kind has a general tolerance at all. A position has none, and a parallelism is only
// held within the larger of flatness and the size tolerance, which is wider than any zone here: both have to
// be called out, however wide. A coaxiality is held by the general circular run-out.
//
// Source: ISO 2768-2:1989, 5.1.1 (flatness), 5.2.2 (parallelism), 5.2.3 (perpendicularity), 5.2.5 and 5.2.6
// (coaxiality, circular run-out), (from memory); withdrawn since, and still what many drawings refer to.
func (k Kind) general() bool { return k == Perpendicularity || k == Coaxiality || k == Flatness }

// widestOf is how wide a zone of a kind over a length may be, mm: the general tolerance, class H, which holds
// without a callout (see the method), and where there is none that of flatness or of coaxiality.
//
// Source: ISO 2768-2:1989, tables 1 (flatness), 2 (perpendicularity) and 4 (circular run-out, which holds
// coaxiality), class H (from memory).
func widestOf(k Kind, across float64) float64 {
	at := func(steps ...[2]float64) float64 {
		for _, s := range steps {
			if across <= s[0] {
				return s[1]
			}
		}
		return steps[len(steps)-1][1]
	}
	switch k {
	case Parallelism, Flatness:
		return at([2]float64{10, 0.02}, [2]float64{30, 0.05}, [2]float64{100, 0.1}, [2]float64{300, 0.2}, [2]float64{1000, 0.3}, [2]float64{3000, 0.4})
	case Perpendicularity:
		return at([2]float64{100, 0.2}, [2]float64{300, 0.3}, [2]float64{1000, 0.4}, [2]float64{3000, 0.5})
	}
	return 0.1
}
