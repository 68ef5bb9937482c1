package record

import (
	"cmp"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"example.com/borestack/align/internal/clock"
	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// table reads a spreadsheet's table by RFC 4180 in UTF-8, whose first line names its columns, and
// collects faults: their place is line and column, from 1, the column in bytes.
type table struct {
	columns   []column
	separator string // what stands between the names of the first line: "\t", ";" or ","
	decimal   string // "." or ","; empty until a number has shown which
	notes     []string
	faults    []lineFault
}

// lineFault is a fault and the line that it is in.
type lineFault struct {
	line int
	err  error
}

// column is one column of a table: what it holds, and the unit that its name gives, if any.
type column struct{ is, unit string }

// roles are what a column may hold; lengths those that hold lengths.
func roles() []string {
	return []string{"place", "part", "face", "reading", "station", "clock", "unit", "x", "y", "z", "radius"}
}

func lengths() []string { return []string{"reading", "x", "y", "z", "radius"} }

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

// add adds a fault of a cell, or, with an empty role, of what stands there.
func (t *table) add(line, column int, is, value string, class error, want string) {
	path := fmt.Sprintf("table: line %d, column %d", line, column)
	if is != "" {
		path += " (" + is + ")"
	}
	t.faults = append(t.faults, lineFault{line, fault.At(path, value, want, class)})
}

// cellFault is a fault in column k of a row.
func (t *table) cellFault(r *row, k int, class error, want string) {
	value := ""
	if r.cells[k] != "" {
		value = (&node{kind: isString, text: r.cells[k]}).show()
	}
	t.add(r.line, r.column[k], t.columns[k].is, value, class, want)
}

// rowFault is a fault of a whole row.
func (t *table) rowFault(r *row, value string, class error, want string) {
	t.add(r.line, 1, "", value, class, want)
}

// join is all faults, in the order of the table.
func (t *table) join() error {
	slices.SortStableFunc(t.faults, func(a, b lineFault) int { return a.line - b.line })
	var all faultList
	for _, f := range t.faults {
		all.add(f.err)
	}
	return all.join()
}

// head reads the first line: the separator is what stands between the names. It stops at the first fault.
func (t *table) head(text string) {
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
		is, unit := headerWord(name)
		wrong := func(is string, class error, want string) { t.add(1, at, is, strconv.Quote(name), class, want) }
		switch {
		case !slices.Contains(roles(), is):
			wrong("", fault.ErrUnknownName, "a column's name: "+wantOne(is, roles()))
		case is != "reading" && t.has(is):
			wrong(is, fault.ErrRepeated, "this column once")
		case slices.Contains(lengths(), is) && unit != "" && !slices.Contains(tolerance.Units(), unit):
			wrong(is, errUnknown, "a unit: "+wantOne(unit, tolerance.Units()))
		case is == "clock" && unit != "" && unit != "deg":
			wrong(is, errUnknown, "degrees")
		}
		if len(t.faults) > 0 {
			return
		}
		t.columns = append(t.columns, column{is, unit})
		at += len(label) + 1
	}
	if want := t.lacks(); want != "" {
		t.add(1, 1, "", "", fault.ErrMissing, want+" in the first line")
	}
}

// lacks says which columns are missing; empty for none.
func (t *table) lacks() string {
	x, y, z, radius := t.has("x"), t.has("y"), t.has("z"), t.has("radius")
	points := x || y || radius
	switch {
	case t.has("place") == t.has("part"):
		return `a column "place", or "part" and "face",`
	case !t.has("reading") && !points:
		return `a column "reading", or x, y and z of points`
	case x != y, x && radius, radius && !t.has("clock"), points != z:
		return "columns x, y and z of points, or radius, clock and z"
	}
	return ""
}

