package batch

import (
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/table"
	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// partColumns are the columns of a table of parts that mean something; any other is a label.
var partColumns = []string{"part", "x", "y", "size", "clock", "lay"}

// ReadTable reads parts in the order of making from a table with a head line. Each part has its vector,
// as x and y in the unit (x towards 3 o'clock, y towards 12, seen from the tail) or as size and clock (in
// degrees from 12, or as 4:30), and may have its name as part and how it lay in the fixture as lay (the fixture's
// clock position of the part's 12 o'clock, degrees). Every other column is a label. Lines that begin with
// # are skipped, empty labels are none.
//
// Faults name the line, as written, and the column; all are told.
func ReadTable(r io.Reader, unit tolerance.Unit) ([]Piece, error) {
	t, err := table.Read(r)
	if err != nil {
		return nil, err
	}
	var vector []string
	for _, column := range partColumns[1:5] {
		if slices.Contains(t.Head, column) {
			vector = append(vector, column)
		}
	}
	polar := slices.Equal(vector, []string{"size", "clock"})
	if !polar && !slices.Equal(vector, []string{"x", "y"}) {
		return nil, fault.At("head line", strings.Join(t.Head, ","), "the columns x and y, or size and clock, and not both", fault.ErrMissing)
	}
	t.Degrees("clock")
	t.Degrees("lay")
	var out []Piece
	for _, row := range t.Rows {
		number := func(column string) tolerance.Length { return tolerance.Length(row.Number(column)) * unit.Size() }
		p := Piece{Name: row.Text("part"), Labels: map[string]string{}}
		if polar {
			size := number("size")
			if size < 0 {
				row.Wrong("size", "zero or more", fault.ErrOutOfRange)
			}
			if row.Text("clock") == "" {
				row.Wrong("clock", "degrees, or hours and minutes such as 4:30", fault.ErrMissing)
			}
			s, c := math.Sincos(float64(row.Angle("clock")))
			p.At = align.Vec2{X: size * tolerance.Length(s), Y: size * tolerance.Length(c)}
		} else {
			p.At = align.Vec2{X: number("x"), Y: number("y")}
		}
		if row.Text("lay") != "" {
			p.Lay = tolerance.Given(row.Angle("lay"))
		}
		for _, column := range t.Head {
			if text := row.Text(column); text != "" && !slices.Contains(partColumns, column) {
				p.Labels[column] = text
			}
		}
		out = append(out, p)
	}
	return out, t.Err()
}

// ReadStudy reads a gauge study from a table with the columns person, part and reading: one reading a line,
// in any order, those of one person and part in the order they were taken. Every fault is told, by its line.
func ReadStudy(r io.Reader) (GaugeStudy, error) {
	var g GaugeStudy
	t, err := table.Read(r, "person", "part", "reading")
	if err != nil {
		return g, err
	}
	index := func(names *[]string, name string) int {
		if !slices.Contains(*names, name) {
			*names = append(*names, name)
		}
		return slices.Index(*names, name)
	}
	var people, parts []string
	for _, row := range t.Rows {
		i, k := index(&people, row.Text("person")), index(&parts, row.Text("part"))
		for len(g.Readings) <= i {
			g.Readings = append(g.Readings, nil)
		}
		for len(g.Readings[i]) <= k {
			g.Readings[i] = append(g.Readings[i], nil)
		}
		g.Readings[i][k] = append(g.Readings[i][k], row.Number("reading"))
	}
	wrong := []error{t.Err()}
	for i, person := range people {
		for k, part := range parts {
			most, n := len(g.Readings[0][0]), 0
			if k < len(g.Readings[i]) {
				n = len(g.Readings[i][k])
			}
			if n != most {
				wrong = append(wrong, fault.At("person "+person+", part "+part, fmt.Sprintf("%d readings", n), fmt.Sprintf("%d, as %s of %s", most, people[0], parts[0]), fault.ErrMissing))
			}
		}
	}
	return g, errors.Join(wrong...)
}
