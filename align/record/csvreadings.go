package record

import (
	"fmt"
	"io"
	"math"
	"strings"

	"example.com/borestack/fault"
)

// ReadReadings reads a table of a micrometer's or dial's readings round a part, as a record's block has them: the readings with the digits as written, their unit, and the clock angles where the table has them. An empty cell is a station that could not be reached. Repeats are several columns of readings, filled from the left, or one row each with a column that counts them. With Closing, the last row is the first station read again.
//
// Every row counts; nothing is left out. A station that comes twice without being declared as a repeat is refused, and so is whatever [ReadPoints] refuses. All faults come together, each a [*CellError] with line and column; faults of the declaration are [*fault.FieldError].
func ReadReadings(r io.Reader, c Columns) (Readings, error) {
	if err := c.check(readingTable); err != nil {
		return Readings{}, err
	}
	t := table{Columns: c}
	s := stations{table: &t, at: map[int64]int{}}
	most := maxStations + 1
	if c.has("repeat") {
		most = maxStations * maxRepeats
	}
	if err := t.each(r, most, s.row); err != nil {
		return Readings{}, err
	}
	out := s.finish()
	if err := t.join(); err != nil {
		return Readings{}, err
	}
	return out, nil
}

// stations gathers the rows of a table of readings.
type stations struct {
	*table
	list []tableStation
	at   map[int64]int // where a station is in the list, by its place
}

// tableStation is one station as read.
type tableStation struct {
	clock    Number
	number   int // 0: no such column
	values   []Number
	rows     int
	line     int
	column   int // of its first reading
	numberAt int // the column of its number
	noPlace  bool
}

// row reads one row.
func (s *stations) row(q *row) {
	if len(s.list) > maxStations {
		return
	}
	st := tableStation{line: q.line, column: q.column[s.column("reading")], rows: 1}
	repeat, ok, gap := 0, true, -1
	for k := range s.Order {
		switch s.Order[k].Is {
		case "clock":
			n, good := s.number(q, k)
			st.clock, ok = n, ok && good
		case "station":
			n, good := s.count(q, k)
			st.number, st.numberAt, ok = n, q.column[k], ok && good
		case "repeat":
			n, good := s.count(q, k)
			repeat, ok = n, ok && good
		case "reading":
			if strings.Trim(q.cells[k], spaces) == "" {
				if gap < 0 {
					gap = k
				}
				continue
			}
			if gap >= 0 {
				s.cellFault(q, gap, fault.ErrMissing, "repeats filled from the left, or no reading at all")
				gap = len(s.Order) // said once
			}
			if n, good := s.number(q, k); good {
				st.values = append(st.values, n)
			} else {
				ok = false
			}
		}
	}
	if !ok {
		st.noPlace = true
	}
	if s.has("repeat") && ok {
		s.again(q, st, repeat)
		return
	}
	s.list = append(s.list, st)
}

// place is the key of a station: its clock angle to a ten-millionth of a degree, within one turn, or its number.
func (s *stations) place(st *tableStation) int64 {
	if !s.has("clock") {
		return int64(st.number)
	}
	const perTurn = 3600000000
	k := int64(math.Round(math.Mod(st.clock.Value, 360) * (perTurn / 360)))
	return ((k % perTurn) + perTurn) % perTurn
}

// again adds a row with one repeat to its station.
func (s *stations) again(q *row, st tableStation, repeat int) {
	key, k := s.place(&st), s.column("repeat")
	i, known := s.at[key]
	if !known {
		if repeat != 1 {
			s.cellFault(q, k, fault.ErrConflict, "1: the station's first row")
		}
		s.at[key] = len(s.list)
		s.list = append(s.list, st)
		return
	}
	first := &s.list[i]
	first.rows++
	reading := s.column("reading")
	switch {
	case repeat != first.rows:
		s.cellFault(q, k, fault.ErrConflict, fmt.Sprintf("%d: the station's repeats counted in the order of the rows", first.rows))
	case first.rows > maxRepeats:
		s.cellFault(q, k, fault.ErrTooMany, fmt.Sprintf("at most %d repeats", maxRepeats))
	case st.number != first.number:
		s.cellFault(q, s.column("station"), fault.ErrConflict, fmt.Sprintf("%d, as on line %d at the same angle", first.number, first.line))
	case len(st.values) == 0 || len(first.values) == 0:
		s.cellFault(q, reading, fault.ErrMissing, "a reading in every repeat of a station, or one row without a reading")
	default:
		first.values = append(first.values, st.values...)
	}
}

// finish turns the stations into a block and checks them as a whole.
func (s *stations) finish() Readings {
	out := Readings{Unit: s.unitOf(&s.Order[s.column("reading")])}
	if s.SeenFrom == "nose" {
		out.SeenFrom = s.SeenFrom
	}
	list := s.list
	if s.Closing && len(list) > 0 {
		out.Closing = s.closing(&list[len(list)-1])
		list = list[:len(list)-1]
	}
	if len(list) > maxStations {
		s.add(&CellError{list[maxStations].line, 1, "", fmt.Sprintf("station %d", maxStations+1), fmt.Sprintf("at most %d stations", maxStations), fault.ErrTooMany})
		return out
	}
	seen := map[int64]*tableStation{}
	for i := range list {
		st := &list[i]
		if s.has("station") && !st.noPlace && st.number != i+1 {
			s.add(&CellError{st.line, st.numberAt, "station", fmt.Sprint(st.number), fmt.Sprintf("%d: stations counted in the order of the rows", i+1), fault.ErrConflict})
		}
		if s.has("clock") && !st.noPlace {
			s.twice(st, seen)
			out.At = append(out.At, st.clock)
		}
		out.Readings = append(out.Readings, Reading{Repeats: st.values, List: len(st.values) > 1})
	}
	return out
}

// twice refuses a station that an earlier row has read.
func (s *stations) twice(st *tableStation, seen map[int64]*tableStation) {
	key := s.place(st)
	before, again := seen[key]
	if !again {
		seen[key] = st
		return
	}
	want := fmt.Sprintf("every station once: line %d has it already; repeats need a declared column of their own", before.line)
	if st == &s.list[len(s.list)-1] && before == &s.list[0] {
		want += ", and a first station read again at the end needs closing declared"
	}
	class := fault.ErrRepeated
	if len(st.values) > 0 && len(before.values) > 0 && st.values[0].Value != before.values[0].Value {
		class = fault.ErrConflict
	}
	s.add(&CellError{st.line, st.column, "", "the clock angle " + st.clock.Text, want, class})
}

// closing reads the last row as the first station read again.
func (s *stations) closing(last *tableStation) *Number {
	first := &s.list[0]
	wrong := func(value, want string, class error) {
		s.add(&CellError{last.line, last.column, "", value, want, class})
	}
	switch {
	case last.noPlace || first.noPlace:
	case len(s.list) < 2:
		wrong("the only row", "the stations before the closing row", fault.ErrMissing)
	case s.has("clock") && s.place(last) != s.place(first):
		wrong("the clock angle "+last.clock.Text, fmt.Sprintf("%s, or a whole turn more: closing is declared, so the last row is the first station read again", first.clock.Text), fault.ErrConflict)
	case s.has("station") && last.number != 1:
		wrong(fmt.Sprintf("station %d", last.number), "1: closing is declared, so the last row is the first station read again", fault.ErrConflict)
	case len(last.values) != 1:
		wrong(fmt.Sprintf("%d readings", len(last.values)), "one reading in the closing row", fault.ErrConflict)
	default:
		return &last.values[0]
	}
	return nil
}
