package advise

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"text/tabwriter"
	"unicode"
	"unicode/utf8"

	"example.com/borestack/tolerance"
)

// sheet collects a printable sheet, as text or as Markdown, lengths in one unit.
type sheet struct {
	buf      bytes.Buffer
	markdown bool
	unit     tolerance.Unit
}

// columns is the width that text keeps to.
const columns = 98

func (p *sheet) title(s string) {
	if p.markdown {
		p.buf.WriteString("# " + clean(s) + "\n")
		return
	}
	p.buf.WriteString(clean(s) + "\n" + strings.Repeat("=", min(columns, utf8.RuneCountInString(clean(s)))) + "\n")
}

func (p *sheet) heading(format string, args ...any) {
	s := clean(fmt.Sprintf(format, args...))
	if p.markdown {
		p.buf.WriteString("\n## " + s + "\n\n")
		return
	}
	p.buf.WriteString("\n" + s + "\n")
}

// item writes one item of a list.
func (p *sheet) item(format string, args ...any) {
	s := clean(fmt.Sprintf(format, args...))
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
				cells = append(cells, strings.ReplaceAll(clean(c), "|", "\\|"))
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
			cells = append(cells, clean(c))
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

// clean makes a text of the user safe to print on one line.
func clean(s string) string {
	return strings.Map(func(r rune) rune {
		if !unicode.IsPrint(r) {
			return ' '
		}
		return r
	}, s)
}

// decimals resolve about a micrometre.
func (p *sheet) decimals() int {
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

// plain is a length without its unit: a micrometre resolved, and one figure more of what is smaller than ten.
func (p *sheet) plain(l tolerance.Length) string {
	v, n := l.In(p.unit), p.decimals()
	if math.Abs(v) < 9.5*math.Pow10(-n) {
		n++
	}
	if math.Abs(v) < 0.5*math.Pow10(-n) {
		return "0"
	}
	return strconv.FormatFloat(v, 'f', n, 64)
}

// fixed is a length without its unit to a micrometre, for columns.
func (p *sheet) fixed(l tolerance.Length) string {
	v := l.In(p.unit)
	if math.Abs(v) < 0.5*math.Pow10(-p.decimals()) {
		v = 0
	}
	return strconv.FormatFloat(v, 'f', p.decimals(), 64)
}

// size is a dimension with its unit, without trailing zeros.
func (p *sheet) size(l tolerance.Length) string {
	s := strconv.FormatFloat(l.In(p.unit), 'f', p.decimals(), 64)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	return s + " " + p.unit.String()
}

// length is a length with its unit, and in millimetres beside inches.
func (p *sheet) length(l tolerance.Length) string {
	s := p.plain(l) + " " + p.unit.String()
	if p.unit == tolerance.Inches || p.unit == tolerance.Thousandths {
		s += " (" + (&sheet{unit: tolerance.Millimetres}).length(l) + ")"
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