// headerWord splits "x [mm]", "x (mm)", "x mm" or "x_mm".
func headerWord(s string) (word, unit string) {
	s = strings.ToLower(s)
	at := strings.LastIndexAny(s, " _")
	if i := strings.IndexAny(s, "[("); i >= 0 && (strings.HasSuffix(s, "]") || strings.HasSuffix(s, ")")) {
		unit, _ = unitWord(s[i+1 : len(s)-1])
		return strings.Trim(s[:i], spaces), unit
	}
	if at > 0 {
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
		t.add(1+strings.Count(text[:at], "\n"), at-strings.LastIndexByte(text[:at], '\n'), "", "text that is not UTF-8", errNotNumber, "a table saved as UTF-8")
		return
	}
	in := csv.NewReader(strings.NewReader(text))
	in.Comma, in.FieldsPerRecord = rune(t.separator[0]), -1
	lines, counted := 0, 0 // lines that the rows so far have taken, and the bytes in which they were counted
	for rows := 0; ; rows++ {
		cells, err := in.Read()
		if err == io.EOF {
			if rows < 2 && len(t.faults) == 0 {
				t.add(lines+1, 1, "", "", fault.ErrMissing, "at least one row of numbers")
			}
			return
		}
		var p *csv.ParseError
		if errors.As(err, &p) {
			t.add(p.Line, p.Column, "", "a stray quote mark", errNotNumber, `quotes only round a whole cell: "1.5"; a quote mark is not a unit of inches`)
			return
		}
		q := row{cells: cells, column: make([]int, len(cells))}
		q.line, _ = in.FieldPos(0)
		for k := range cells {
			_, q.column[k] = in.FieldPos(k)
		}
		if q.line > lines+1 {
			t.add(lines+1, 1, "", "a blank line", fault.ErrMissing, "a row as the first line says, or no line")
		}
		end := int(in.InputOffset())
		lines += strings.Count(text[counted:end], "\n")
		counted = end
		switch {
		case rows == 0:
		case rows > most:
			t.rowFault(&q, fmt.Sprintf("row %d", rows), fault.ErrTooMany, fmt.Sprintf("at most %d rows", most))
			return
		case len(cells) != len(t.columns):
			want := fmt.Sprintf("%d, as in the first line", len(t.columns))
			if t.separator == "," && len(cells) > len(t.columns) {
				want += "; decimal commas or thousands separators need another separator, such as semicolons"
			}
			t.rowFault(&q, fmt.Sprintf("%d cells", len(cells)), fault.ErrConflict, want)
		default:
			do(&q)
		}
	}
}

// number reads the number in column k, or adds a fault. unit is that of the row, or else of the column;
// empty where neither says, and "deg" for a clock angle.
func (t *table) number(r *row, k int) (n Number, unit string, ok bool) {
	is, cell := t.columns[k].is, strings.Trim(r.cells[k], spaces)
	unit = t.columns[k].unit
	if i := t.at("unit"); i >= 0 {
		if u, _ := unitWord(r.cells[i]); slices.Contains(tolerance.Units(), u) { // else a fault of its own
			unit = u
		}
	}
	if is == "clock" {
		unit = "deg"
		if degrees, isTime, wrong := clock.Parse(cell); isTime && !wrong {
			return Num(degrees), unit, true
		} else if isTime {
			t.cellFault(r, k, errNotNumber, clockWanted)
			return n, unit, false
		}
	}
	n, want, class := parseCell(cell, t.mark(r, k, cell), unit)
	if class == nil {
		want, class = outside(is, unit, n.Value)
	}
	if class != nil {
		t.cellFault(r, k, class, want)
	}
	return n, unit, class == nil
}

// mark is the table's decimal mark. Where no comma parts the cells, the first number with a point or a
// comma shows it; a note says of a comma where it is.
func (t *table) mark(r *row, k int, cell string) string {
	if t.decimal == "" && strings.ContainsAny(cell, ".,") {
		t.decimal = "."
		if !strings.Contains(cell, ".") {
			t.decimal = ","
			t.notes = append(t.notes, fmt.Sprintf("line %d, column %d: %s is read as %s: decimal commas", r.line, r.column[k], cell, strings.Replace(cell, ",", ".", 1)))
		}
	}
	return cmp.Or(t.decimal, ".")
}

// outside is what is wrong with the number of a column by its size.
func outside(is, unit string, v float64) (want string, class error) {
	size := 0.0 // of the unit, in millimetres; 0: it is not known here
	if u, err := tolerance.ParseUnit(unit); err == nil && slices.Contains(lengths(), is) {
		size = float64(u.Size())
	}
	switch {
	case math.Abs(v)*size > maxLength:
		return "a size of at most 100 m", fault.ErrOutOfRange
	case is == "radius" && v < 0:
		return "0 or more", fault.ErrOutOfRange
	case is == "clock" && math.Abs(v) > 3600:
		return "an angle in degrees, at most ten turns", fault.ErrOutOfRange
	}
	return "", nil
}
