package draw

import (
	"math"
	"strconv"
	"strings"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/tolerance"
)

// speller spells numbers in the picture's unit, digit for digit as the report does.
type speller struct{ spell.Lengths }

// mrad is a slope in milliradians.
func mrad(v float64) string { return spell.Mrad(v) + " mrad" }

// turnWords is a small turn and its way round.
func turnWords(a tolerance.Angle) string {
	s := spell.Degrees(tolerance.Angle(math.Abs(float64(a))))
	switch {
	case s == spell.Degrees(0):
		return s
	case a < 0:
		return s + " anticlockwise"
	}
	return s + " clockwise"
}

// times is how many times larger, with digits in groups: "1,250 times".
func times(v float64) string {
	return grouped(spell.Trimmed(v, 4)) + " times"
}

// count is a whole number with its digits in groups.
func count(n int) string { return grouped(strconv.Itoa(n)) }

// grouped puts commas between groups of three digits of a positive number.
func grouped(s string) string {
	whole, rest, _ := strings.Cut(s, ".")
	var b strings.Builder
	for i, r := range whole {
		if i > 0 && (len(whole)-i)%3 == 0 {
			b.WriteByte(',')
		}
		b.WriteRune(r)
	}
	if rest != "" {
		b.WriteString("." + rest)
	}
	return b.String()
}

func sizeOf(v align.Vec2) tolerance.Length {
	return tolerance.Length(math.Hypot(float64(v.X), float64(v.Y)))
}

func clockOf(v align.Vec2) tolerance.Angle { return tolerance.Clock(float64(v.X), float64(v.Y)) }

func slopeVec(s align.Slope) align.Vec2 {
	return align.Vec2{X: tolerance.Length(s.X), Y: tolerance.Length(s.Y)}
}

// offset spells a vector across the shaft line: "0.012 mm at 4:30", or "0 mm".
func (p speller) offset(v align.Vec2) string {
	if p.Plain(sizeOf(v)) == "0" {
		return p.Length(0)
	}
	return p.Length(sizeOf(v)) + " at " + spell.Hand(clockOf(v))
}

// clock spells the clock position of a vector, "-" when it is too small to have one.
func (p speller) clock(v align.Vec2) string {
	if p.Plain(sizeOf(v)) == "0" {
		return "-"
	}
	return spell.Hand(clockOf(v))
}
