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

// table reads a spreadsheet's table by RFC 4180 in UTF-8, whose first line names its columns, and
// collects faults.
type table struct {
	columns   []column
	separator string // what stands between the names of the first line: "\t", ";" or ","
	decimal   string // "." or ","; empty until a number has shown which
	notes     []string
	faults    []*CellError
	more      int
	rows      int // rows of numbers so far
}

// column is one column of a table: what it holds, and the unit that its name gives, if any.
type column struct{ is, unit string }

// roles are what a column may hold.
func roles() []string {
	return []string{"place", "part", "face", "reading", "station", "clock", "unit", "x", "y", "z", "radius"}
}

// isLength reports whether a column holds lengths.
func (c *column) isLength() bool {
	return slices.Contains([]string{"reading", "x", "y", "z", "radius"}, c.is)
}

// at is the column of a role, -1 where there is none; has reports whether there is one.
func (t *table) at(is string) int {
	return slices.IndexFunc(t.columns, func(c column) bool { return c.is == is })
}

func (t *table) has(is string) bool { return t.at(is) >= 0 }

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
	value := ""
	if r.cells[k] != "" {
		value = (&node{kind: isString, text: r.cells[k]}).show()
	}
	t.add(&CellError{r.line, r.column[k], t.columns[k].is, value, want, class})
}

