package record

import (
	"cmp"
	"errors"
	"fmt"
	"math/big"
	"regexp"
	"strconv"
	"strings"

	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// Classes of faults in cells of a table, beside those of package fault.
var (
	errAmbiguous = errors.New("could mean two numbers")
	errNotNumber = errors.New("not a number")
)

// Bounds on a number in a cell.
const (
	maxCell     = 64 // bytes
	maxExponent = 99
)

// spaces are what a cell may have round its number.
const spaces = " \t"

// numberForm takes a number off the front of a cell: sign, digits before and after the point,
// exponent, and what follows.
var numberForm = regexp.MustCompile(`(?s)^([+-]?)(\d*)(?:\.(\d*))?((?:[eE][+-]?\d+)?)(.*)$`)

// notFinite is what a cell holds that says that it is no finite number.
var notFinite = regexp.MustCompile("^(?i:[+\u2212-]*(nan|inf|infinity|∞|#n/a|#num!|#div/0!|#value!))$")

// parseCell reads a number with the table's decimal mark, or returns the class of a fault and what
// would be right. Its text is the number as JSON writes it, with all digits kept: only a plus sign,
// leading zeros, and a point without digits before or after it are brought into that form.
func parseCell(cell, decimal, unit string) (n Number, want string, class error) {
	s := strings.Trim(cell, spaces)
	if want, class = strange(s, decimal); class != nil {
		return n, want, class
	}
	form := numberForm.FindStringSubmatch(strings.Replace(s, decimal, ".", 1))
	sign, whole, part, power, rest := strings.Trim(form[1], "+"), form[2], form[3], form[4], form[5]
	if whole+part == "" {
		return n, "a number", errNotNumber
	}
	if rest != "" {
		want, class = whyRest(rest, unit)
		return n, want, class
	}
	if e, err := strconv.Atoi(cmp.Or(strings.Trim(power, "eE"), "0")); err != nil || e > maxExponent || e < -maxExponent {
		return n, fmt.Sprintf("an exponent of at most %d", maxExponent), fault.ErrOutOfRange
	}
	n.Text = sign + cmp.Or(strings.TrimLeft(whole, "0"), "0")
	if part != "" {
		n.Text += "." + part
	}
	n.Text += power
	var err error
	if n.Value, err = strconv.ParseFloat(n.Text, 64); err != nil {
		return n, "a finite number", fault.ErrNotFinite
	}
	return n, "", nil
}

// strange is what is wrong with a cell that is not even to be read as a number.
func strange(s, decimal string) (want string, class error) {
	other := "."
	if decimal == other {
		other = ","
	}
	switch {
	case s == "":
		return "a number", fault.ErrMissing
	case len(s) > maxCell:
		return fmt.Sprintf("a number of at most %d characters", maxCell), fault.ErrOutOfRange
	case notFinite.MatchString(s):
		return "a finite number", fault.ErrNotFinite
	case strings.Contains(s, decimal) && strings.Contains(s, other), strings.Count(s, decimal) > 1:
		return fmt.Sprintf("one decimal mark %q and no thousands separators", decimal), errAmbiguous
	case strings.Contains(s, other):
		return fmt.Sprintf("%q if %q is meant as the decimal mark, %q if it parts thousands; the decimal mark of this table is %q",
			strings.Replace(s, other, decimal, 1), other, strings.ReplaceAll(s, other, ""), decimal), errAmbiguous
	case strings.HasPrefix(s, "\u2212"):
		return `a minus sign as on the keyboard, "-"`, errNotNumber
	}
	return "", nil
}

// whyRest says what is wrong with a cell that begins with a number and goes on with rest.
func whyRest(rest, unit string) (want string, class error) {
	tail := strings.TrimLeft(rest, " \u00a0\u2009\u202f'’_")
	if tail != rest && tail != "" && tail[0] >= '0' && tail[0] <= '9' {
		return "digits without gaps or thousands separators", errAmbiguous
	}
	switch word, known := unitWord(tail); {
	case !known || unit == "":
		return "a number alone", errNotNumber
	case word != unit:
		return fmt.Sprintf("a number in %s, alone: that is the unit here", unit), fault.ErrConflict
	}
	return fmt.Sprintf("the number alone: its unit, %s, stands elsewhere", unit), errNotNumber
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
