package chance

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// pictureWide is the width of the pictures: what a telephone shows at full size.
const pictureWide = 360

// picture collects the elements of one picture.
type picture struct{ strings.Builder }

// begin starts a picture with its title and its description, for those who do not see it.
func begin(id, title, description string, wide, high float64) *picture {
	p := &picture{}
	fmt.Fprintf(p, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %g %g" role="img" aria-labelledby="%s-t %[3]s-d"><title id="%[3]s-t">%s</title><desc id="%[3]s-d">%s</desc>`, wide, high, id, title, description)
	return p
}

// text writes a text of a class at a place; anchor says which end of it is there.
func (p *picture) text(class string, x, y float64, anchor, s string) {
	fmt.Fprintf(p, `<text class="%s" x="%.1f" y="%.1f" text-anchor="%s">%s</text>`, class, x, y, anchor, s)
}

func (p *picture) line(class string, x0, y0, x1, y1 float64) {
	fmt.Fprintf(p, `<path class="%s" d="M%.2f %.2fL%.2f %.2f"/>`, class, x0, y0, x1, y1)
}

func (p *picture) bar(class string, x0, x1, y, high float64) {
	fmt.Fprintf(p, `<rect class="%s" x="%.2f" y="%.2f" width="%.2f" height="%.2f"/>`, class, x0, y, max(x1-x0, 0), high)
}

func (p *picture) dot(class string, x, y, r float64) {
	fmt.Fprintf(p, `<circle class="%s" cx="%.1f" cy="%.1f" r="%g"/>`, class, x, y, r)
}

// done ends the picture.
func (p *picture) done() string {
	p.WriteString("</svg>")
	return p.String()
}

// within refuses a number outside its range, and what is none.
func within(name string, v, low, high float64) error {
	const slack = 1e-9 // numbers go to and fro through degrees and sliders
	if !(v >= low-slack && v <= high+slack) {
		return &fault.FieldError{Path: "/" + name, Value: fmt.Sprint(v), Want: fmt.Sprintf("%g to %g", low, high), Err: fault.ErrOutOfRange}
	}
	return nil
}

// percent prints a share in percent.
func percent(share float64, digits int) string {
	return strconv.FormatFloat(100*share, 'f', digits, 64) + " %"
}

// whole prints a count with commas.
func whole(n int) string {
	s := strconv.Itoa(n)
	for i := len(s) - 3; i > 0; i -= 3 {
		s = s[:i] + "," + s[i:]
	}
	return s
}

// linear returns the scale that puts from and to at two places.
func linear(from, to, at0, at1 float64) func(float64) float64 {
	return func(v float64) float64 { return at0 + (v-from)/(to-from)*(at1-at0) }
}

// logarithmic is the same for equal ratios.
func logarithmic(from, to, at0, at1 float64) func(float64) float64 {
	scale := linear(math.Log(from), math.Log(to), at0, at1)
	return func(v float64) float64 { return scale(math.Log(v)) }
}

// number prints a length without its unit.
func number(mm float64, digits int, unit tolerance.Unit) string {
	s := strconv.FormatFloat(tolerance.Length(mm).In(unit), 'f', digits, 64)
	if strings.Trim(s, "-0.") == "" {
		s = strings.TrimPrefix(s, "-")
	}
	return strings.Replace(s, "-", "−", 1)
}

// digits are how many a length is told with, as the rest of the lesson tells it.
func digits(unit tolerance.Unit) int {
	if unit == tolerance.Inches {
		return 4
	}
	return 3
}
