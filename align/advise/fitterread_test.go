package advise_test

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
)

// The literal fitter, first part: reading. A sheet's text becomes plain orders, in the words of the grammar of sheets and by nothing else: what cannot be read is a fault of the sheet.

// printed is a number as it stands on the paper: its value in mm or radians, and half of what its last digit stands for.
type printed struct{ v, half float64 }

// held is a joint that is set on two dials.
type held struct {
	joint, part    string
	travel         [2]printed
	at             [2]printed // towards 3 and 12 o'clock
	sum, sumAt     printed
	middle         bool // "in the middle both ways"
	turns          bool
	turned, radius printed // clockwise
	within         printed // right when the dials are within that
}

// markRow is one row of a table.
type markRow struct{ tail, nose, radius, is, off, finish, from, to printed }

// order is what one section of a sheet says.
type order struct {
	kind, place string
	over        []string // parts that are end for end
	bench       bool
	marksOf     string
	zero        string
	clockedAt   *printed

	part, behind     string
	face, datum      string
	amount, opposite printed // most that comes off, and what comes off opposite; or the one amount of the order
	at, oppositeAt   printed
	rise, across     printed
	parallel         bool
	strip            *stripUnder
	flat             bool
	circle           printed
	eye              string
	noseMost         *printed
	noseStrip        *printed
	rows             []markRow
	stop             *printed
	tir              printed
	inBox            printed
	gasket           string
	within           printed
	pins             []string
	holds            []*held
	pin              *printed
	turn             printed
	lies, stays      string // tapered gaskets of a part that is turned: by whose marks
	drilled          bool
	candidate        string
	stuck            bool    // what to do when it does not come
	again            printed // a travel that is that much short has it measured again
	opened, wall     *printed
}

type stripUnder struct{ size, at, from printed }

// promise is what a sheet says comes of it.
type promise struct {
	before, after string // verdicts
	margin        [2]printed
	given         bool // the margins
	cost          printed
	notWorth      bool
	line          string
	dial, still   bool // something to dial, or nothing that a dial could show
	bore          string
	error, errTIR printed
	errorAt       printed
	move, moveAt  printed
	reads         [3]printed // at 3, 6 and 9 o'clock
	tir           printed
	centre        printed
	ends          *[2]printed
	worse         int
}

// words of the grammar, as patterns.
var grammarWords = strings.NewReplacer(
	"AMOUNT", `(-?[0-9.]+ (?:mm|in|thou)(?: \(-?[0-9.]+ mm\))?)`,
	"SIGNED", `([-+]?[0-9.]+ (?:mm|in|thou)(?: \([-+]?[0-9.]+ mm\))?)`,
	"SIZE", `([0-9.]+ (?:mm|in|thou))`,
	"CLOCK", `((?:half past [0-9]+|[0-9]+ o'clock) \([0-9.]+°\))`,
	"DEGREES", `([0-9.]+°)`,
	"NAME", `(.+?)`,
)

// line is a form that an item may have, and what it says.
type line struct {
	form *regexp.Regexp
	says func(r *sheetReader, m []string)
}

func form(pattern string, says func(r *sheetReader, m []string)) line {
	return line{regexp.MustCompile("^" + grammarWords.Replace(pattern) + "$"), says}
}

// sheetReader reads a sheet section by section.
type sheetReader struct {
	orders  []*order
	o       *order
	promise promise
	faults  []string
}

func (r *sheetReader) fault(format string, args ...any) {
	r.faults = append(r.faults, fmt.Sprintf(format, args...))
}

// decimals of a dimension and of what is sold: trailing zeros are not printed.
func sizeDigits(unit string) int { return map[string]int{"mm": 3, "in": 4, "thou": 1}[unit] }

var unitOf = map[string]float64{"mm": 1, "in": 25.4, "thou": 0.0254}

// amount reads an amount with all its digits; in other units the millimetres beside it must say the same.
func (r *sheetReader) amount(s string) printed {
	f := strings.Fields(s)
	v, err := strconv.ParseFloat(f[0], 64)
	if err != nil {
		r.fault("no number in %q", s)
	}
	digits := 0
	if _, after, ok := strings.Cut(f[0], "."); ok {
		digits = len(after)
	} else if v == 0 {
		digits = sizeDigits(f[1]) + 1 // "0 mm": less than any digit
	}
	out := printed{v * unitOf[f[1]], 0.5 * math.Pow10(-digits) * unitOf[f[1]]}
	if len(f) == 4 {
		mm := r.amount(strings.Trim(f[2], "(") + " mm")
		if math.Abs(mm.v-out.v) > mm.half+out.half+1e-12 {
			r.fault("%q: the millimetres in brackets are another length", s)
		}
	} else if f[1] != "mm" && len(f) != 2 {
		r.fault("%q", s)
	}
	return out
}

// size reads a dimension, whose trailing zeros are not printed; finer by one digit where it is sold or made to size.
func (r *sheetReader) size(s string, finer int) printed {
	p := r.amount(s)
	unit := strings.Fields(s)[1]
	p.half = 0.5 * math.Pow10(-sizeDigits(unit)-finer) * unitOf[unit]
	return p
}

var clockForm = regexp.MustCompile(`^(half past ([0-9]+)|([0-9]+) o'clock) \(([0-9.]+)°\)$`)

