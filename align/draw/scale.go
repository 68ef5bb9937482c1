package draw

import (
	"math"
	"strconv"
	"strings"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/tolerance"
)

// sameStep is the share of a step by which rounding may put a number before it: far above that of a logarithm and a power,
// far below what can be seen.
const sameStep = 1e-9

// roundDown is the greatest of 1, 2, 5 times a power of ten that is at most v; 1 for what is not positive.
func roundDown(v float64) float64 { return down(v, 1, 2, 5, 10) }

// fineDown is the same in finer steps, for what fills a space.
func fineDown(v float64) float64 { return down(v, 1, 1.2, 1.5, 2, 2.5, 3, 4, 5, 6, 8, 10) }

func down(v float64, steps ...float64) float64 {
	if !(v > 0) || math.IsInf(v, 0) {
		return 1
	}
	exp := math.Floor(math.Log10(v))
	best := math.Pow(10, exp)
	for _, m := range steps {
		if c := m * math.Pow(10, exp); c <= v*(1+sameStep) {
			best = c
		}
	}
	return best
}

// ticks are the round numbers from lo to hi, about n of them.
func ticks(lo, hi float64, n int) []float64 {
	if !(hi > lo) {
		return nil
	}
	step := roundDown((hi - lo) / float64(max(n, 1)))
	if (hi-lo)/step > 1.7*float64(n) {
		step = roundDown(2.001 * step)
	}
	var out []float64
	for k := math.Ceil(lo/step - sameStep); k*step <= hi+sameStep*step; k++ {
		out = append(out, k*step)
	}
	return out
}

// span is a range of numbers.
type span struct{ lo, hi float64 }

func nowhere() span { return span{math.Inf(1), math.Inf(-1)} }

func (s *span) add(values ...float64) {
	for _, v := range values {
		s.lo, s.hi = math.Min(s.lo, v), math.Max(s.hi, v)
	}
}

func (s span) size() float64 { return s.hi - s.lo }

// speller spells numbers in the picture's unit, digit for digit as the report does.
type speller struct{ spell.Lengths }

// turnWords is a small turn and its way round.
func turnWords(a tolerance.Angle) string {
	s := spell.Degrees(tolerance.Angle(math.Abs(float64(a))))
	if s == spell.Degrees(0) {
		return s
	}
	return s + spell.Either(a < 0, " anticlockwise", " clockwise")
}

// times is how many times larger, with digits in groups: "1,250 times".
func times(v float64) string {
	return grouped(spell.Trimmed(v, 4)) + " times"
}

func count(n int) string { return grouped(strconv.Itoa(n)) }

// grouped puts commas between groups of three digits of a positive number.
func grouped(s string) string {
	whole, rest, _ := strings.Cut(s, ".")
	for i := len(whole) - 3; i > 0; i -= 3 {
		whole = whole[:i] + "," + whole[i:]
	}
	whole += spell.If(rest != "", "."+rest)
	return whole
}

// offset spells a vector across the shaft line: "0.012 mm at 4:30", or "0 mm".
func (p speller) offset(v align.Vec2) string {
	if p.Plain(v.Size()) == "0" {
		return p.Length(0)
	}
	return p.Length(v.Size()) + " at " + spell.Hand(v.Clock())
}
