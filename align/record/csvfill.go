package record

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"example.com/borestack/align/internal/clock"
	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// Bounds on tables. Points and stations are those of a stack.
const (
	maxStations = 2000
	maxRepeats  = 100 // of one station
)

// Fill reads a record and a table that fills it: a blank, whose rounds are null, or a record whose
// readings are taken anew. The record is decoded strictly once it is filled.
//
// The table's first line names its columns, in any order, apart by commas, semicolons or tabs:
//
//	place     "plate/thickness", "plate/rear sweep", "plate/front pilot", "tail/bush" (a swept bore),
//	          "plate/rear points", "clearance of tail/bush", or a JSON Pointer to a round, a face or a
//	          number of the record; "plate/rear" where that face has one round, "tail/bush" where that
//	          bore has a clearance alone
//	part      and face: what stands before and behind the slash, in two columns
//	reading   the reading; empty where the gauge could not reach; several such columns are repeats
//	station   its number from 1, or "closing"; without station and clock the rows' order counts
//	clock     or its angle clockwise from 12 o'clock, in degrees or as 4:30, as the record's round is seen
//	x, y, z   a measured point of a face; or radius, clock (seen from the tail) and z
//	unit      of the row, where it is not that in which the place counts
//
// A place takes all its readings or points anew; the rest of the record stays. In a table apart by
// semicolons or tabs a decimal comma is understood; the notes say where the first one stands, and a
// table with both marks is refused. A round of which the table holds no reading at all is not filled
// in, which is a fault. Faults of cells name line and column in place of a JSON Pointer, those of the
// filled record are as by [Decode].
func Fill(rec, table io.Reader) (filled *Record, notes []string, err error) {
	d, r, err := decodeFields(rec)
	if err != nil {
		return nil, nil, err
	}
	if d.fatal || len(d.faults) > 0 {
		return nil, nil, d.semantics(r)
	}
	written, err := text(table, "table")
	if err != nil {
		return nil, nil, err
	}
	f := &filler{rec: r, places: r.places(), by: map[string]*fillPlace{}}
	if f.head(written); len(f.faults) == 0 {
		f.each(written, maxStations*maxRepeats, f.row)
	}
	if len(f.faults) == 0 {
		for _, q := range f.filled {
			f.put(q)
		}
	}
	if err := f.join(); err != nil {
		return nil, nil, err
	}
	var again bytes.Buffer
	if err := r.Encode(&again); err != nil {
		return nil, nil, err
	}
	filled, err = Decode(&again)
	return filled, f.notes, err
}

// filler reads a table of many places.
type filler struct {
	table
	rec    *Record
	places []namedPlace
	filled []*fillPlace
	by     map[string]*fillPlace // by pointer, and by every name that a row gave
}

// fillPlace is the rows of one place.
type fillPlace struct {
	namedPlace
	to   any    // as of [Record.fillable]
	unit string // that it counts in
	rows []fillRow
}

// fillRow is one row of a table.
type fillRow struct {
	row
	station int // 0: none is given
	closing bool
	gap     bool // an empty reading was passed
	clock   *Number
	values  []Number // readings, in the unit in which the place counts
	point   map[string]Number
}

// row reads one row.
func (f *filler) row(q *row) {
	k := max(f.at("place"), f.at("part"))
	name := strings.Trim(q.cells[k], spaces)
	if face := f.at("face"); face >= 0 && strings.Trim(q.cells[face], spaces) != "" {
		name += "/" + strings.Trim(q.cells[face], spaces)
	}
	at := f.place(q, k, name)
	if at == nil {
		return
	}
	out := fillRow{row: *q, point: map[string]Number{}}
	for k := range f.columns {
		f.cell(&out, k, at.unit)
	}
	at.rows = append(at.rows, out)
}

// cell reads cell k of a row.
func (f *filler) cell(q *fillRow, k int, unit string) {
	switch is, cell := f.columns[k].is, strings.Trim(q.cells[k], spaces); {
	case is == "place", is == "part", is == "face":
	case cell == "":
		q.gap = q.gap || is == "reading"
	case is == "station" && strings.EqualFold(cell, "closing"):
		q.closing = true
	case is == "station":
		n, ok := index(cell)
		if !ok || n == 0 {
			f.cellFault(&q.row, k, errNotNumber, "a whole number from 1")
		}
		q.station = n
	case is == "unit":
		if u, _ := unitWord(cell); !slices.Contains(tolerance.Units(), u) {
			f.cellFault(&q.row, k, errUnknown, wantOne(u, tolerance.Units()))
		}
	default:
		f.cellNumber(q, k, unit)
	}
}

