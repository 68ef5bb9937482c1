package record

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// Columns declares what a table of measured points or readings holds. Nothing is guessed from the table: what contradicts the declaration, or could mean two things, is refused. A declaration is plain data with JSON keys, so that it can be kept beside the tables of one machine. The zero value declares nothing and is refused.
//
// A table is text by RFC 4180 in UTF-8, with the declared separator and no comments. A clock angle is in degrees, clockwise from 12 o'clock, seen from the tail unless SeenFrom says otherwise.
type Columns struct {
	Order     []Column `json:"order"`               // from left to right, every column of the table
	Unit      string   `json:"unit"`                // of all lengths whose column gives no other: mm, um, m, in or thou
	Decimal   string   `json:"decimal"`             // "." or ","
	Separator string   `json:"separator"`           // ",", ";" or "\t"; not the decimal mark
	Header    bool     `json:"header,omitempty"`    // the first line names the columns
	SeenFrom  string   `json:"seen_from,omitempty"` // "tail" (also when empty) or "nose"
	Closing   bool     `json:"closing,omitempty"`   // readings: the last row is the first station, read again
	CRLF      bool     `json:"crlf,omitempty"`      // lines are written with CR LF at their ends; either is read
}

// Column is one column of a table. Is says what it holds:
//
//	x, y, z          a point's coordinates
//	radius, clock    a point's place instead of x and y
//	reading          a reading; empty where the station could not be reached; several such columns are repeats
//	clock            a reading's station; without one the stations are equal steps round the part
//	station          its number, from 1 in the order of the rows
//	repeat           the number of the repeat, from 1, when every repeat has a row of its own
//	skip             a column that the record has no place for
type Column struct {
	Is    string `json:"is"`
	Unit  string `json:"unit,omitempty"`  // when not the table's
	Label string `json:"label,omitempty"` // in the header; empty: what the column is, alone or with its unit, such as "x [mm]"
}

// Bounds on tables. Points and stations are those of a stack.
const (
	maxColumns   = 200
	maxPointRows = 20000
	maxStations  = 2000
	maxRepeats   = 100 // of one station
)

// tableKind is what a table is read as.
type tableKind uint8

const (
	pointTable tableKind = iota
	readingTable
)

// roles are the words for columns of a kind of table.
func (k tableKind) roles() []string {
	if k == pointTable {
		return []string{"x", "y", "z", "radius", "clock", "skip"}
	}
	return []string{"reading", "clock", "station", "repeat", "skip"}
}

// isLength reports whether a column holds lengths.
func (c *Column) isLength() bool {
	return slices.Contains([]string{"x", "y", "z", "radius", "reading"}, c.Is)
}

// check refuses a declaration that leaves anything open. All faults come together, each an [*fault.FieldError] with a pointer into the declaration.
func (c *Columns) check(k tableKind) error {
	var faults []error
	wrong := func(path, value string, class error, want string) {
		faults = append(faults, &fault.FieldError{Path: path, Value: value, Want: want, Err: class})
	}
	mark := func(path, got string, known ...string) {
		var words []string
		for _, m := range known {
			words = append(words, strconv.Quote(m))
		}
		switch want := "one of " + strings.Join(words, ", "); {
		case got == "":
			wrong(path, "", fault.ErrMissing, want)
		case !slices.Contains(known, got):
			wrong(path, strconv.Quote(got), errUnknown, want)
		}
	}
	mark("/unit", c.Unit, tolerance.Units()...)
	mark("/decimal", c.Decimal, ".", ",")
	mark("/separator", c.Separator, ",", ";", "\t")
	if c.Decimal == c.Separator && c.Decimal != "" {
		wrong("/separator", strconv.Quote(c.Separator), fault.ErrConflict, `";" or "\t": a comma cannot be separator and decimal mark at once`)
	}
	if c.SeenFrom != "" {
		mark("/seen_from", c.SeenFrom, "tail", "nose")
	}
	if len(c.Order) > maxColumns {
		wrong("/order", fmt.Sprintf("a list of %d", len(c.Order)), fault.ErrTooMany, fmt.Sprintf("at most %d columns", maxColumns))
		return errors.Join(faults...)
	}
	for i := range c.Order {
		at, q := "/order/"+strconv.Itoa(i), &c.Order[i]
		switch {
		case !slices.Contains(k.roles(), q.Is):
			wrong(at+"/is", strconv.Quote(q.Is), errUnknown, wantOne(q.Is, k.roles()))
		case q.Is != "reading" && q.Is != "skip" && c.column(q.Is) != i:
			wrong(at+"/is", strconv.Quote(q.Is), fault.ErrRepeated, "one such column")
		}
		switch {
		case q.Unit == "":
		case q.isLength():
			mark(at+"/unit", q.Unit, tolerance.Units()...)
		case q.Is == "clock" && q.Unit != "deg", q.Is == "station", q.Is == "repeat", q.Is == "skip":
			wrong(at+"/unit", strconv.Quote(q.Unit), fault.ErrConflict, "no unit here: a clock angle is in degrees, numbers of stations and repeats are counted")
		}
	}
	if k == pointTable {
		c.checkPoints(wrong)
	} else {
		c.checkReadings(wrong)
	}
	return errors.Join(faults...)
}

