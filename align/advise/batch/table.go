package batch

import (
	"bufio"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"example.com/borestack/align"
	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// ErrTable is a table that cannot be read, for errors.Is.
var ErrTable = errors.New("a table that cannot be read")

// byteOrderMark is what spreadsheets put before a table.
const byteOrderMark = "\ufeff"

// The columns of a table of parts that mean something; any other is a label.
const (
	colName  = "part"
	colX     = "x"
	colY     = "y"
	colSize  = "size"
	colClock = "clock"
	colLay   = "lay"
)

// ReadTable reads parts in the order of making from a table with a head line. Each part has its vector,
// as x and y in the unit (x towards 3 o'clock, y towards 12, seen from the tail) or as size and clock (in
// degrees from 12), and may have its name as part and how it lay in the fixture as lay (the fixture's
// clock position of the part's 12 o'clock, degrees). Every other column is a label. Lines that begin with
// # are skipped, empty labels are none.
//
// Faults name the line, as written, and the column; all are told.
func ReadTable(r io.Reader, unit tolerance.Unit) ([]Piece, error) {
	in, head, err := opened(r)
	if err != nil {
		return nil, err
	}
	count := func(a, b string) (n int) {
		for _, column := range head {
			if column == a || column == b {
				n++
			}
		}
		return n
	}
	if cartesian, polar := count(colX, colY), count(colSize, colClock); cartesian+polar != 2 || cartesian == 1 {
		return nil, fault.At("head line", strings.Join(head, ","), "the columns x and y, or size and clock, and not both", fault.ErrMissing)
	}
	var out []Piece
	var wrong []error
	for {
		row, err := in.Read()
		if err == io.EOF {
			return out, errors.Join(wrong...)
		}
		if err != nil {
			return nil, fmt.Errorf("%w: %w", ErrTable, err)
		}
		line, _ := in.FieldPos(0)
		if len(row) != len(head) {
			wrong = append(wrong, fault.At(fmt.Sprintf("line %d", line), fmt.Sprintf("%d fields", len(row)), fmt.Sprintf("%d, as the head line", len(head)), fault.ErrMissing))
			continue
		}
		p, err := piece(head, row, line, unit)
		wrong = append(wrong, err)
		out = append(out, p)
	}
}

// opened is a table behind its head line.
func opened(r io.Reader) (in *csv.Reader, head []string, err error) {
	text := bufio.NewReader(r)
	if mark, _ := text.Peek(len(byteOrderMark)); string(mark) == byteOrderMark {
		text.Discard(len(byteOrderMark)) // as much as was peeked
	}
	in = csv.NewReader(text)
	in.Comment, in.TrimLeadingSpace, in.FieldsPerRecord = '#', true, -1
	if head, err = in.Read(); err != nil {
		return nil, nil, fmt.Errorf("%w: the head line: %w", ErrTable, err)
	}
	for i := range head {
		head[i] = strings.TrimSpace(head[i])
		if slices.Contains(head[:i], head[i]) {
			return nil, nil, fault.At("head line", fmt.Sprintf("%q", head[i]), "each column once", fault.ErrRepeated)
		}
	}
	return in, head, nil
}

// ReadStudy reads a gauge study from a table with the head line person, part, reading: one reading a line,
// in any order, those of one person and part in the order they were taken. Every fault is told, by its line.
func ReadStudy(r io.Reader) (GaugeStudy, error) {
	var g GaugeStudy
	in, head, err := opened(r)
	if err != nil {
		return g, err
	}
	if !slices.Equal(head, []string{"person", "part", "reading"}) {
		return g, fault.At("head line", strings.Join(head, ","), "person,part,reading", fault.ErrMissing)
	}
	in.FieldsPerRecord = len(head)
	var people, parts []string
	index := func(names *[]string, name string) int {
		if i := slices.Index(*names, name); i >= 0 {
			return i
		}
		*names = append(*names, name)
		return len(*names) - 1
	}
	readings := map[[2]int][]float64{}
	var wrong []error
	for {
		row, err := in.Read()
		if err == io.EOF {
			break
		}
		if err != nil {
			return g, fmt.Errorf("%w: %w", ErrTable, err)
		}
		v, err := strconv.ParseFloat(strings.TrimSpace(row[2]), 64)
		if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
			line, _ := in.FieldPos(2)
			wrong = append(wrong, fault.At(fmt.Sprintf("line %d, reading", line), fmt.Sprintf("%q", row[2]), "a number such as 0.012", fault.ErrSyntax))
		}
		at := [2]int{index(&people, strings.TrimSpace(row[0])), index(&parts, strings.TrimSpace(row[1]))}
		readings[at] = append(readings[at], v)
	}
	for i, person := range people {
		g.Readings = append(g.Readings, nil)
		for k, part := range parts {
			one := readings[[2]int{i, k}]
			g.Readings[i] = append(g.Readings[i], one)
			if most := len(readings[[2]int{0, 0}]); len(one) != most {
				wrong = append(wrong, fault.At("person "+person+", part "+part, fmt.Sprintf("%d readings", len(one)), fmt.Sprintf("%d, as %s of %s", most, people[0], parts[0]), fault.ErrMissing))
			}
		}
	}
	return g, errors.Join(wrong...)
}

// piece is one line of the table.
func piece(head, row []string, line int, unit tolerance.Unit) (Piece, error) {
	p := Piece{Labels: map[string]string{}}
	var wrong []error
	var size, clock float64
	for i, column := range head {
		text := strings.TrimSpace(row[i])
		number := func() float64 {
			v, err := strconv.ParseFloat(text, 64)
			if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
				want := "a number such as 0.012"
				if strings.Contains(text, ",") {
					want += ", with a point and not a comma"
				}
				wrong = append(wrong, fault.At(fmt.Sprintf("line %d, %s", line, column), fmt.Sprintf("%q", text), want, fault.ErrSyntax))
			}
			return v
		}
		switch column {
		case colName:
			p.Name = text
		case colX:
			p.At.X = tolerance.Length(number()) * unit.Size()
		case colY:
			p.At.Y = tolerance.Length(number()) * unit.Size()
		case colSize:
			size = number()
		case colClock:
			clock = number()
		case colLay:
			if text != "" {
				p.Lay = tolerance.Given(tolerance.Angle(number()) * tolerance.Degree)
			}
		default:
			if text != "" {
				p.Labels[column] = text
			}
		}
	}
	if slices.Contains(head, colSize) && len(wrong) == 0 {
		if size < 0 {
			wrong = append(wrong, fault.At(fmt.Sprintf("line %d, %s", line, colSize), fmt.Sprint(size), "zero or more", fault.ErrOutOfRange))
		}
		s, c := math.Sincos(clock * math.Pi / 180)
		p.At = align.Vec2{X: tolerance.Length(size*s) * unit.Size(), Y: tolerance.Length(size*c) * unit.Size()}
	}
	return p, errors.Join(wrong...)
}