// cellNumber reads cell k of a row, which holds a number; a length is turned into the unit.
func (f *filler) cellNumber(q *fillRow, k int, unit string) {
	is := f.columns[k].is
	n, u, ok := f.number(&q.row, k)
	if q.gap && is == "reading" {
		f.cellFault(&q.row, k, fault.ErrMissing, "repeats filled from the left, or no reading at all")
	}
	switch {
	case !ok || u == "" || !slices.Contains(lengths(), is):
	case unit == "":
		f.cellFault(&q.row, k, fault.ErrConflict, "no unit of length: it says nothing of the number there")
	default:
		n = converted(n, u, unit)
	}
	switch {
	case !ok:
	case is == "reading":
		q.values = append(q.values, n)
	case is == "clock":
		q.clock = &n
	default:
		q.point[is] = n
	}
}

// place finds the rows of a place, by its name or its pointer.
func (f *filler) place(q *row, k int, cell string) *fillPlace {
	if at := f.by[cell]; at != nil {
		return at
	}
	is := namedPlace{cell, cell}
	if !strings.HasPrefix(cell, "/") {
		i := f.rec.named(f.places, cell)
		if i < 0 {
			f.cellFault(q, k, fault.ErrUnknownName, f.wanted(cell))
			return nil
		}
		is = f.places[i]
	}
	if f.by[is.pointer] == nil {
		to, unit := f.rec.fillable(is.pointer)
		if to == nil {
			f.cellFault(q, k, fault.ErrUnknownName, "a JSON Pointer to a round, a face or a number that the record has")
			return nil
		}
		f.by[is.pointer] = &fillPlace{namedPlace: is, to: to, unit: unit}
		f.filled = append(f.filled, f.by[is.pointer])
	}
	f.by[cell] = f.by[is.pointer]
	return f.by[cell]
}

// wanted says which places there are, for a name that is none of them.
func (f *filler) wanted(cell string) string {
	names := namesOf(f.places, func(p *namedPlace) string { return p.name })
	if near, ok := tolerance.Nearest(cell, names); ok {
		return "a place that the record has: perhaps " + strconv.Quote(near)
	}
	if len(names) > 0 {
		return "one of " + strings.Join(names[:min(len(names), 12)], ", ")
	}
	return `a place such as "plate/thickness", or a JSON Pointer`
}

// put gives a place what its rows say.
func (f *filler) put(q *fillPlace) {
	switch x := q.to.(type) {
	case *Face:
		f.putPoints(q, x)
	case *Number:
		f.putNumber(q, x)
	case *Readings:
		f.putRound(q, x)
	}
}