func (c *Columns) checkPoints(wrong func(path, value string, class error, want string)) {
	flat, round := c.has("x") && c.has("y"), c.has("radius") && c.has("clock")
	mixed := (c.has("x") || c.has("y")) && (c.has("radius") || c.has("clock"))
	if mixed || !(flat || round) || !c.has("z") {
		wrong("/order", c.words(), fault.ErrConflict, "columns x, y and z, or radius, clock and z")
	}
	if c.Closing {
		wrong("/closing", "true", fault.ErrConflict, "no closing row among points: it belongs to readings")
	}
}

func (c *Columns) checkReadings(wrong func(path, value string, class error, want string)) {
	first := c.column("reading")
	if first < 0 {
		wrong("/order", c.words(), fault.ErrMissing, "a column reading")
		return
	}
	several := false
	for i := first + 1; i < len(c.Order); i++ {
		if q := &c.Order[i]; q.Is == "reading" {
			several = true
			if c.unitOf(q) != c.unitOf(&c.Order[first]) {
				wrong(fmt.Sprintf("/order/%d/unit", i), strconv.Quote(c.unitOf(q)), fault.ErrConflict, fmt.Sprintf("%q, the unit of the other readings", c.unitOf(&c.Order[first])))
			}
		}
	}
	if !c.has("repeat") {
		return
	}
	if several {
		wrong("/order", c.words(), fault.ErrConflict, "one column reading beside repeat, or several without it")
	}
	if !c.has("clock") && !c.has("station") {
		wrong("/order", c.words(), fault.ErrMissing, "a column clock or station, which says what is repeated")
	}
	if c.Closing {
		wrong("/closing", "true", fault.ErrConflict, "no closing row in a table with a row for every repeat")
	}
}

// column is the index of the first column of a role, or -1.
func (c *Columns) column(is string) int {
	return slices.IndexFunc(c.Order, func(q Column) bool { return q.Is == is })
}

func (c *Columns) has(is string) bool { return c.column(is) >= 0 }

// unitOf is the unit of a column of lengths.
func (c *Columns) unitOf(q *Column) string {
	if q.Unit != "" {
		return q.Unit
	}
	return c.Unit
}

// words lists what the columns are.
func (c *Columns) words() string {
	var out []string
	for _, q := range c.Order {
		out = append(out, q.Is)
	}
	return strings.Join(out, ", ")
}

// label is the header that a column is written with.
func (c *Columns) label(q *Column) string {
	switch {
	case q.Label != "":
		return q.Label
	case q.isLength():
		return q.Is + " [" + c.unitOf(q) + "]"
	case q.Is == "clock":
		return "clock [deg]"
	}
	return q.Is
}
