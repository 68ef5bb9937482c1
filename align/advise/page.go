package advise

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"example.com/borestack/align/internal/paper"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/tolerance"
)

// Page is a sheet to hand over, as data.
type Page struct{ page paper.Page }

// Text writes the page for a screen or a printer.
func (p *Page) Text(w io.Writer) error { return p.page.Text(w) }

// Markdown writes the page for a ticket.
func (p *Page) Markdown(w io.Writer) error { return p.page.Markdown(w) }

// sheet is a page that is being written, and spells its lengths in one unit.
type sheet struct {
	Page
	spell.Lengths
	division tolerance.Length // of the dials that the sheet speaks of
	within   tolerance.Length // of what they say: as amounts are held, and no finer than half a division or half of a last digit
}

// sheetOf begins a sheet of that kind on what has that title.
func sheetOf(kind, title string, unit tolerance.Unit) *sheet {
	if title != "" {
		kind += ": " + title
	}
	return &sheet{Page: Page{paper.Page{Title: kind}}, Lengths: spell.Lengths{Unit: unit}}
}

// heading begins a section.
func (p *sheet) heading(format string, args ...any) { p.page.Section("", fmt.Sprintf(format, args...)) }

// last is the section that was begun last.
func (p *sheet) last() *paper.Section { return p.page.Sections[len(p.page.Sections)-1] }

// item adds one item to the section's list.
func (p *sheet) item(format string, args ...any) { p.last().Item(format, args...) }

// table adds a table to the section.
func (p *sheet) table(columns ...[]paper.Column) *paper.Table {
	return p.last().Table(slices.Concat(columns...)...)
}

// cell is a length in a column, as it is spelled and in full.
func (p *sheet) cell(text string, l tolerance.Length) paper.Cell {
	return paper.Number(text, l.In(p.Unit), p.Unit.String())
}

// fixed is a length without its unit to a micrometre, for columns.
func (p *sheet) fixed(l tolerance.Length) string {
	v := l.In(p.Unit)
	if math.Abs(v) < 0.5*math.Pow10(-spell.Decimals(p.Unit)) {
		v = 0
	}
	return strconv.FormatFloat(v, 'f', spell.Decimals(p.Unit), 64)
}

// size is a dimension with its unit, without trailing zeros.
func (p *sheet) size(l tolerance.Length) string {
	return spell.Trimmed(l.In(p.Unit), spell.Decimals(p.Unit)) + " " + p.Unit.String()
}

// onDivision is the share of a division, or of a last digit, that a number may be off it by: rounding.
const onDivision = 1e-6

// most digits that a division of a dial is looked for in.
const divisionDigits = 5

// decimals are those of the dial's divisions in the sheet's unit, or what a good gauge resolves where they are not round in it.
func (p *sheet) decimals() int {
	size := p.division.In(p.Unit)
	for n := range divisionDigits + 1 {
		if v := size * math.Pow10(n); v > 0.5 && math.Abs(v-math.Round(v)) < onDivision {
			return n
		}
	}
	return spell.Decimals(p.Unit)
}

// read is a length as a dial shows it, with its unit.
func (p *sheet) read(l tolerance.Length) string { return p.onDial(l, "") }

// signed is the same with its sign.
func (p *sheet) signed(l tolerance.Length) string { return p.onDial(l, "+") }

// held is what a dial is to read: in its divisions, and finer only where no division could be had.
func (p *sheet) held(l tolerance.Length) string {
	n := float64(l / p.division)
	if p.division > 0 && math.Abs(n-math.Round(n)) > onDivision {
		return side(l > 0, "+", "") + p.Both(l)
	}
	return p.signed(l)
}

func (p *sheet) onDial(l tolerance.Length, plus string) string {
	v := l.In(p.Unit)
	n := p.decimals()
	s := strconv.FormatFloat(math.Abs(v), 'f', n, 64)
	switch {
	case strings.Trim(s, "0.") == "":
	case v < 0:
		s = "-" + s
	default:
		s = plus + s
	}
	s += " " + p.Unit.String()
	if p.Unit == tolerance.Inches || p.Unit == tolerance.Thousandths {
		s += " (" + (&sheet{Lengths: spell.Lengths{Unit: tolerance.Millimetres}, division: p.division}).onDial(l, plus) + ")"
	}
	return s
}

// clock says a direction: "half past 4 (135°)".
func clock(a tolerance.Angle) string { return a.Normalized().Hours() + " (" + degreesOf(a) + ")" }

// degreesOf is an angle to a tenth of a degree, from 0 up to 360.
func degreesOf(a tolerance.Angle) string {
	tenths := math.Mod(math.Round(a.Normalized().Degrees()*10), 3600)
	return strconv.FormatFloat(math.Abs(tenths)/10, 'f', -1, 64) + "°"
}
