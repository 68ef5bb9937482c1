// Package spell writes numbers and names the same way in reports, pictures and sheets, so that they
// can be compared digit for digit.
package spell

import (
	"math"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"example.com/borestack/tolerance"
)

// Decimals resolve about a micrometre in a unit: what a good gauge can tell.
func Decimals(u tolerance.Unit) int {
	switch u {
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

// Finer is how many decimals more a small length gets, so that two figures of it show: to a tenth
// of a micrometre, which is what the model can tell.
const Finer = 1

// fineTurn is the same for turns in degrees, which act at a distance.
const fineTurn = 2

// Fixed prints v to n decimals, up to more further ones when v is small.
func Fixed(v float64, n, more int) string {
	places := n
	for places < n+more && math.Abs(v) < 9.5*math.Pow10(-places) {
		places++
	}
	if math.Abs(v) < 0.5*math.Pow10(-places) {
		return "0"
	}
	return strconv.FormatFloat(v, 'f', places, 64)
}

// Trimmed prints v to at most n decimals, without trailing zeros.
func Trimmed(v float64, n int) string {
	s := strconv.FormatFloat(v, 'f', n, 64)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	if s == "-0" {
		return "0"
	}
	return s
}

// Percent is a share.
func Percent(v float64) string {
	if v > 0 && v < 0.005 {
		return "under 1 %"
	}
	return strconv.FormatFloat(100*v, 'f', 0, 64) + " %"
}

// Degrees is a small turn.
func Degrees(a tolerance.Angle) string { return Fixed(a.Degrees(), 3, fineTurn) + "°" }

// Turn is a turn to a thousandth of a degree: no finer than a dial at the rim can tell.
func Turn(a tolerance.Angle) string { return Fixed(a.Degrees(), 3, 0) + "°" }

// Newtons is a force: three figures, none finer than a newton.
func Newtons(v float64) string { return ThreeFigures(v) + " N" }

// ThreeFigures rounds to three figures, and to whole numbers at the finest.
func ThreeFigures(v float64) string {
	step := 1.0
	if a := math.Abs(v); a >= 1000 {
		step = math.Pow10(int(math.Floor(math.Log10(a))) - 2)
	}
	return Trimmed(math.Round(v/step)*step, 0)
}

// Hand is a clock position as on a dial: "4:30".
func Hand(a tolerance.Angle) string {
	half := int(math.Round(a.Normalized().Degrees()/15)) % 24
	hour := half / 2
	if hour == 0 {
		hour = 12
	}
	return strconv.Itoa(hour) + [2]string{":00", ":30"}[half%2]
}

// longestName is where a name is cut, in runes, so that a table keeps its width.
const longestName = 28

// marks is how many marks may stand on one letter.
const marks = 2

// Clean makes a text safe to show on one line: what is not printable becomes a space, and marks do
// not pile up on a letter.
func Clean(s string) string {
	n := 0
	return strings.Map(func(r rune) rune {
		if unicode.Is(unicode.M, r) {
			if n++; n > marks {
				return -1
			}
			return r
		}
		n = 0
		if !unicode.IsPrint(r) || r == unicode.ReplacementChar {
			return ' '
		}
		return r
	}, s)
}

// Name is a cleaned name, cut to fit.
func Name(s string) string {
	r := []rune(Clean(s))
	if len(r) > longestName {
		return string(r[:longestName-1]) + "…"
	}
	return string(r)
}

// Either is a, or b where not yes.
func Either[T any](yes bool, a, b T) T {
	if yes {
		return a
	}
	return b
}

// If is a text where yes, and nothing else.
func If(yes bool, text string) string { return Either(yes, text, "") }

// Mapped is what becomes of every element of a list.
func Mapped[T, U any](list []T, of func(T) U) (out []U) {
	for _, v := range list {
		out = append(out, of(v))
	}
	return out
}

// List joins words: "a", "a and b", "a, b and c".
func List(words []string) string {
	n := len(words)
	if n < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:n-1], ", ") + " and " + words[n-1]
}

// Listed joins at most most words, and counts the rest.
func Listed(words []string, most int) string {
	if len(words) <= most {
		return List(words)
	}
	return strings.Join(words[:most], ", ") + " and " + strconv.Itoa(len(words)-most) + " more"
}

// Bounds says limits: "at least 0 mm", "at most 0.05 mm", "from 0.1 to 0.2 mm"; "without a limit".
func Bounds(l tolerance.Limits, show func(float64) string) string {
	switch {
	case l.Least.Given && l.Greatest.Given:
		return "from " + show(l.Least.Value) + " to " + show(l.Greatest.Value)
	case l.Least.Given:
		return "at least " + show(l.Least.Value)
	case l.Greatest.Given:
		return "at most " + show(l.Greatest.Value)
	}
	return "without a limit"
}

// Upper begins a sentence with a capital.
func Upper(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	if n == 0 || r == utf8.RuneError {
		return s
	}
	return string(unicode.ToUpper(r)) + s[n:]
}
