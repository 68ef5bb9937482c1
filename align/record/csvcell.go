package record

import (
	"cmp"
	"errors"
	"fmt"
	"math/big"
	"strconv"
	"strings"

	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// Classes of faults in cells of a table, for errors.Is, beside those of package align.
var (
	ErrAmbiguous = errors.New("could mean two numbers")
	ErrNotNumber = errors.New("not a number")
)

// CellError is one fault in a table: where it is, what was found, and what would be right. The zero
// value is not a meaningful error.
type CellError struct {
	Line, Column int    // from 1; Column counts bytes
	Is           string // what the column holds; empty for a whole row
	Value        string // what was found, quoted; empty when something is missing
	Want         string // what would be right
	Err          error  // the class of the fault
}

// Error says place, value and what would be right, on one line.
func (e *CellError) Error() string {
	var b strings.Builder
	fmt.Fprintf(&b, "record: line %d, column %d", e.Line, e.Column)
	if e.Is != "" {
		b.WriteString(" (" + e.Is + ")")
	}
	if e.Value != "" {
		b.WriteString(": " + e.Value)
	}
	b.WriteString(": " + e.Err.Error() + ": want " + e.Want)
	return b.String()
}

// Unwrap returns the class of the fault.
func (e *CellError) Unwrap() error { return e.Err }

// Bounds on a number in a cell.
const (
	maxCell     = 64 // bytes
	maxExponent = 99
)

// spaces are what a cell may have round its number.
const spaces = " \t"

// badNumber is why a cell is not a number, before its place is known.
type badNumber struct {
	class error
	want  string
}

// parseCell reads a number with the table's decimal mark. Its text is the number as JSON writes it,
// with all digits kept: only a plus sign, leading zeros, and a point without digits before or after it
// are brought into that form.
func parseCell(cell, decimal, unit string) (Number, *badNumber) {
	s := strings.Trim(cell, spaces)
	other := "."
	if decimal == other {
		other = ","
	}
	switch {
	case s == "":
		return Number{}, &badNumber{fault.ErrMissing, "a number"}
	case len(s) > maxCell:
		return Number{}, &badNumber{fault.ErrOutOfRange, fmt.Sprintf("a number of at most %d characters", maxCell)}
	case notFinite(s):
		return Number{}, &badNumber{fault.ErrNotFinite, "a finite number"}
	case strings.Contains(s, decimal) && strings.Contains(s, other), strings.Count(s, decimal) > 1:
		return Number{}, &badNumber{ErrAmbiguous, fmt.Sprintf("one decimal mark %q and no thousands separators", decimal)}
	case strings.Contains(s, other):
		return Number{}, &badNumber{ErrAmbiguous, fmt.Sprintf("%q if %q is meant as the decimal mark, %q if it parts thousands; the decimal mark of this table is %q",
			strings.Replace(s, other, decimal, 1), other, strings.ReplaceAll(s, other, ""), decimal)}
	case strings.HasPrefix(s, "\u2212"):
		return Number{}, &badNumber{ErrNotNumber, `a minus sign as on the keyboard, "-"`}
	}
	text, rest := jsonNumber(s, decimal)
	if rest != "" || text == "" {
		return Number{}, whyRest(text, rest, unit)
	}
	if at := strings.IndexAny(text, "eE"); at >= 0 {
		if e, err := strconv.Atoi(text[at+1:]); err != nil || e > maxExponent || e < -maxExponent {
			return Number{}, &badNumber{fault.ErrOutOfRange, fmt.Sprintf("an exponent of at most %d", maxExponent)}
		}
	}
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		return Number{}, &badNumber{fault.ErrNotFinite, "a finite number"}
	}
	return Number{text, v}, nil
}

// notFinite reports whether a cell says that it is no finite number.
func notFinite(s string) bool {
	switch strings.ToLower(strings.TrimLeft(s, "+-\u2212")) {
	case "nan", "inf", "infinity", "∞", "#n/a", "#num!", "#div/0!", "#value!":
		return true
	}
	return false
}

// jsonNumber takes a number off the front of s and returns it as JSON writes it; text is empty when
// there is none.
func jsonNumber(s, decimal string) (text, rest string) {
	rest = s
	take := func(set string, most int) string { // what stands in front of characters of a set
		n := min(most, len(rest)-len(strings.TrimLeft(rest, set)))
		out := rest[:n]
		rest = rest[n:]
		return out
	}
	const digits, signs = "0123456789", "+-"
	sign, whole, part := strings.TrimPrefix(take(signs, 1), "+"), take(digits, len(s)), ""
	if take(decimal, 1) != "" {
		part = take(digits, len(s))
	}
	if whole == "" && part == "" {
		return "", s
	}
	text = sign + cmp.Or(strings.TrimLeft(whole, "0"), "0")
	if part != "" {
		text += "." + part
	}
	before := rest
	if mark := take("eE", 1); mark != "" {
		power := take(signs, 1)
		if count := take(digits, len(s)); count != "" {
			return text + mark + power + count, rest
		}
	}
	return text, before
}

// whyRest says what is wrong with a cell that begins with a number, or does not, and goes on with rest.
func whyRest(number, rest, unit string) *badNumber {
	if number == "" {
		return &badNumber{ErrNotNumber, "a number"}
	}
	tail := strings.TrimLeft(rest, " \u00a0\u2009\u202f'’_")
	if tail != rest && tail != "" && tail[0] >= '0' && tail[0] <= '9' {
		return &badNumber{ErrAmbiguous, "digits without gaps or thousands separators"}
	}
	if word, known := unitWord(tail); known && unit != "" {
		if word != unit {
			return &badNumber{fault.ErrConflict, fmt.Sprintf("a number in %s, alone: that is the unit here", unit)}
		}
		return &badNumber{ErrNotNumber, fmt.Sprintf("the number alone: its unit, %s, stands elsewhere", unit)}
	}
	return &badNumber{ErrNotNumber, "a number alone"}
}

// unitWord is the symbol of a unit as people write it, and whether it is known.
func unitWord(s string) (string, bool) {
	s = strings.ToLower(strings.TrimSuffix(strings.Trim(s, spaces), "."))
	switch s {
	case "inch", "inches", `"`, "″":
		return "in", true
	case "mil", "mils", "thous":
		return "thou", true
	case "micron", "microns":
		return "um", true
	case "deg", "degree", "degrees", "°":
		return "deg", true
	}
	if u, err := tolerance.ParseUnit(s); err == nil {
		return u.String(), true
	}
	return s, false
}

// converted is a number of a table in another unit: its own text when the units are the same,
// otherwise the float64 nearest its exact value. An inch is 25.4 mm.
func converted(n Number, from, to string) Number {
	v, ok := new(big.Rat).SetString(n.Text)
	if from == to || !ok {
		return n
	}
	exact := map[string]*big.Rat{"um": big.NewRat(1, 1000), "mm": big.NewRat(1, 1), "m": big.NewRat(1000, 1), "in": big.NewRat(254, 10), "thou": big.NewRat(254, 10000)}
	f, _ := v.Mul(v, exact[from].Quo(exact[from], exact[to])).Float64()
	return Num(f)
}
