package record

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// table reads the rows of one table and collects faults.
type table struct {
	Columns
	faults []*CellError
	more   int
	rows   int // rows of numbers so far
}

// row is one row of a table, as read.
type row struct {
	cells  []string
	line   int
	column []int
}

func (t *table) add(e *CellError) {
	if len(t.faults) >= maxFaults {
		t.more++
		return
	}
	t.faults = append(t.faults, e)
}

// cellFault is a fault in column k of a row.
func (t *table) cellFault(r *row, k int, class error, want string) {
	t.add(&CellError{r.line, r.column[k], t.Order[k].Is, quoted(r.cells[k]), want, class})
}

// rowFault is a fault of a whole row.
func (t *table) rowFault(r *row, value string, class error, want string) {
	t.add(&CellError{r.line, 1, "", value, want, class})
}

// quoted shows a cell, shortened; nothing for an empty one.
func quoted(s string) string {
	if s == "" {
		return ""
	}
	n := node{kind: isString, text: s}
	return n.show()
}

// join is all faults, in the order of the table.
func (t *table) join() error {
	slices.SortStableFunc(t.faults, func(a, b *CellError) int { return a.Line - b.Line })
	var out []error
	for _, f := range t.faults {
		out = append(out, f)
	}
	if t.more > 0 {
		out = append(out, fmt.Errorf("record: and %d more faults", t.more))
	}
	return errors.Join(out...)
}

// each calls do for every row of numbers, which has as many cells as declared. Text that is not a table ends it, with a fault; an error is one of r alone.
func (t *table) each(r io.Reader, most int, do func(*row)) error {
	raw, err := io.ReadAll(io.LimitReader(r, maxBytes+1))
	if err != nil {
		return fmt.Errorf("record: %w", err)
	}
	if len(raw) > maxBytes {
		return fmt.Errorf("record: longer than %d bytes: want one table", maxBytes)
	}
	raw = bytes.TrimPrefix(raw, []byte("\ufeff"))
	if !utf8.Valid(raw) {
		t.notText(raw)
		return nil
	}
	in := csv.NewReader(bytes.NewReader(raw))
	in.Comma = rune(t.Separator[0])
	in.FieldsPerRecord = -1
	lines, counted := 0, 0 // lines that the rows so far have taken, and the bytes in which they were counted
	header := t.Header
	for {
		cells, err := in.Read()
		if err == io.EOF {
			break
		}
		if err != nil {
			t.notTable(err)
			return nil
		}
		q := row{cells: cells, column: make([]int, len(cells))}
		for k := range cells {
			line, column := in.FieldPos(k)
			if q.column[k] = column; k == 0 {
				q.line = line
			}
		}
		if q.line > lines+1 {
			t.blank(lines + 1)
		}
		end := int(in.InputOffset())
		lines += bytes.Count(raw[counted:end], []byte("\n"))
		counted = end
		names := header
		header = false
		switch {
		case len(cells) != len(t.Order):
			t.miscounted(&q)
			continue
		case names:
			t.header(&q)
			continue
		}
		if t.rows++; t.rows > most {
			t.rowFault(&q, fmt.Sprintf("row %d", t.rows), fault.ErrTooMany, fmt.Sprintf("at most %d rows", most))
			return nil
		}
		do(&q)
	}
	if len(t.Order) == 1 && bytes.Count(raw[counted:], []byte("\n")) > 0 {
		t.blank(lines + 1)
	}
	if t.rows == 0 && len(t.faults) == 0 {
		t.add(&CellError{lines + 1, 1, "", "", "at least one row of numbers", fault.ErrMissing})
	}
	return nil
}

// blank is a line without anything, which may stand for a station that nobody wrote down.
func (t *table) blank(line int) {
	want := "a row of " + t.words() + ", or no line"
	if len(t.Order) == 1 {
		want += `; "" for a station that could not be reached`
	}
	t.add(&CellError{line, 1, "", "a blank line", want, fault.ErrMissing})
}

func (t *table) notText(raw []byte) {
	at := 0
	for at < len(raw) {
		r, n := utf8.DecodeRune(raw[at:])
		if r == utf8.RuneError && n == 1 {
			break
		}
		at += n
	}
	line := 1 + bytes.Count(raw[:at], []byte("\n"))
	t.add(&CellError{line, at - bytes.LastIndexByte(raw[:at], '\n'), "", "text that is not UTF-8", "a table saved as UTF-8", ErrNotNumber})
}

func (t *table) notTable(err error) {
	var p *csv.ParseError
	if !errors.As(err, &p) {
		t.add(&CellError{1, 1, "", "", err.Error(), ErrNotNumber})
		return
	}
	want := `quotes only round a whole cell: "1.5"; a quote mark is not a unit of inches`
	t.add(&CellError{p.Line, p.Column, "", "a stray quote mark", want, ErrNotNumber})
}

