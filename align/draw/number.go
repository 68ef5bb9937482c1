package draw

import (
	"math"
	"strconv"
	"strings"
	"unicode"

	"example.com/borestack/align"
	"example.com/borestack/tolerance"
)

// speller spells numbers in the picture's unit, digit for digit as the report does; a test holds the two together.
type speller struct {
	unit tolerance.Unit
}

// decimals resolve about a micrometre.
func (p speller) decimals() int {
	switch p.unit {
	case tolerance.Micrometres:
		return 0
	case tolerance.Metres:
		return 6
	case tolerance.Inches:
		return 4
	case tolerance.Thousandths:
		return 1
	}
	return 3
}

// plain is a deviation without its unit: a micrometre resolved, two figures of anything smaller, "0" for what is smaller still.
func (p speller) plain(l tolerance.Length) string { return fixed(l.In(p.unit), p.decimals(), 1) }

// length is a deviation with its unit.
func (p speller) length(l tolerance.Length) string { return p.plain(l) + " " + p.unit.String() }

// bare is a dimension without its unit and without trailing zeros.
func (p speller) bare(l tolerance.Length) string { return trimmed(l.In(p.unit), p.decimals()+1) }

// size is a dimension with its unit.
func (p speller) size(l tolerance.Length) string { return p.bare(l) + " " + p.unit.String() }

// place is a position along the shaft line, without its unit.
func (p speller) place(l tolerance.Length) string {
	return trimmed(l.In(p.unit), max(p.decimals()-1, 0))
}

// fixed prints v to n decimals, up to more further ones when v is small.
func fixed(v float64, n, more int) string {
	places := n
	for places < n+more && math.Abs(v) < 9.5*math.Pow10(-places) {
		places++
	}
	if math.Abs(v) < 0.5*math.Pow10(-places) {
		return "0"
	}
	return strconv.FormatFloat(v, 'f', places, 64)
}

// trimmed prints v to at most n decimals, without trailing zeros.
func trimmed(v float64, n int) string {
	s := strconv.FormatFloat(v, 'f', n, 64)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	if s == "-0" {
		return "0"
	}
	return s
}

// mrad is a slope in milliradians.
func mrad(v float64) string { return fixed(v*1000, 2, 2) + " mrad" }

// percent is a share.
func percent(v float64) string {
	if v > 0 && v < 0.005 {
		return "under 1 %"
	}
	return strconv.FormatFloat(100*v, 'f', 0, 64) + " %"
}

// degrees is a small turn.
func degrees(a tolerance.Angle) string { return fixed(a.Degrees(), 3, 2) + "°" }

// turnWords is a small turn and its way round.
func turnWords(a tolerance.Angle) string {
	s := degrees(tolerance.Angle(math.Abs(float64(a))))
	switch {
	case s == degrees(0):
		return s
	case a < 0:
		return s + " anticlockwise"
	}
	return s + " clockwise"
}

// hand is a clock position as on a dial: "4:30".
func hand(a tolerance.Angle) string {
	half := int(math.Round(a.Normalized().Degrees()/15)) % 24
	hour := half / 2
	if hour == 0 {
		hour = 12
	}
	return strconv.Itoa(hour) + [2]string{":00", ":30"}[half%2]
}

// times is how many times larger, with digits in groups: "1,250 times".
func times(v float64) string {
	return grouped(trimmed(v, 4)) + " times"
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
	if p.plain(sizeOf(v)) == "0" {
		return p.length(0)
	}
	return p.length(sizeOf(v)) + " at " + hand(clockOf(v))
}

// clock spells the clock position of a vector, "-" when it is too small to have one.
func (p speller) clock(v align.Vec2) string {
	if p.plain(sizeOf(v)) == "0" {
		return "-"
	}
	return hand(clockOf(v))
}

// longestName is where a name is cut, in runes.
const longestName = 28

// clean makes a text safe to show on one line: what is not printable becomes a space, and marks do not pile up on a letter.
func clean(s string) string {
	marks := 0
	return strings.Map(func(r rune) rune {
		if unicode.Is(unicode.M, r) {
			if marks++; marks > 2 {
				return -1
			}
			return r
		}
		marks = 0
		if !unicode.IsPrint(r) || r == unicode.ReplacementChar {
			return ' '
		}
		return r
	}, s)
}

// name is a cleaned name, cut to fit.
func name(s string) string {
	r := []rune(clean(s))
	if len(r) > longestName {
		return string(r[:longestName-1]) + "…"
	}
	return string(r)
}

// listed joins words, and counts those beyond most.
func listed(words []string, most int) string {
	n := len(words)
	switch {
	case n > most:
		return strings.Join(words[:most], ", ") + " and " + strconv.Itoa(n-most) + " more"
	case n < 2:
		return strings.Join(words, "")
	}
	return strings.Join(words[:n-1], ", ") + " and " + words[n-1]
}