// rowFault is a fault of a whole row.
func (t *table) rowFault(r *row, value string, class error, want string) {
	t.add(&CellError{r.line, 1, "", value, want, class})
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

// head reads the first line: the separator is what stands between the names.
func (t *table) head(text string) error {
	first, _, _ := strings.Cut(text, "\n")
	first = strings.TrimSuffix(first, "\r")
	t.separator, t.decimal = ",", "." // where commas part the cells, none is a decimal mark
	for _, s := range []string{"\t", ";"} {
		if strings.Contains(first, s) {
			t.separator, t.decimal = s, ""
		}
	}
	at := 1
	for _, label := range strings.Split(first, t.separator) {
		name := strings.Trim(strings.Trim(label, spaces), `"`)
		wrong := func(is, want string, class error) error {
			return &CellError{1, at, is, strconv.Quote(name), want, class}
		}
		c := column{}
		c.is, c.unit = headerWord(name)
		switch {
		case !slices.Contains(roles(), c.is):
			return wrong("", "a column's name: "+wantOne(c.is, roles()), fault.ErrUnknownName)
		case c.is != "reading" && t.has(c.is):
			return wrong(c.is, "this column once", fault.ErrRepeated)
		case c.isLength() && c.unit != "" && !slices.Contains(tolerance.Units(), c.unit):
			return wrong(c.is, "a unit: "+wantOne(c.unit, tolerance.Units()), errUnknown)
		}
		t.columns = append(t.columns, c)
		at += len(label) + 1
	}
	missing := func(want string) error {
		return &CellError{1, 1, "", "", want + " in the first line", fault.ErrMissing}
	}
	flat, round := t.has("x") || t.has("y"), t.has("radius")
	switch {
	case t.has("place") == t.has("part"):
		return missing(`a column "place", or "part" and "face",`)
	case !t.has("reading") && !flat && !round:
		return missing(`a column "reading", or x, y and z of points`)
	case flat && round, flat && !(t.has("x") && t.has("y")), round && !t.has("clock"), (flat || round) != t.has("z"):
		return missing("columns x, y and z of points, or radius, clock and z")
	}
	return nil
}

// headerWord splits "x [mm]", "x (mm)", "x mm" or "x_mm".
func headerWord(s string) (word, unit string) {
	s = strings.ToLower(s)
	for _, pair := range []string{"[]", "()"} {
		if head, tail, ok := strings.Cut(s, pair[:1]); ok && strings.HasSuffix(tail, pair[1:]) {
			unit, _ = unitWord(tail[:len(tail)-1])
			return strings.Trim(head, spaces), unit
		}
	}
	if at := strings.LastIndexAny(s, " _"); at > 0 {
		if unit, known := unitWord(s[at+1:]); known {
			return strings.Trim(s[:at], spaces), unit
		}
	}
	return s, ""
}

// each calls do for every row after the first line that has as many cells as that. Text that is not
// a table ends it, with a fault.
func (t *table) each(text string, most int, do func(*row)) {
	if !utf8.ValidString(text) {
		at := strings.IndexFunc(text, func(r rune) bool { return r == utf8.RuneError })
		line := 1 + strings.Count(text[:at], "\n")
		t.add(&CellError{line, at - strings.LastIndexByte(text[:at], '\n'), "", "text that is not UTF-8", "a table saved as UTF-8", ErrNotNumber})
		return
	}
	in := csv.NewReader(strings.NewReader(text))
	in.Comma = rune(t.separator[0])
	in.FieldsPerRecord = -1
	lines, counted := 0, 0 // lines that the rows so far have taken, and the bytes in which they were counted
	for first := true; ; first = false {
		cells, err := in.Read()
		if err == io.EOF {
			break
		}
		var p *csv.ParseError
		if errors.As(err, &p) {
			t.add(&CellError{p.Line, p.Column, "", "a stray quote mark", `quotes only round a whole cell: "1.5"; a quote mark is not a unit of inches`, ErrNotNumber})
			return
		}
		q := row{cells: cells, column: make([]int, len(cells))}
		for k := range cells {
			line, at := in.FieldPos(k)
			if q.column[k] = at; k == 0 {
				q.line = line
			}
		}
		if q.line > lines+1 {
			t.add(&CellError{lines + 1, 1, "", "a blank line", "a row as the first line says, or no line", fault.ErrMissing})
		}
		end := int(in.InputOffset())
		lines += strings.Count(text[counted:end], "\n")
		counted = end
		if first {
			continue
		}
		if t.rows++; t.rows > most {
			t.rowFault(&q, fmt.Sprintf("row %d", t.rows), fault.ErrTooMany, fmt.Sprintf("at most %d rows", most))
			return
		}
		if len(cells) != len(t.columns) {
			want := fmt.Sprintf("%d, as in the first line", len(t.columns))
			if t.separator == "," && len(cells) > len(t.columns) {
				want += "; decimal commas or thousands separators need another separator, such as semicolons"
			}
			t.rowFault(&q, fmt.Sprintf("%d cells", len(cells)), fault.ErrConflict, want)
			continue
		}
		do(&q)
	}
	if t.rows == 0 && len(t.faults) == 0 {
		t.add(&CellError{lines + 1, 1, "", "", "at least one row of numbers", fault.ErrMissing})
	}
}

// number reads the number in column k, or adds a fault. Where no comma parts the cells, the first
// number with a point or a comma shows the table's decimal mark; a note says of a comma where it is.
func (t *table) number(r *row, k int) (Number, bool) {
	q, unit, decimal := &t.columns[k], r.unitOf(t, k), t.decimal
	cell := strings.Trim(r.cells[k], spaces)
	if decimal == "" && strings.ContainsAny(cell, ".,") {
		t.decimal = "."
		if !strings.Contains(cell, ".") {
			t.decimal = ","
			t.notes = append(t.notes, fmt.Sprintf("line %d, column %d: %s is read as %s: decimal commas", r.line, r.column[k], cell, strings.Replace(cell, ",", ".", 1)))
		}
	}
	if decimal = t.decimal; decimal == "" {
		decimal = "."
	}
	n, bad := parseCell(cell, decimal, unit)
	switch {
	case bad != nil:
		t.cellFault(r, k, bad.class, bad.want)
	case q.isLength() && unit != "" && math.Abs(n.Value)*sizeOf(unit) > maxLength:
		t.cellFault(r, k, fault.ErrOutOfRange, "a size of at most 100 m")
	case q.is == "radius" && n.Value < 0:
		t.cellFault(r, k, fault.ErrOutOfRange, "0 or more")
	case q.is == "clock" && math.Abs(n.Value) > 3600:
		t.cellFault(r, k, fault.ErrOutOfRange, "an angle in degrees, at most ten turns")
	default:
		return n, true
	}
	return n, false
}

// unitOf is the unit of the length in column k: that of the row, or else of the column; empty where
// neither says, and "deg" for a clock angle.
func (r *row) unitOf(t *table, k int) string {
	if t.columns[k].is == "clock" {
		return "deg"
	}
	if i := t.at("unit"); i >= 0 {
		if u, known := unitWord(r.cells[i]); known {
			return u
		}
	}
	return t.columns[k].unit
}

// sizeOf is the size of a unit in millimetres.
func sizeOf(unit string) float64 {
	u, err := tolerance.ParseUnit(unit)
	if err != nil {
		return 1
	}
	return float64(u.Size())
}

// text reads a whole table or record.
func text(r io.Reader, what string) (string, error) {
	raw, err := io.ReadAll(io.LimitReader(r, maxBytes+1))
	if err != nil {
		return "", fmt.Errorf("record: %w", err)
	}
	if len(raw) > maxBytes {
		return "", fmt.Errorf("record: longer than %d bytes: want one %s", maxBytes, what)
	}
	return string(bytes.TrimPrefix(raw, []byte("\ufeff"))), nil
}
