package record

import (
	"fmt"
	"io"
	"strconv"

	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// WriteReadings writes a block's readings as [ReadReadings] reads them. Numbers keep their digits, unless the table has another unit than the block; the block must name its unit. Equal steps are written out where the table has clock angles. A block whose stations, repeats or closing reading the table has no place for is refused, so that nothing is lost; what a block says of uncertainty is no part of a table.
func WriteReadings(w io.Writer, r Readings, c Columns) error {
	if err := c.check(readingTable); err != nil {
		return err
	}
	if err := c.holds(&r); err != nil {
		return err
	}
	unit := c.unitOf(&c.Order[c.column("reading")])
	rows := newRows(&c)
	add := func(path string, clock Number, station, repeat int, values []Number) error {
		cells := make([]string, len(c.Order))
		left := values
		for k := range c.Order {
			var n Number
			switch c.Order[k].Is {
			case "clock":
				n = clock
			case "station":
				cells[k] = strconv.Itoa(station)
				continue
			case "repeat":
				cells[k] = strconv.Itoa(repeat)
				continue
			case "reading":
				if len(left) == 0 {
					continue
				}
				n, left = converted(left[0], r.Unit, unit), left[1:]
			default:
				continue
			}
			s, err := c.cell(n, path)
			if err != nil {
				return err
			}
			cells[k] = s
		}
		rows = append(rows, cells)
		return nil
	}
	for i, v := range r.Readings {
		path := "/readings/" + strconv.Itoa(i)
		if !c.has("repeat") || len(v.Repeats) == 0 {
			if err := add(path, r.clock(i), i+1, 1, v.Repeats); err != nil {
				return err
			}
			continue
		}
		for k := range v.Repeats {
			if err := add(path, r.clock(i), i+1, k+1, v.Repeats[k:k+1]); err != nil {
				return err
			}
		}
	}
	if r.Closing != nil {
		if err := add("/closing", r.clock(0), 1, 1, []Number{*r.Closing}); err != nil {
			return err
		}
	}
	return c.write(w, rows)
}

// clock is a station's angle in degrees.
func (r *Readings) clock(i int) Number {
	switch {
	case r.At != nil:
		return r.At[i]
	case i == 0 && r.First != nil:
		return *r.First
	}
	return rounded(r.First.or(0) + float64(i)*360/float64(len(r.Readings)))
}

// holds refuses readings that a table of these columns cannot hold whole.
func (c *Columns) holds(r *Readings) error {
	wrong := func(path, value string, class error, want string) error {
		return &fault.FieldError{Path: path, Value: value, Want: want, Err: class}
	}
	if _, err := tolerance.ParseUnit(r.Unit); err != nil {
		if r.Unit == "" {
			return wrong("/unit", "", fault.ErrMissing, "the unit of the readings: mm, um, m, in or thou")
		}
		return wrong("/unit", strconv.Quote(r.Unit), errUnknown, wantOne(r.Unit, tolerance.Units()))
	}
	from := func(s string) string {
		if s == "" {
			return "tail"
		}
		return s
	}
	if from(r.SeenFrom) != from(c.SeenFrom) {
		return wrong("/seen_from", strconv.Quote(from(r.SeenFrom)), fault.ErrConflict, strconv.Quote(from(c.SeenFrom))+", as the table is declared")
	}
	switch columns := c.readingColumns(); {
	case len(r.Readings) == 0:
		return wrong("/readings", "", fault.ErrMissing, "at least one station")
	case r.At != nil && len(r.At) != len(r.Readings):
		return wrong("/at", fmt.Sprintf("a list of %d", len(r.At)), fault.ErrConflict, fmt.Sprintf("as many angles as readings: %d", len(r.Readings)))
	case (r.At != nil || r.First.or(0) != 0) && !c.has("clock"):
		return wrong("/order", c.words(), fault.ErrMissing, "a column clock: the stations are not equal steps from 12 o'clock")
	case (r.Closing != nil) != c.Closing:
		return wrong("/closing", fmt.Sprint(r.Closing != nil), fault.ErrConflict, "a closing reading in both the block and the table, or in neither")
	case !c.has("repeat"):
		for i, v := range r.Readings {
			if len(v.Repeats) > columns {
				return wrong("/readings/"+strconv.Itoa(i), fmt.Sprintf("a list of %d", len(v.Repeats)), fault.ErrTooMany, fmt.Sprintf("at most as many repeats as the table has columns of readings: %d", columns))
			}
		}
	}
	return nil
}

func (c *Columns) readingColumns() int {
	n := 0
	for _, q := range c.Order {
		if q.Is == "reading" {
			n++
		}
	}
	return n
}