// clock reads a direction; the hours must go with the degrees.
func (r *sheetReader) clock(s string) printed {
	m := clockForm.FindStringSubmatch(s)
	if m == nil {
		r.fault("%q is no clock position", s)
		return printed{}
	}
	deg, _ := strconv.ParseFloat(m[4], 64)
	hours, _ := strconv.ParseFloat(m[2]+m[3], 64)
	if m[2] != "" {
		hours += 0.5
	}
	if off := math.Abs(math.Remainder(deg-30*hours, 360)); off > 7.5+0.06 || deg >= 360 {
		r.fault("%q: the hours are not those degrees", s)
	}
	return printed{deg * math.Pi / 180, 0.05 * math.Pi / 180}
}

// names splits "peg and stud" or "left, right".
func names(s string) []string {
	return strings.FieldsFunc(strings.NewReplacer(" and ", "|", ", ", "|").Replace(s), func(c rune) bool { return c == '|' })
}

// read reads one item in any of the forms.
func (r *sheetReader) read(item string, forms ...[]line) {
	for _, list := range forms {
		for _, l := range list {
			if m := l.form.FindStringSubmatch(item); m != nil {
				l.says(r, m)
				return
			}
		}
	}
	r.fault("not in the grammar: %q", item)
}

var (
	headingForm = regexp.MustCompile(`^([0-9]+)\. (.+)$`)
	rowForm     = regexp.MustCompile(`^    [0-9]+  `)
	columnGap   = regexp.MustCompile(`  +`)
)

// heading begins the section of an order.
func (r *sheetReader) heading(n, words string) {
	if n != strconv.Itoa(len(r.orders)+1) {
		r.fault("order %s comes after %d orders", n, len(r.orders))
	}
	r.o = &order{kind: words}
	if _, ok := orderLines[words]; !ok {
		kind, place, _ := strings.Cut(words, " of ")
		r.o.kind, r.o.place = kind, place
	}
	if _, ok := orderLines[r.o.kind]; !ok {
		r.fault("%q is no kind of order", words)
	}
	r.orders = append(r.orders, r.o)
}

// row reads one row of a table.
func (r *sheetReader) row(head, text string) {
	h, c := columnGap.Split(strings.TrimSpace(head), -1), columnGap.Split(strings.TrimSpace(text), -1)
	if len(h) != len(c) || c[0] != strconv.Itoa(len(r.o.rows)+1) {
		r.fault("row %q under %q", text, head)
		return
	}
	var row markRow
	for i := range h {
		name, unit := h[i], ""
		if k := strings.LastIndex(name, " "); k > 0 && unitOf[name[k+1:]] > 0 {
			name, unit = name[:k], name[k+1:]
		}
		into := map[string]*printed{"is": &row.is, "take off": &row.off, "finish": &row.finish, "shim": &row.finish, "from": &row.from, "to": &row.to, "from centre": &row.radius}[name]
		switch {
		case name == "mark":
		case name == "from tail":
			row.tail = r.clock(c[i])
		case name == "from nose":
			row.nose = r.clock(c[i])
		case into != nil && unitOf[unit] > 0:
			*into = r.amount(c[i] + " " + unit)
		default:
			r.fault("column %q", h[i])
		}
	}
	if off := math.Abs(math.Remainder(row.tail.v+row.nose.v, 2*math.Pi)); off > 2.01*row.tail.half {
		r.fault("a mark is at %q and at %q", c[1], c[2])
	}
	r.o.rows = append(r.o.rows, row)
}

// readSheet reads a whole sheet in text; faults are what a fitter could not read or what contradicts itself.
func readSheet(text string) (orders []*order, p promise, faults []string) {
	r := &sheetReader{}
	section, item, head := "title", "", ""
	flush := func() {
		switch {
		case item == "":
		case section == "order":
			r.read(item, frameLines, orderLines[r.o.kind])
		case section == "promise":
			r.read(item, promiseLines)
		case section == "title":
			r.fault("%q before the first order", item)
		}
		item = ""
	}
	for n, text := range strings.Split(text, "\n") {
		switch {
		case strings.HasPrefix(text, "      |"): // a picture repeats what items say
			flush()
		case strings.HasPrefix(text, "  - "):
			flush()
			item = strings.TrimPrefix(text, "  - ")
		case strings.HasPrefix(text, "    mark  "):
			flush()
			head = text
		case head != "" && rowForm.MatchString(text) && section == "order":
			r.row(head, text)
		case strings.HasPrefix(text, "    ") && item != "":
			item += " " + strings.TrimSpace(text)
		case strings.TrimSpace(text) == "" || n < 2:
			flush()
			head = ""
		case text == "Before and after", text == "Cautions":
			flush()
			section = map[string]string{"Before and after": "promise", "Cautions": "cautions"}[text]
		default:
			flush()
			m := headingForm.FindStringSubmatch(text)
			if m == nil {
				r.fault("line %q", text)
				continue
			}
			section, head = "order", ""
			r.heading(m[1], m[2])
		}
	}
	flush()
	for _, o := range r.orders {
		if o.zero == "" {
			r.fault("%s: no frame and no zero", o.kind)
		}
		r.careful(o)
	}
	return r.orders, r.promise, r.faults
}
