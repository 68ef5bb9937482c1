package draft

import (
	"errors"
	"fmt"
	"math/big"
	"slices"
	"strconv"
	"strings"

	"example.com/borestack/tolerance"
)

// Read reads what was typed as a number that is counted in a unit (empty: a number without one): "14.048", "14,048", and in inches "1 3/8" or "5/64". A unit behind the number, "0.5 mm", is taken at its word. It returns the number as JSON writes it, every digit kept, and how it was understood where that needs saying.
//
// A comma is always the decimal mark: nothing here is written with marks between thousands. A number with both marks, or with two of one, could mean two things and is refused.
func Read(typed, unit string) (number, said string, err error) {
	text := strings.Trim(strings.ReplaceAll(typed, "\u2212", "-"), " \t\u00a0")
	body, own := cutUnit(text)
	if own != "" && unit == "" {
		return "", "", fmt.Errorf("a number without a unit")
	}
	if body, err = decimal(body, orElse(own, unit)); err != nil {
		return "", "", err
	}
	if own != "" && own != unit {
		if body, err = converted(body, own, unit); err != nil {
			return "", "", err
		}
	}
	if body != text && body != strings.TrimPrefix(text, "+") {
		said = fmt.Sprintf("%s is read as %s", text, body)
		if unit != "" {
			said += " " + spoken(unit)
		}
	}
	return body, said, nil
}

func orElse(a, b string) string {
	if a == "" {
		return b
	}
	return a
}

// longest is how many characters a number may have.
const longest = 40

// decimal reads a number without a unit as JSON writes it.
func decimal(text, unit string) (string, error) {
	switch {
	case text == "" || len(text) > longest:
		return "", errors.New("a number")
	case strings.Contains(text, "/"):
		return fraction(text, unit)
	case strings.Count(text, ",")+strings.Count(text, ".") > 1:
		return "", errors.New("one decimal mark, and no marks between thousands")
	}
	text = strings.Replace(text, ",", ".", 1)
	sign, digits := "", strings.TrimPrefix(text, "+")
	if rest, minus := strings.CutPrefix(digits, "-"); minus {
		sign, digits = "-", rest
	}
	whole, part, point := strings.Cut(digits, ".")
	if whole+part == "" || strings.Trim(whole+part, "0123456789") != "" {
		return "", errors.New("a number")
	}
	if whole = strings.TrimLeft(whole, "0"); whole == "" {
		whole = "0"
	}
	if point && part != "" {
		part = "." + part
	}
	return sign + whole + part, nil
}

// fraction reads "5/64", "1 3/8" and "1-3/8" in inches: halves to 128ths, which are what rules and drills are marked in and have a decimal form.
func fraction(text, unit string) (string, error) {
	if unit != "in" {
		return "", errors.New("a decimal number: fractions are of an inch")
	}
	sign := ""
	if rest, minus := strings.CutPrefix(text, "-"); minus {
		sign, text = "-", rest
	}
	whole := "0"
	if at := strings.LastIndexAny(text, " -"); at >= 0 {
		whole, text = strings.TrimRight(text[:at], " -"), text[at+1:]
	}
	over, under, _ := strings.Cut(text, "/")
	n, err0 := strconv.ParseUint(whole, 10, 32)
	a, err1 := strconv.ParseUint(over, 10, 16)
	b, err2 := strconv.ParseUint(under, 10, 16)
	if err0 != nil || err1 != nil || err2 != nil || b < 2 || b > 128 || b&(b-1) != 0 || a >= b {
		return "", errors.New("a fraction of an inch such as 5/64 or 1 3/8, of halves to 128ths")
	}
	return sign + trimmed(big.NewRat(int64(n*b+a), int64(b)).FloatString(7)), nil
}

// trimmed is a decimal number without the zeros at its end.
func trimmed(s string) string {
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	return s
}

// words are how people write the units behind a number.
var words = []struct{ word, unit string }{
	{"thou", "thou"}, {"mil", "thou"}, {"µm", "um"}, {"μm", "um"}, {"um", "um"}, {"mm", "mm"}, {"in", "in"}, {`"`, "in"}, {"″", "in"}, {"m", "m"},
}

// cutUnit takes the unit off the end of a number.
func cutUnit(text string) (body, unit string) {
	for _, w := range words {
		if rest, ok := strings.CutSuffix(text, w.word); ok {
			return strings.TrimRight(rest, " \u00a0"), w.unit
		}
	}
	return text, ""
}

// conversionDigits are kept of a number that has no end in another unit: a millimetre in inches.
const conversionDigits = 10

// converted is a number in another unit.
func converted(number, from, to string) (string, error) {
	a, errA := tolerance.ParseUnit(from)
	b, errB := tolerance.ParseUnit(to)
	v, ok := new(big.Rat).SetString(number)
	if err := errors.Join(errA, errB); err != nil || !ok {
		return "", errors.New("a number with a unit: mm, µm, m, in or thou")
	}
	ratio := new(big.Rat).Quo(exact(a), exact(b))
	return trimmed(v.Mul(v, ratio).FloatString(conversionDigits)), nil
}

// exact is a unit in millimetres, exactly.
func exact(u tolerance.Unit) *big.Rat {
	v, _ := new(big.Rat).SetString(strconv.FormatFloat(u.Size().Millimetres(), 'g', -1, 64)) // 25.4, not the float next to it
	return v
}

// spoken is a unit as it is read.
func spoken(unit string) string {
	if unit == "um" {
		return "µm"
	}
	return unit
}

// repeats takes a reading apart into its repeats: apart by semicolons or spaces, where no fraction follows.
func repeats(typed string) []string {
	var out []string
	for _, piece := range strings.Split(typed, ";") {
		for _, word := range strings.Fields(piece) {
			behind := len(out) > 0 && (strings.Contains(word, "/") || slices.ContainsFunc(words, func(w struct{ word, unit string }) bool { return w.word == word }))
			if behind {
				out[len(out)-1] += " " + word
				continue
			}
			out = append(out, word)
		}
	}
	return out
}