// putPoints gives a face its measured points, each place once.
func (f *filler) putPoints(q *fillPlace, x *Face) {
	x.Points = nil
	f.hours(slices.DeleteFunc(slices.Clone(q.rows), func(r fillRow) bool { return r.point["radius"].Value == 0 })) // a centre has no clock
	seen := map[[2]float64]int{}
	for i := range q.rows {
		r := &q.rows[i]
		p := Triple{r.point["x"], r.point["y"], r.point["z"]}
		radius, round := r.point["radius"]
		if round && r.clock != nil {
			s, c := sincosDegrees(r.clock.Value)
			p[0], p[1] = Num(radius.Value*s+0), Num(radius.Value*c+0) // + 0: no negative zero
		}
		if slices.ContainsFunc(p[:], func(n Number) bool { return n.Text == "" }) || len(r.values) > 0 || r.station > 0 || r.closing || !round && r.clock != nil {
			f.rowFault(&r.row, "", fault.ErrConflict, "x, y and z of a point, or its radius, clock and z, and nothing else")
			continue
		}
		place := [2]float64{p[0].Value, p[1].Value} // as keys, 0 and -0 are equal
		if line, again := seen[place]; again {
			f.rowFault(&r.row, fmt.Sprintf("the place (%s, %s)", p[0].Text, p[1].Text), fault.ErrRepeated, fmt.Sprintf("every place once: line %d has it", line))
		}
		seen[place] = r.line
		x.Points = append(x.Points, p)
	}
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

// putRound gives a round its readings.
func (f *filler) putRound(q *fillPlace, b *Readings) {
	stations, closing := f.stations(q)
	stations = f.inOrder(stations)
	if len(f.faults) > 0 {
		return
	}
	if clocks := f.clocks(stations); clocks != nil {
		b.At, b.First = clocks, nil
	} else if b.At != nil && len(b.At) != len(stations) {
		f.rowFault(&q.rows[0].row, fmt.Sprintf("%d stations", len(stations)), fault.ErrConflict, fmt.Sprintf("as many as the record has clock angles, %d, or a column clock", len(b.At)))
		return
	}
	b.Readings, b.Closing = nil, closing
	for i := range stations {
		v := stations[i].values
		b.Readings = append(b.Readings, Reading{Repeats: v, List: len(v) > 1})
	}
}

// stations are the rows of a round but for its closing reading, which stands beside them.
func (f *filler) stations(q *fillPlace) (list []fillRow, closing *Number) {
	read := false
	for i := range q.rows {
		r := &q.rows[i]
		read = read || len(r.values) > 0
		switch {
		case len(r.point) > 0:
			f.rowFault(&r.row, "", fault.ErrConflict, "readings, not points, in a round; the points of a face go to "+strconv.Quote("plate/rear points"))
		case !r.closing:
			list = append(list, *r)
		case closing != nil || len(r.values) > 1:
			f.rowFault(&r.row, `"closing"`, fault.ErrConflict, "one closing reading, once")
		case len(r.values) == 1: // else it was not read again
			closing = &r.values[0]
		}
	}
	if !read {
		f.rowFault(&q.rows[0].row, strconv.Quote(q.name), errNotFilled, "a reading in every row that the gauge could reach")
	}
	return list, closing
}

// putNumber gives a single number its value. What was measured stands in place of its classes.
func (f *filler) putNumber(q *fillPlace, n *Number) {
	r := &q.rows[0]
	switch {
	case len(q.rows) > 1:
		f.rowFault(&q.rows[1].row, "", fault.ErrRepeated, "one row for one number")
	case r.station > 0 || r.closing || r.clock != nil || len(r.point) > 0:
		f.rowFault(&r.row, "", fault.ErrConflict, "no station, clock or point for a single number")
	case len(r.values) == 0:
		f.rowFault(&r.row, strconv.Quote(q.name), errNotFilled, "one reading for one number")
	case len(r.values) > 1:
		f.rowFault(&r.row, fmt.Sprintf("%d readings", len(r.values)), fault.ErrConflict, "one reading for one number")
	default:
		*n = r.values[0]
	}
	f.rec.eachSize(func(s sized) {
		if s.number == n {
			*s.fit = nil
		}
	})
}

// inOrder puts numbered stations in order; several rows of one number are repeats.
func (f *filler) inOrder(list []fillRow) []fillRow {
	if !slices.ContainsFunc(list, func(r fillRow) bool { return r.station > 0 }) {
		return list
	}
	out, most := make([]fillRow, len(list)), 0
	for i := range list {
		r, k := &list[i], list[i].station-1
		said := fmt.Sprintf("station %d", r.station)
		switch {
		case k < 0:
			f.rowFault(&r.row, "", fault.ErrMissing, "the number of the station")
			return nil
		case k >= len(list):
			f.rowFault(&r.row, said, fault.ErrConflict, fmt.Sprintf("stations from 1 without a gap: there are %d rows; an empty reading where the gauge could not reach", len(list)))
			return nil
		case out[k].station == 0:
			out[k] = *r
		case len(out[k].values) == 0 || len(r.values) == 0:
			f.rowFault(&r.row, said, fault.ErrRepeated, "a reading in every repeat of a station")
			return nil
		case out[k].clock != nil && r.clock != nil && r.clock.Value != out[k].clock.Value:
			f.cellFault(&r.row, f.at("clock"), fault.ErrConflict, fmt.Sprintf("one clock for %s: line %d has another", said, out[k].line))
			return nil
		default:
			out[k].values = slices.Concat(out[k].values, r.values)
		}
		most = max(most, r.station)
	}
	if i := slices.IndexFunc(out[:most], func(r fillRow) bool { return r.station == 0 }); i >= 0 {
		f.rowFault(&list[0].row, fmt.Sprintf("no station %d", i+1), fault.ErrMissing, "a row for every station; an empty reading where the gauge could not reach")
		return nil
	}
	return out[:most]
}

// clockWanted is what stands in a column of clocks.
const clockWanted = "degrees, 90 for 3 o'clock, or hours and minutes such as 4:30"

// hours notes clocks of a place that are hours by a slip of the hand: all within a short arc, or a whole
// number up to 12 among hours and minutes.
func (f *filler) hours(list []fillRow) {
	k := f.at("clock")
	var at []float64
	times := false
	for i := range list {
		if c := list[i].clock; c != nil {
			at = append(at, c.Value*float64(tolerance.Degree))
			times = times || strings.Contains(list[i].cells[k], ":")
		}
	}
	for i := range list {
		if c := list[i].clock; times && c != nil && c.Value >= 1 && c.Value <= 12 && c.Value == math.Trunc(c.Value) && !strings.Contains(list[i].cells[k], ":") {
			f.cellFault(&list[i].row, k, fault.ErrOutOfRange, clockWanted)
		}
	}
	if clock.AreHours(at) {
		f.cellFault(&list[0].row, k, fault.ErrOutOfRange, fmt.Sprintf("clocks that go round, not %d within 12°: %s", len(at), clockWanted))
	}
}

// clocks are the stations' angles; nil where no row has one.
func (f *filler) clocks(list []fillRow) []Number {
	f.hours(list)
	var out []Number
	for i := range list {
		if list[i].clock != nil {
			out = append(out, *list[i].clock)
		}
	}
	if len(out) > 0 && len(out) < len(list) {
		at := slices.IndexFunc(list, func(r fillRow) bool { return r.clock == nil })
		f.rowFault(&list[at].row, "", fault.ErrMissing, "a clock angle for every station of the round, or for none")
	}
	return out
}

// errNotFilled is the class of a blank's round that nobody filled in.
var errNotFilled = errors.New("not filled in")
