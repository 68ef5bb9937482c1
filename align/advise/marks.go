package advise

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"text/tabwriter"
	"unicode/utf8"

	"example.com/borestack/align/internal/spell"
	"example.com/borestack/tolerance"
)

// sheet collects a printable sheet, as text or as Markdown, lengths in one unit.
type sheet struct {
	buf      bytes.Buffer
	markdown bool
	unit     tolerance.Unit
	division tolerance.Length // of the dials that the sheet speaks of
}

// columns is the width that text keeps to.
const columns = 98

func (p *sheet) title(s string) {
	if p.markdown {
		p.buf.WriteString("# " + spell.Clean(s) + "\n")
		return
	}
	p.buf.WriteString(spell.Clean(s) + "\n" + strings.Repeat("=", min(columns, utf8.RuneCountInString(spell.Clean(s)))) + "\n")
}

func (p *sheet) heading(format string, args ...any) {
	s := spell.Clean(fmt.Sprintf(format, args...))
	if p.markdown {
		p.buf.WriteString("\n## " + s + "\n\n")
		return
	}
	p.buf.WriteString("\n" + s + "\n")
}

// item writes one item of a list.
func (p *sheet) item(format string, args ...any) {
	s := spell.Clean(fmt.Sprintf(format, args...))
	if p.markdown {
		p.buf.WriteString("- " + s + "\n")
		return
	}
	p.wrap("  - ", "    ", s)
}

// wrap breaks a paragraph at the sheet's width.
func (p *sheet) wrap(first, rest, s string) {
	line := first
	empty := true
	for _, word := range strings.Fields(s) {
		if !empty && utf8.RuneCountInString(line)+1+utf8.RuneCountInString(word) > columns {
			p.buf.WriteString(line + "\n")
			line, empty = rest, true
		}
		if !empty {
			line += " "
		}
		line += word
		empty = false
	}
	p.buf.WriteString(line + "\n")
}

// table writes rows in columns; the first row is the heading.
func (p *sheet) table(rows [][]string) {
	if p.markdown {
		p.buf.WriteString("\n")
		for i, r := range rows {
			var cells []string
			for _, c := range r {
				cells = append(cells, strings.ReplaceAll(spell.Clean(c), "|", "\\|"))
			}
			p.buf.WriteString("| " + strings.Join(cells, " | ") + " |\n")
			if i == 0 {
				p.buf.WriteString("|" + strings.Repeat(" --- |", len(r)) + "\n")
			}
		}
		p.buf.WriteString("\n")
		return
	}
	var buf bytes.Buffer
	w := tabwriter.NewWriter(&buf, 0, 0, 2, ' ', 0)
	for _, r := range rows {
		var cells []string
		for _, c := range r {
			cells = append(cells, spell.Clean(c))
		}
		fmt.Fprintln(w, "    "+strings.Join(cells, "\t"))
	}
	w.Flush() // writing to memory does not fail
	for line := range strings.Lines(buf.String()) {
		p.buf.WriteString(strings.TrimRight(line, " \n") + "\n")
	}
}

func (p *sheet) writeTo(w io.Writer) error {
	_, err := w.Write(p.buf.Bytes())
	return err
}

// plain is a length without its unit: a micrometre resolved, and one figure more of what is smaller than ten.
func (p *sheet) plain(l tolerance.Length) string { return spell.Plain(l, p.unit) }

// fixed is a length without its unit to a micrometre, for columns.
func (p *sheet) fixed(l tolerance.Length) string {
	v := l.In(p.unit)
	if math.Abs(v) < 0.5*math.Pow10(-spell.Decimals(p.unit)) {
		v = 0
	}
	return strconv.FormatFloat(v, 'f', spell.Decimals(p.unit), 64)
}

// size is a dimension with its unit, without trailing zeros.
func (p *sheet) size(l tolerance.Length) string {
	return spell.Trimmed(l.In(p.unit), spell.Decimals(p.unit)) + " " + p.unit.String()
}

// length is a length with its unit, and in millimetres beside inches.
func (p *sheet) length(l tolerance.Length) string {
	s := p.plain(l) + " " + p.unit.String()
	if p.unit == tolerance.Inches || p.unit == tolerance.Thousandths {
		s += " (" + (&sheet{unit: tolerance.Millimetres}).length(l) + ")"
	}
	return s
}

// stock is a size as it is sold or made, with its unit: a tenth of a micrometre more than a deviation has.
func (p *sheet) stock(l tolerance.Length) string {
	return spell.Bare(l, p.unit) + " " + p.unit.String()
}

// most digits that a division of a dial is looked for in.
const divisionDigits = 5

// decimals are those of the dial's divisions in the sheet's unit, or what a good gauge resolves where they are not round in it.
func (p *sheet) decimals() int {
	size := p.division.In(p.unit)
	for n := range divisionDigits + 1 {
		if v := size * math.Pow10(n); v > 0.5 && math.Abs(v-math.Round(v)) < 1e-6 {
			return n
		}
	}
	return spell.Decimals(p.unit)
}

// read is a length as a dial shows it, with its unit.
func (p *sheet) read(l tolerance.Length) string { return p.onDial(l, "") }

// signed is the same with its sign.
func (p *sheet) signed(l tolerance.Length) string { return p.onDial(l, "+") }

// held is what a dial is to read: in its divisions, and finer only where no division could be had.
func (p *sheet) held(l tolerance.Length) string {
	const off = 1e-6 // of a division: rounding
	n := float64(l / p.division)
	if p.division > 0 && math.Abs(n-math.Round(n)) > off {
		return side(l > 0, "+", "") + p.length(l)
	}
	return p.signed(l)
}

func (p *sheet) onDial(l tolerance.Length, plus string) string {
	v := l.In(p.unit)
	n := p.decimals()
	s := strconv.FormatFloat(math.Abs(v), 'f', n, 64)
	switch {
	case strings.Trim(s, "0.") == "":
	case v < 0:
		s = "-" + s
	default:
		s = plus + s
	}
	s += " " + p.unit.String()
	if p.unit == tolerance.Inches || p.unit == tolerance.Thousandths {
		s += " (" + (&sheet{unit: tolerance.Millimetres, division: p.division}).onDial(l, plus) + ")"
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
