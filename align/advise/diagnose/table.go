package diagnose

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

	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// head is the head line of a table of sights.
var head = []string{"seen", "of", "at", "value", "clock", "u"}

// byteOrderMark is what spreadsheets put before a table.
const byteOrderMark = "\ufeff"

// columns are what each kind of sight must have, and what it may have besides.
var columns = map[Kind]struct{ must, may []string }{
	Sweep:   {[]string{"value", "clock"}, []string{"u"}},
	EndPlay: {[]string{"value"}, []string{"u"}},
	Worn:    {[]string{"clock"}, []string{"at"}},
	Bright:  {[]string{"at"}, nil},
	Weeps:   {[]string{"clock"}, nil},
}

// ReadTable reads sights from a table with the head line seen,of,at,value,clock,u: what is seen (sweep, end
// play, worn, bright, weeps), the bore, chain, mesh or joint, front or rear where it matters, a value and
// its standard uncertainty in the unit, and a clock position in degrees from 12, seen from the tail. Which
// of them a sight has follows from what is seen (see [Seen]); another, or one that is missing, is a fault.
// Lines that begin with # are skipped. Every fault is told, by its line.
func ReadTable(r io.Reader, unit tolerance.Unit) (out []Seen, err error) {
	text := bufio.NewReader(r)
	if mark, _ := text.Peek(len(byteOrderMark)); string(mark) == byteOrderMark {
		text.Discard(len(byteOrderMark)) // as much as was peeked
	}
	in := csv.NewReader(text)
	in.Comment, in.FieldsPerRecord, in.TrimLeadingSpace = '#', len(head), true
	first, err := in.Read()
	if err != nil || !slices.Equal(first, head) {
		return nil, fault.At("head line", strings.Join(first, ","), strings.Join(head, ","), fault.ErrMissing)
	}
	var wrong []error
	for {
		row, err := in.Read()
		if err == io.EOF {
			return out, errors.Join(wrong...)
		}
		if err != nil {
			return nil, fault.At("table", err.Error(), "six fields a line", fault.ErrSyntax)
		}
		line, _ := in.FieldPos(0)
		say := func(column int, want string) {
			wrong = append(wrong, fault.At(fmt.Sprintf("line %d, %s", line, head[column]), fmt.Sprintf("%q", row[column]), want, fault.ErrSyntax))
		}
		v := Seen{Of: row[1]}
		for kind, word := range kinds {
			if word == row[0] {
				v.Kind = kind
			}
		}
		if v.Kind == 0 {
			say(0, "sweep, end play, worn, bright or weeps")
		}
		for column, name := range head[2:] {
			c, known := columns[v.Kind]
			must := slices.Contains(c.must, name)
			switch empty := row[column+2] == ""; {
			case !known:
			case must && empty:
				say(column+2, "what a sight of this kind has")
			case !empty && !must && !slices.Contains(c.may, name):
				say(column+2, "nothing: a sight of this kind has none")
			}
		}
		switch row[2] {
		case "":
		case "front":
			v.At = Front
		case "rear":
			v.At = Rear
		default:
			say(2, "front, rear or nothing")
		}
		number := func(column int) float64 {
			if row[column] == "" {
				return 0
			}
			x, err := strconv.ParseFloat(row[column], 64)
			if err != nil || math.IsNaN(x) || math.IsInf(x, 0) {
				say(column, "a number such as 0.12")
			}
			return x
		}
		v.Value = tolerance.Length(number(3)) * unit.Size()
		v.Clock = tolerance.Angle(number(4)) * tolerance.Degree
		v.U = tolerance.Length(number(5)) * unit.Size()
		out = append(out, v)
	}
}