// miscounted is a row of too few or too many cells.
func (t *table) miscounted(r *row) {
	want := fmt.Sprintf("%d: %s", len(t.Order), t.words())
	whole := strings.Join(r.cells, t.Separator)
	switch {
	case len(r.cells) == 1 && t.Separator != ";" && strings.Contains(whole, ";"):
		want += `; is the separator ";"?`
	case len(r.cells) == 1 && t.Separator != "\t" && strings.Contains(whole, "\t"):
		want += `; is the separator a tab?`
	case len(r.cells) == 1 && t.Separator != "," && strings.Contains(whole, ","):
		want += `; is the separator ","?`
	case len(r.cells) > len(t.Order) && t.Separator == ",":
		want += "; decimal commas or thousands separators need another separator"
	}
	t.rowFault(r, fmt.Sprintf("%d cells", len(r.cells)), fault.ErrConflict, want)
}

// header holds the first line against the declaration.
func (t *table) header(r *row) {
	for k := range t.Order {
		q, got := &t.Order[k], strings.Trim(r.cells[k], spaces)
		want := strconv.Quote(t.label(q))
		if got == t.label(q) || (q.Is == "skip" && q.Label == "") {
			continue
		}
		if q.Label != "" {
			t.cellFault(r, k, fault.ErrConflict, want)
			continue
		}
		word, unit, hasUnit := headerWord(got)
		known := slices.Contains(append(pointTable.roles(), readingTable.roles()...), word)
		declared := t.unitOf(q)
		if !q.isLength() {
			declared = ""
			if q.Is == "clock" {
				declared = "deg"
			}
		}
		switch {
		case word == q.Is && (!hasUnit || unit == declared):
		case word == q.Is:
			t.cellFault(r, k, fault.ErrConflict, want+": another unit is declared")
		case known:
			t.cellFault(r, k, fault.ErrConflict, want+": the columns are declared as "+t.words())
		default:
			if _, bad := parseCell(got, t.Decimal, ""); bad == nil {
				want += ": a header is declared, and this is a number"
			} else {
				want += ", or the column's label in the declaration"
			}
			t.cellFault(r, k, fault.ErrUnknownName, want)
		}
	}
}

// headerWord splits "x [mm]", "x (mm)", "x mm" or "x_mm".
func headerWord(s string) (word, unit string, hasUnit bool) {
	s = strings.ToLower(s)
	for _, pair := range []string{"[]", "()"} {
		if head, tail, ok := strings.Cut(s, pair[:1]); ok && strings.HasSuffix(tail, pair[1:]) {
			unit, _ = unitWord(tail[:len(tail)-1])
			return strings.Trim(head, spaces), unit, true
		}
	}
	if at := strings.LastIndexAny(s, " _"); at > 0 {
		if unit, known := unitWord(s[at+1:]); known {
			return strings.Trim(s[:at], spaces), unit, true
		}
	}
	return s, "", false
}

// number reads the number in column k, or adds a fault.
func (t *table) number(r *row, k int) (Number, bool) {
	q, unit := &t.Order[k], ""
	switch {
	case q.isLength():
		unit = t.unitOf(q)
	case q.Is == "clock":
		unit = "deg"
	}
	n, bad := parseCell(r.cells[k], t.Decimal, unit)
	if bad != nil {
		if bad.class == ErrNotNumber && t.rows == 1 && !t.Header {
			bad.want += "; if this line names the columns, declare a header"
		}
		t.cellFault(r, k, bad.class, bad.want)
		return n, false
	}
	switch {
	case q.isLength() && math.Abs(n.Value)*float64(size(unit)) > maxLength:
		t.cellFault(r, k, fault.ErrOutOfRange, "a size of at most 100 m")
	case q.Is == "radius" && n.Value < 0:
		t.cellFault(r, k, fault.ErrOutOfRange, "0 or more")
	case q.Is == "clock" && math.Abs(n.Value) > 3600:
		t.cellFault(r, k, fault.ErrOutOfRange, "an angle in degrees, at most ten turns")
	default:
		return n, true
	}
	return n, false
}

// count reads the whole number in column k, or adds a fault.
func (t *table) count(r *row, k int) (int, bool) {
	s := strings.Trim(r.cells[k], spaces)
	n, ok := index(s)
	if !ok || n == 0 {
		t.cellFault(r, k, ErrNotNumber, "a whole number from 1")
		return 0, false
	}
	return n, true
}

// size is a known unit's length.
func size(unit string) tolerance.Length {
	u, err := tolerance.ParseUnit(unit)
	if err != nil {
		return tolerance.Millimetre
	}
	return u.Size()
}
