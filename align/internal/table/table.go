// Package table reads a table with a head line: columns by name in any order, lines that begin with # skipped,
// every fault told by its line and column. Commas part the columns, or semicolons or tabs where they do in the head
// line; then numbers may have decimal commas.
package table

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"example.com/borestack/align/internal/clock"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/fault"
	"example.com/borestack/internal/ieee"
	"example.com/borestack/tolerance"
)

// Table is a table as read. Its faults gather while its rows are understood.
type Table struct {
	Head  []string
	Rows  []Row
	comma bool // is a decimal mark
	wrong []error
}

// Row is one line.
type Row struct {
	table  *Table
	line   int
	fields []string
}

// byteOrderMark is what spreadsheets put before a table.
const byteOrderMark = "\ufeff"

// Read reads a table that has the columns named; it may have others. The error is of what cannot be read at
// all.
func Read(r io.Reader, needed ...string) (*Table, error) {
	text, err := io.ReadAll(r)
	if err != nil {
		return nil, err
	}
	text = bytes.TrimPrefix(text, []byte(byteOrderMark))
	in := csv.NewReader(bytes.NewReader(text))
	in.Comma, in.Comment, in.FieldsPerRecord = separator(text), '#', -1
	in.TrimLeadingSpace = in.Comma != '\t' // it takes tabs for spaces
	t := &Table{comma: in.Comma != ','}
	for {
		fields, err := in.Read()
		switch {
		case err == io.EOF:
			var missing error
			for _, column := range needed {
				if !slices.Contains(t.Head, column) {
					missing = errors.Join(missing, fault.At("head line", strings.Join(t.Head, ","), "the column "+column, fault.ErrMissing))
				}
			}
			return t, missing
		case err != nil:
			return nil, fault.At("table", err.Error(), "fields with commas, semicolons or tabs between them", fault.ErrSyntax)
		}
		for i := range fields {
			fields[i] = strings.TrimSpace(fields[i])
		}
		line, _ := in.FieldPos(0)
		switch {
		case t.Head == nil:
			t.Head = fields
			if len(fields) == 1 && strings.ContainsAny(fields[0], ";\t") {
				return nil, fault.At("head line", fmt.Sprintf("%q", fields[0]), "commas between columns, and points in numbers", fault.ErrSyntax)
			}
			for i, column := range fields {
				if slices.Contains(fields[:i], column) {
					return nil, fault.At("head line", fmt.Sprintf("%q", column), "each column once", fault.ErrRepeated)
				}
			}
		case len(fields) != len(t.Head):
			t.wrong = append(t.wrong, fault.At(fmt.Sprintf("line %d", line), fmt.Sprintf("%d fields", len(fields)), fmt.Sprintf("%d, as the head line%s", len(t.Head), spell.If(!t.comma, "; a number has a point, not a comma")), fault.ErrMissing))
		default:
			t.Rows = append(t.Rows, Row{t, line, fields})
		}
	}
}

// separator is what parts the names of the head line.
func separator(text []byte) rune {
	for line := range bytes.Lines(text) {
		if line = bytes.TrimSpace(line); len(line) > 0 && line[0] != '#' {
			if i := bytes.IndexAny(line, ",;\t"); i >= 0 {
				return rune(line[i])
			}
			break
		}
	}
	return ','
}

// Err is every fault that was found.
func (t *Table) Err() error { return errors.Join(t.wrong...) }

// Only notes every column that is none of these: a slip in a name would pass for a column that is left out.
func (t *Table) Only(columns ...string) {
	for _, name := range t.Head {
		if !slices.Contains(columns, name) {
			t.wrong = append(t.wrong, fault.At("head line", fmt.Sprintf("%q", name), "columns of "+strings.Join(columns, ", "), fault.ErrUnknownName))
		}
	}
}

// Text is the field of a column; empty where the table has no such column.
func (r Row) Text(column string) string {
	if i := slices.Index(r.table.Head, column); i >= 0 {
		return r.fields[i]
	}
	return ""
}

// Wrong notes that the field of a column is not what it has to be.
func (r Row) Wrong(column, want string, class error) {
	r.table.wrong = append(r.table.wrong, fault.At(fmt.Sprintf("line %d, %s", r.line, column), fmt.Sprintf("%q", r.Text(column)), want, class))
}

// Number is the number of a field, which a table that has the column has to give.
func (r Row) Number(column string) float64 {
	text := r.Text(column)
	if !slices.Contains(r.table.Head, column) {
		return 0
	}
	if r.table.comma && !strings.Contains(text, ".") {
		text = strings.Replace(text, ",", ".", 1)
	}
	v, err := strconv.ParseFloat(text, 64)
	if err != nil || !ieee.Finite(v) {
		want := "a number such as 0.012"
		if strings.Contains(text, ",") {
			want += ", with a point and not a comma"
		}
		r.Wrong(column, want, fault.ErrSyntax)
	}
	return v
}

// Maybe is the same of a field that may be empty: 0.
func (r Row) Maybe(column string) float64 {
	if r.Text(column) == "" {
		return 0
	}
	return r.Number(column)
}

// Length is the length of a field in the unit; empty is 0.
func (r Row) Length(column string, unit tolerance.Unit) tolerance.Length {
	return tolerance.Length(r.Maybe(column)) * unit.Size()
}

// Angle is the angle of a field: degrees, or a position of the clock's hand such as 4:30; empty is 0.
func (r Row) Angle(column string) tolerance.Angle {
	degrees, isTime, wrong := clock.Parse(r.Text(column))
	if !isTime {
		degrees = r.Maybe(column)
	}
	if wrong {
		r.Wrong(column, "degrees, or hours and minutes such as 4:30", fault.ErrSyntax)
	}
	return tolerance.Angle(degrees) * tolerance.Degree
}

// Degrees notes a column whose angles in degrees are all whole numbers up to 12, which are hours by a slip of
// the hand, at the first of them.
func (t *Table) Degrees(column string) {
	var first *Row
	for i := range t.Rows {
		if text := t.Rows[i].Text(column); text != "" && text != "0" && !strings.Contains(text, ":") {
			if h, err := strconv.ParseUint(text, 10, 64); err != nil || h > 12 {
				return
			}
			if first == nil {
				first = &t.Rows[i]
			}
		}
	}
	if first != nil {
		first.Wrong(column, "degrees, 90 for 3 o'clock, or hours and minutes such as 3:00", fault.ErrOutOfRange)
	}
}
