package report

import (
	"math"
	"strconv"
	"strings"
	"unicode"

	"example.com/borestack/align"
	"example.com/borestack/align/record"
	"example.com/borestack/tolerance"
)

// printer spells numbers in the record's unit.
type printer struct {
	unit tolerance.Unit
}

func printerOf(rec *record.Record) printer {
	u, err := tolerance.ParseUnit(rec.Units.Length)
	if err != nil {
		u = tolerance.Millimetres
	}
	return printer{u}
}

// decimals resolve about a micrometre: what a good gauge can tell.
func (p printer) decimals() int {
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

// finer is how many decimals more a small length gets, so that two figures of it show: to a tenth of a micrometre, which is what the model can tell.
const finer = 1

// fineSlope is the same for slopes in milliradians and turns in degrees, which act at a distance.
const fineSlope = 2

// plain is a deviation without its unit: a micrometre resolved, two figures of anything smaller, "0" for what is smaller still.
func (p printer) plain(l tolerance.Length) string { return fixed(l.In(p.unit), p.decimals(), finer) }

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

// length is a deviation with its unit.
func (p printer) length(l tolerance.Length) string { return p.plain(l) + " " + p.unit.String() }

// telling is a deviation that must not look like nothing: what is too small to print is said to be so.
func (p printer) telling(l tolerance.Length) string {
	const rounding = 1e-9 // mm
	if math.Abs(float64(l)) <= rounding || p.plain(l) != "0" {
		return p.length(l)
	}
	least := strconv.FormatFloat(math.Pow10(-p.decimals()-finer), 'f', p.decimals()+finer, 64) + " " + p.unit.String()
	if l < 0 {
		return "between -" + least + " and 0"
	}
	return "under " + least
}

// short is a deviation with its unit, without trailing zeros, and in millimetres beside inches.
func (p printer) short(l tolerance.Length) string {
	s := trimmed(l.In(p.unit), p.decimals()+finer) + " " + p.unit.String()
	if p.unit == tolerance.Inches || p.unit == tolerance.Thousandths {
		s += " (" + printer{}.short(l) + ")"
	}
	return s
}

// unitWord is the record's unit in full.
func (p printer) unitWord() string {
	switch p.unit {
	case tolerance.Micrometres:
		return "micrometres"
	case tolerance.Metres:
		return "metres"
	case tolerance.Inches:
		return "inches"
	case tolerance.Thousandths:
		return "thousandths of an inch"
	}
	return "millimetres"
}

// both is a deviation with its unit, and in millimetres beside inches.
func (p printer) both(l tolerance.Length) string {
	if p.unit != tolerance.Inches && p.unit != tolerance.Thousandths {
		return p.length(l)
	}
	return p.length(l) + " (" + printer{}.length(l) + ")"
}

// size is a dimension with its unit: no more decimals than a deviation, and no trailing zeros.
func (p printer) size(l tolerance.Length) string { return p.bare(l) + " " + p.unit.String() }

// bare is a dimension without its unit.
func (p printer) bare(l tolerance.Length) string { return trimmed(l.In(p.unit), p.decimals()+1) }

// point is a position across the shaft line, without unit.
func (p printer) point(v align.Vec2) string { return "(" + p.bare(v.X) + ", " + p.bare(v.Y) + ")" }

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

// mrad is a slope in milliradians, which are millimetres in a metre and thousandths of an inch in an inch, without unit.
func mrad(v float64) string { return fixed(v*1000, 2, fineSlope) }

// ratio is a slope with its unit.
func ratio(v float64) string { return mrad(v) + " mrad" }

// percent is a share.
func percent(v float64) string {
	if v > 0 && v < 0.005 {
		return "under 1 %"
	}
	return strconv.FormatFloat(100*v, 'f', 0, 64) + " %"
}

// degrees is a small turn.
func degrees(a tolerance.Angle) string { return fixed(a.Degrees(), 3, fineSlope) + "°" }

// hand is a clock position as on a dial: "4:30".
func hand(a tolerance.Angle) string {
	half := int(math.Round(a.Normalized().Degrees()/15)) % 24
	hour := half / 2
	if hour == 0 {
		hour = 12
	}
	return strconv.Itoa(hour) + [2]string{":00", ":30"}[half%2]
}

func sizeOf(v align.Vec2) tolerance.Length {
	return tolerance.Length(math.Hypot(float64(v.X), float64(v.Y)))
}

func clockOf(v align.Vec2) tolerance.Angle { return tolerance.Clock(float64(v.X), float64(v.Y)) }

func steepness(s align.Slope) float64 { return math.Hypot(s.X, s.Y) }

// longestName is where a name is cut in text, so that a table keeps its width.
const longestName = 28

// clean makes a text of the record safe to print on one line: control characters become spaces.
func clean(s string) string {
	return strings.Map(func(r rune) rune {
		if !unicode.IsPrint(r) {
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

// spoken says "part/bore" as people do: "the plate bearing", or "the tail bush" for "tail/tail bush".
func spoken(at string) string {
	part, bore, ok := strings.Cut(at, "/")
	switch {
	case !ok:
		return "the " + name(at)
	case strings.Contains(strings.ToLower(bore), strings.ToLower(part)):
		return "the " + name(bore)
	}
	return "the " + name(part) + " " + name(bore)
}

// list joins words: "a", "a and b", "a, b and c".
func list(words []string) string {
	n := len(words)
	if n < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:n-1], ", ") + " and " + words[n-1]
}

// listed joins at most most words, and counts the rest.
func listed(words []string, most int) string {
	if len(words) <= most {
		return list(words)
	}
	return strings.Join(words[:most], ", ") + " and " + strconv.Itoa(len(words)-most) + " more"
}
