package record

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// Fill reads a record and a table of readings that fill it: a blank, whose rounds are null, or a
// record whose readings are taken anew. The record is decoded strictly once it is filled.
//
// The table's first line names its columns, in any order, apart by commas, semicolons or tabs:
//
//	place     "plate/thickness", "plate/rear sweep", "plate/front pilot", "tail/bush" (a swept bore),
//	          "clearance of tail/bush", or a JSON Pointer to a round or a number of the record
//	reading   the reading; empty where the gauge could not reach; several such columns are repeats
//	station   its number from 1, or "closing"; without station and clock the rows' order counts
//	clock     or its angle in degrees, clockwise from 12 o'clock, as the record's round is seen
//	unit      of the reading, where it is not that in which the round counts
//
// A place takes all its readings anew; the rest of the record stays. In a table apart by semicolons
// or tabs a decimal comma is understood; the notes say where the first one stands, and a table with
// both marks is refused. Faults of cells are [CellError] values with line and column, those of the
// filled record as by [Decode].
func Fill(rec, readings io.Reader) (filled *Record, notes []string, err error) {
	d, r, err := decodeFields(rec)
	if err != nil {
		return nil, nil, err
	}
	if d.fatal || len(d.faults) > 0 {
		return nil, nil, d.semantics(r)
	}
	raw, err := io.ReadAll(io.LimitReader(readings, maxBytes+1))
	if err != nil {
		return nil, nil, fmt.Errorf("record: %w", err)
	}
	f := &filler{rec: r, places: r.places(), by: map[string]*fillRound{}}
	if err := f.declare(strings.TrimPrefix(string(raw), "\ufeff")); err != nil {
		return nil, nil, err
	}
	if err := f.each(bytes.NewReader(raw), maxStations*maxRepeats, f.row); err != nil {
		return nil, nil, err
	}
	if len(f.faults) == 0 {
		for _, q := range f.rounds {
			f.put(q)
		}
	}
	if err := f.join(); err != nil {
		return nil, nil, err
	}
	if err := r.again(); err != nil {
		return nil, nil, err
	}
	return r, f.notes, nil
}

// filler reads a table of readings of many places.
type filler struct {
	table
	rec    *Record
	places []namedPlace
	rounds []*fillRound
	by     map[string]*fillRound
	notes  []string
}

// namedPlace is a place of the record that readings may fill, as people name it.
type namedPlace struct{ name, pointer string }

// fillRound is the rows of one place.
type fillRound struct {
	pointer string
	rows    []fillRow
}

// fillRow is one row of a table.
type fillRow struct {
	row
	station int // 0: none is given
	closing bool
	clock   *Number
	values  []Number
	unit    string // empty: that in which the place counts
}

// places lists the rounds and clearances of the record by name.
func (r *Record) places() []namedPlace {
	var out []namedPlace
	add := func(pointer, format string, args ...any) {
		out = append(out, namedPlace{fmt.Sprintf(format, args...), pointer})
	}
	for i := range r.Parts {
		p, at := &r.Parts[i], fmt.Sprintf("/parts/%d", i)
		for side, f := range map[string]*Face{"front": p.Front, "rear": p.Rear} {
			if f == nil {
				continue
			}
			if f.Thickness != nil {
				add(at+"/"+side+"/thickness", "%s/thickness", p.Name)
			}
			if f.Sweep != nil {
				add(at+"/"+side+"/sweep", "%s/%s sweep", p.Name, side)
			}
			if f.Pilot != nil && f.Pilot.Sweep != nil {
				add(at+"/"+side+"/pilot/sweep", "%s/%s pilot", p.Name, side)
			}
		}
		for k := range p.Bores {
			if p.Bores[k].Sweep != nil {
				add(fmt.Sprintf("%s/bores/%d/sweep", at, k), "%s/%s", p.Name, p.Bores[k].Name)
			}
		}
	}
	for i := range r.Shafts {
		for k := range r.Shafts[i].Supports {
			add(fmt.Sprintf("/shafts/%d/supports/%d/clearance", i, k), "clearance of %s", r.Shafts[i].Supports[k].Bore)
		}
	}
	for i := range r.Pockets {
		add(fmt.Sprintf("/pockets/%d/clearance", i), "clearance of %s", r.Pockets[i].Name)
	}
	slices.SortFunc(out, func(a, b namedPlace) int { return strings.Compare(a.pointer, b.pointer) })
	return out
}

