package record

import (
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"example.com/borestack/fault"
)

// ReadPoints reads a table of measured points: x, y and z in the table's unit, in the order of the rows, with the digits as written. A column in another unit is converted, exactly as far as float64 goes; so is a place given as radius and clock angle, to x = radius·sin θ, y = radius·cos θ.
//
// Every row is a point; nothing is left out. A number that could mean two things, a row with more or fewer cells, a blank line between rows, a header that contradicts the declaration, and a place that comes twice are refused. All faults come together, each a [*CellError] with line and column; faults of the declaration are [*fault.FieldError].
func ReadPoints(r io.Reader, c Columns) ([]Triple, error) {
	if err := c.check(pointTable); err != nil {
		return nil, err
	}
	t := table{Columns: c}
	var out []Triple
	seen := map[[2]float64]seenPoint{}
	err := t.each(r, maxPointRows, func(q *row) {
		if p, ok := t.point(q); ok {
			t.once(q, p, seen)
			out = append(out, p)
		}
	})
	if err != nil {
		return nil, err
	}
	if err := t.join(); err != nil {
		return nil, err
	}
	return out, nil
}

// seenPoint is the row that a place came in first.
type seenPoint struct {
	line   int
	height Number
}

// point reads one row.
func (t *table) point(q *row) (Triple, bool) {
	held, all := map[string]Number{}, true
	for k := range t.Order {
		col := &t.Order[k]
		if col.Is == "skip" {
			continue
		}
		n, ok := t.number(q, k)
		if all = all && ok; ok && col.isLength() {
			n = converted(n, t.unitOf(col), t.Unit)
		}
		held[col.Is] = n
	}
	if t.has("radius") {
		s, c := sincosDegrees(held["clock"].Value)
		if t.SeenFrom == "nose" {
			s = -s
		}
		held["x"], held["y"] = Num(held["radius"].Value*s+0), Num(held["radius"].Value*c+0) // + 0: no negative zero
	}
	return Triple{held["x"], held["y"], held["z"]}, all
}

// once refuses a place that an earlier row has already measured.
func (t *table) once(q *row, p Triple, seen map[[2]float64]seenPoint) {
	place := [2]float64{p[0].Value, p[1].Value} // as keys, 0 and -0 are equal
	before, again := seen[place]
	if !again {
		seen[place] = seenPoint{q.line, p[2]}
		return
	}
	class, gives := fault.ErrRepeated, "the same height"
	if before.height.Value != p[2].Value {
		class, gives = fault.ErrConflict, "the height "+before.height.Text
	}
	k := max(t.column("x"), t.column("radius"))
	t.add(&CellError{
		q.line, q.column[k], "", fmt.Sprintf("the place (%s, %s) with the height %s", p[0].Text, p[1].Text, p[2].Text),
		fmt.Sprintf("every place once: line %d gives it %s", before.line, gives), class,
	})
}

// sincosDegrees is the sine and cosine of an angle in degrees, exact at the quarters of a turn.
func sincosDegrees(deg float64) (sin, cos float64) {
	deg = math.Mod(deg, 360)
	quarter := math.Round(deg / 90)
	sin, cos = math.Sincos((deg - 90*quarter) * (math.Pi / 180))
	switch (int(quarter) + 4) % 4 {
	case 1:
		return cos, -sin
	case 2:
		return -sin, -cos
	case 3:
		return -cos, sin
	}
	return sin, cos
}

// WritePoints writes points, which are in the table's unit, as [ReadPoints] reads them. Numbers of x, y and z keep their digits, unless their column has another unit. Radius and clock angle are worked out, to 12 digits. Columns to skip are left empty.
func WritePoints(w io.Writer, points []Triple, c Columns) error {
	if err := c.check(pointTable); err != nil {
		return err
	}
	rows := newRows(&c)
	for i := range points {
		cells := make([]string, len(c.Order))
		for k := range c.Order {
			col := &c.Order[k]
			if col.Is == "skip" {
				continue
			}
			n := coordinate(&points[i], col.Is, c.SeenFrom == "nose")
			if col.isLength() {
				n = converted(n, c.Unit, c.unitOf(col))
			}
			s, err := c.cell(n, fmt.Sprintf("/%d", i))
			if err != nil {
				return err
			}
			cells[k] = s
		}
		rows = append(rows, cells)
	}
	return c.write(w, rows)
}

// coordinate is a point's number for a column.
func coordinate(p *Triple, is string, fromNose bool) Number {
	x, y := p[0].Value, p[1].Value
	switch is {
	case "x":
		return p[0]
	case "y":
		return p[1]
	case "radius":
		return rounded(math.Hypot(x, y))
	case "clock":
		if fromNose {
			x = -x
		}
		deg := math.Atan2(x, y) * (180 / math.Pi)
		if deg < 0 {
			deg += 360
		}
		return rounded(deg + 0)
	}
	return p[2]
}

// rounded is a number that was worked out, to 12 digits.
func rounded(v float64) Number {
	n, err := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 12, 64), 64)
	if err != nil {
		return Num(v)
	}
	return Num(n)
}

// newRows begins a table with its header, if it has one.
func newRows(c *Columns) [][]string {
	if !c.Header {
		return nil
	}
	var head []string
	for k := range c.Order {
		head = append(head, c.label(&c.Order[k]))
	}
	return [][]string{head}
}

// cell writes a number with the table's decimal mark. One with more digits than a cell holds is written by its value.
func (c *Columns) cell(n Number, path string) (string, error) {
	if len(n.Text) > maxCell {
		n = Num(n.Value)
	}
	n, err := usable(n, path)
	if err != nil {
		return "", err
	}
	return strings.Replace(n.Text, ".", c.Decimal, 1), nil
}

// write writes rows. An empty only cell is written as "", so that its line is not blank.
func (c *Columns) write(w io.Writer, rows [][]string) error {
	out := csv.NewWriter(w)
	out.Comma, out.UseCRLF = rune(c.Separator[0]), c.CRLF
	end := "\n"
	if c.CRLF {
		end = "\r\n"
	}
	for _, q := range rows {
		if len(q) == 1 && q[0] == "" {
			out.Flush()
			if _, err := io.WriteString(w, `""`+end); err != nil {
				return fmt.Errorf("record: %w", err)
			}
			continue
		}
		if err := out.Write(q); err != nil {
			return fmt.Errorf("record: %w", err)
		}
	}
	out.Flush()
	if err := out.Error(); err != nil {
		return fmt.Errorf("record: %w", err)
	}
	return nil
}
