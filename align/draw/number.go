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

// slope is a slope with its unit: millimetres a metre, or the same number of thousandths of an inch an inch.
func (p speller) slope(v float64) string {
	unit := " mm/m"
	if p.Unit == tolerance.Inches || p.Unit == tolerance.Thousandths {
		unit = " thou/in"
	}
	return spell.Fixed(v*1000, 2, 0) + unit
}

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

// offset spells a vector across the shaft line: "0.012 mm at 4:30", or "0 mm".
func (p speller) offset(v align.Vec2) string {
	if p.Plain(v.Size()) == "0" {
		return p.Length(0)
	}
	return p.Length(v.Size()) + " at " + spell.Hand(v.Clock())
}