// declare reads the first line, and what it leaves open from the rest: the separator is what stands
// between the names, a decimal comma the mark of the first number that has one.
func (f *filler) declare(text string) error {
	first, rest, _ := strings.Cut(text, "\n")
	first = strings.TrimSuffix(first, "\r")
	f.Separator, f.Decimal, f.Header = ",", ".", true
	for _, s := range []string{"\t", ";"} {
		if strings.Contains(first, s) {
			f.Separator = s
		}
	}
	roles := []string{"place", "reading", "station", "clock", "unit"}
	column := 1
	for _, label := range strings.Split(first, f.Separator) {
		name := strings.Trim(strings.Trim(label, spaces), `"`)
		word, unit, _ := headerWord(name)
		at := column
		column += len(label) + 1
		if !slices.Contains(roles, word) {
			return &CellError{1, at, "", strconv.Quote(name), "a column's name: " + wantOne(word, roles), fault.ErrUnknownName}
		}
		if word != "reading" && f.has(word) {
			return &CellError{1, at, word, strconv.Quote(name), "this column once", fault.ErrRepeated}
		}
		if word == "reading" && unit != "" && knownUnit("", unit) != nil {
			return &CellError{1, at, word, strconv.Quote(name), "a unit: mm, um, m, in or thou", errUnknown}
		}
		f.Order = append(f.Order, Column{Is: word, Unit: unit, Label: name})
	}
	for _, must := range []string{"place", "reading"} {
		if !f.has(must) {
			return &CellError{1, 1, "", "", "a column " + strconv.Quote(must) + " in the first line", fault.ErrMissing}
		}
	}
	if f.Separator != "," {
		f.mark(rest)
	}
	return nil
}

// mark finds the decimal mark of a table whose cells may hold commas.
func (f *filler) mark(rest string) {
	in := csv.NewReader(strings.NewReader(rest))
	in.Comma, in.FieldsPerRecord = rune(f.Separator[0]), -1
	for {
		cells, err := in.Read()
		if err != nil {
			return // each says what is wrong
		}
		for k := range min(len(cells), len(f.Order)) {
			if is := f.Order[k].Is; is != "reading" && is != "clock" || !strings.ContainsAny(cells[k], ".,") {
				continue
			}
			if strings.Contains(cells[k], ",") && !strings.Contains(cells[k], ".") {
				f.Decimal = ","
				line, column := in.FieldPos(k)
				f.notes = append(f.notes, fmt.Sprintf("line %d, column %d: %s is read as %s: decimal commas", line+1, column, strings.Trim(cells[k], spaces), strings.Replace(strings.Trim(cells[k], spaces), ",", ".", 1)))
			}
			return
		}
	}
}

// row reads one row.
func (f *filler) row(q *row) {
	out := fillRow{row: *q}
	var at *fillRound
	gap := false
	for k := range f.Order {
		cell := strings.Trim(q.cells[k], spaces)
		switch f.Order[k].Is {
		case "place":
			if at = f.place(q, k, cell); at == nil {
				return
			}
		case "station":
			switch {
			case cell == "":
			case strings.EqualFold(cell, "closing"):
				out.closing = true
			default:
				out.station, _ = f.count(q, k)
			}
		case "clock":
			if cell != "" {
				if n, ok := f.number(q, k); ok {
					out.clock = &n
				}
			}
		case "unit":
			if cell != "" {
				u, _ := unitWord(cell)
				if knownUnit("", u) != nil {
					f.cellFault(q, k, errUnknown, "mm, um, m, in or thou")
				}
				out.unit = u
			}
		case "reading":
			if cell == "" {
				gap = true
				continue
			}
			if gap {
				f.cellFault(q, k, fault.ErrMissing, "repeats filled from the left, or no reading at all")
			}
			if n, ok := f.number(q, k); ok {
				if u := f.Order[k].Unit; u != "" {
					out.unit = u
				}
				out.values = append(out.values, n)
			}
		}
	}
	at.rows = append(at.rows, out)
}

// place finds the rows of a place, by its name or its pointer.
func (f *filler) place(q *row, k int, cell string) *fillRound {
	pointer := cell
	if !strings.HasPrefix(cell, "/") {
		i := slices.IndexFunc(f.places, func(p namedPlace) bool { return strings.EqualFold(p.name, cell) })
		if i < 0 {
			want := `a place such as "plate/thickness", or a JSON Pointer`
			var names []string
			for _, p := range f.places {
				names = append(names, p.name)
			}
			if near, ok := tolerance.Nearest(cell, names); ok {
				want = "a place that the record has: perhaps " + strconv.Quote(near)
			} else if len(names) > 0 {
				want = "one of " + strings.Join(names[:min(len(names), 12)], ", ")
			}
			f.cellFault(q, k, fault.ErrUnknownName, want)
			return nil
		}
		pointer = f.places[i].pointer
	}
	at := f.by[pointer]
	if at == nil {
		if f.single(pointer) == nil {
			if _, err := f.rec.blockAt(pointer); err != nil {
				f.cellFault(q, k, fault.ErrUnknownName, "a JSON Pointer to a round or a number that the record has")
				return nil
			}
		}
		at = &fillRound{pointer: pointer}
		f.by[pointer], f.rounds = at, append(f.rounds, at)
	}
	return at
}

// single is the number at a pointer that leads to one; nil where it leads to none.
func (f *filler) single(pointer string) *Number {
	return locate(reflect.ValueOf(f.rec).Elem(), strings.Split(strings.TrimPrefix(pointer, "/"), "/"))
}

// put gives a place its readings.
func (f *filler) put(q *fillRound) {
	if n := f.single(q.pointer); n != nil {
		f.putNumber(q, n)
		return
	}
	b, err := f.rec.blockAt(q.pointer)
	if err != nil {
		return // said already
	}
	unit := b.Unit
	if unit == "" {
		unit = f.rec.Units.Length
	}
	var stations []fillRow
	closing := (*Number)(nil)
	for i := range q.rows {
		r := &q.rows[i]
		for k := range r.values {
			if r.unit != "" {
				r.values[k] = converted(r.values[k], r.unit, unit)
			}
		}
		switch {
		case r.closing && (closing != nil || len(r.values) != 1):
			f.rowFault(&r.row, `"closing"`, fault.ErrConflict, "one closing reading, once")
		case r.closing:
			closing = &r.values[0]
		default:
			stations = append(stations, *r)
		}
	}
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

// putNumber gives a single number its value.
func (f *filler) putNumber(q *fillRound, n *Number) {
	r := &q.rows[0]
	switch {
	case len(q.rows) > 1:
		f.rowFault(&q.rows[1].row, "", fault.ErrRepeated, "one row for one number")
	case r.station > 0 || r.closing || r.clock != nil:
		f.rowFault(&r.row, "", fault.ErrConflict, "no station or clock for a single number")
	case len(r.values) != 1:
		f.rowFault(&r.row, fmt.Sprintf("%d readings", len(r.values)), fault.ErrConflict, "one reading for one number")
	case r.unit != "":
		*n = converted(r.values[0], r.unit, f.rec.Units.Length)
	default:
		*n = r.values[0]
	}
	for i := range f.rec.Shafts {
		for k := range f.rec.Shafts[i].Supports {
			if s := &f.rec.Shafts[i].Supports[k]; n == &s.Clearance {
				s.Fit = nil // what was measured stands in place of its classes
			}
		}
	}
}

// inOrder puts numbered stations in order; several rows of one number are repeats.
func (f *filler) inOrder(list []fillRow) []fillRow {
	numbered := slices.ContainsFunc(list, func(r fillRow) bool { return r.station > 0 })
	if !numbered {
		return list
	}
	most := 0
	for i := range list {
		if list[i].station == 0 {
			f.rowFault(&list[i].row, "", fault.ErrMissing, "the number of the station")
			return nil
		}
		most = max(most, list[i].station)
	}
	if most > len(list) {
		for i := range list {
			if list[i].station > len(list) {
				f.rowFault(&list[i].row, fmt.Sprintf("station %d", list[i].station), fault.ErrConflict, fmt.Sprintf("stations from 1 without a gap: there are %d rows; an empty reading where the gauge could not reach", len(list)))
				return nil
			}
		}
	}
	out := make([]fillRow, most)
	for _, r := range list {
		to := &out[r.station-1]
		if to.station == 0 {
			*to = r
			continue
		}
		if len(to.values) == 0 || len(r.values) == 0 {
			f.rowFault(&r.row, fmt.Sprintf("station %d", r.station), fault.ErrRepeated, "a reading in every repeat of a station")
			return nil
		}
		to.values = append(slices.Clone(to.values), r.values...)
	}
	for i := range out {
		if out[i].station == 0 {
			f.rowFault(&list[0].row, fmt.Sprintf("no station %d", i+1), fault.ErrMissing, "a row for every station; an empty reading where the gauge could not reach")
			return nil
		}
	}
	return out
}

// clocks are the stations' angles; nil where no row has one.
func (f *filler) clocks(list []fillRow) []Number {
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

// blank reports whether a list holds null alone.
func blank(n *node) bool {
	return n.kind == isArray && len(n.vals) > 0 && !slices.ContainsFunc(n.vals, func(c *node) bool { return c.kind != isNull })
}
