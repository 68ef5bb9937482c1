package record_test

import (
	"bytes"
	"errors"
	"fmt"
	"reflect"
	"strings"
	"testing"

	"example.com/borestack/align/record"
	"example.com/borestack/fault"
)

// dial declares clock angles and readings in thou.
func dial(is ...string) record.Columns {
	return record.Columns{Order: columns(is...), Unit: "thou", Decimal: ".", Separator: ","}
}

func writeReadings(t *testing.T, r record.Readings, c record.Columns) string {
	t.Helper()
	var b bytes.Buffer
	if err := record.WriteReadings(&b, r, c); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func ExampleReadReadings() {
	// A dial in a bore: six stations, one behind a rib, two read twice, the first again at the end.
	table := "clock,reading,reading\n0,0,\n60,-1.5,-1.0\n120,-4,-4\n180,,\n240,-3,\n300,-0.5,\n360,0.5,\n"
	r, err := record.ReadReadings(strings.NewReader(table), record.Columns{
		Order: []record.Column{{Is: "clock"}, {Is: "reading"}, {Is: "reading"}},
		Unit:  "thou", Decimal: ".", Separator: ",", Header: true, Closing: true,
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	for i, s := range r.Readings {
		text, _ := s.MarshalJSON()
		fmt.Println(r.At[i].Text, string(text))
	}
	fmt.Println("closing", r.Closing.Text, r.Unit)
	// Output:
	// 0 0
	// 60 [-1.5,-1.0]
	// 120 [-4,-4]
	// 180 null
	// 240 -3
	// 300 -0.5
	// closing 0.5 thou
}

// Every layout that holds the readings reads back to the same block, and writes the same bytes.
func TestReadings_roundTripBytes(t *testing.T) {
	with := func(c record.Columns, change func(*record.Columns)) record.Columns {
		change(&c)
		return c
	}
	for _, q := range []struct {
		name, text string
		c          record.Columns
		json       string // of the readings
	}{
		{"equal steps", "0.0\n-1.50\n2\n", dial("reading"), `[0.0,-1.50,2]`},
		{"out of reach, alone", "0.0\n\"\"\n2\n4\n", dial("reading"), `[0.0,null,2,4]`},
		{"clock", "0,1\n90.0,2\n-90,\n200,4\n", dial("clock", "reading"), `[1,2,null,4]`},
		{"stations", "1,1\n2,2\n3,\n4,5\n", dial("station", "reading"), `[1,2,null,5]`},
		{"repeats in columns", "0,1,1.5\n90,2,\n180,,\n200,4,4\n", dial("clock", "reading", "reading"), `[[1,1.5],2,null,[4,4]]`},
		{"repeats in rows", "1,0,1,1.0\n1,0,2,1.5\n2,120,1,2\n3,240,1,\n", dial("station", "clock", "repeat", "reading"), `[[1.0,1.5],2,null]`},
		{"closing", "0,1\n120,2\n240,3\n0,1.5\n", with(dial("clock", "reading"), func(c *record.Columns) { c.Closing = true }), `[1,2,3]`},
		{"from the nose", "clock [deg],reading [thou]\n0,1\n120,2\n240,3\n", with(dial("clock", "reading"), func(c *record.Columns) { c.SeenFrom, c.Header = "nose", true }), `[1,2,3]`},
		{"decimal comma", "0,5;1,25\r\n120,0;2,0\r\n240;3\r\n", with(dial("clock", "reading"), func(c *record.Columns) { c.Decimal, c.Separator, c.CRLF = ",", ";", true }), `[1.25,2.0,3]`},
		{"beside", "0,1,\n120,2,\n240,3,\n", dial("clock", "reading", "skip"), `[1,2,3]`},
	} {
		r, err := record.ReadReadings(strings.NewReader(q.text), q.c)
		if err != nil {
			t.Errorf("%s: %v", q.name, err)
			continue
		}
		var text []string
		for _, v := range r.Readings {
			b, err := v.MarshalJSON()
			if err != nil {
				t.Fatal(err)
			}
			text = append(text, string(b))
		}
		if got := "[" + strings.Join(text, ",") + "]"; got != q.json {
			t.Errorf("%s: %s, want %s", q.name, got, q.json)
		}
		if got := writeReadings(t, r, q.c); got != q.text {
			t.Errorf("%s: %q becomes %q", q.name, q.text, got)
		}
	}
	// going round the part three times: the rows of one station need not lie together
	rounds := "0,1,1\n120,1,2\n240,1,3\n0,2,1.5\n120,2,2.5\n240,2,3.5\n"
	r, err := record.ReadReadings(strings.NewReader(rounds), dial("clock", "repeat", "reading"))
	if err != nil || len(r.Readings) != 3 || r.Readings[1].Repeats[1].Text != "2.5" {
		t.Error(r, err)
	}
}

func TestReadReadings_faults(t *testing.T) {
	closing := dial("clock", "reading")
	closing.Closing = true
	counted := dial("station", "reading")
	counted.Closing = true
	for _, q := range []struct {
		name, text   string
		c            record.Columns
		line, column int
		class        error
		want         string
	}{
		{"station twice", "0,1\n90,2\n450,3\n180,4\n", dial("clock", "reading"), 3, 5, fault.ErrConflict, "line 2 has it"},
		{"station twice, same reading", "0,1\n90,2\n90.0,2\n180,4\n", dial("clock", "reading"), 3, 6, fault.ErrRepeated, "line 2 has it"},
		{"station twice, from either side", "0,1\n-90,2\n180,3\n270,4\n", dial("clock", "reading"), 4, 5, fault.ErrConflict, "line 2 has it"},
		{"closing undeclared", "0,1\n90,2\n180,4\n360,1\n", dial("clock", "reading"), 4, 5, fault.ErrRepeated, "closing declared"},
		{"closing elsewhere", "0,1\n90,2\n180,4\n270,1\n", closing, 4, 5, fault.ErrConflict, "0, or a whole turn more"},
		{"closing not read", "0,1\n90,2\n180,4\n360,\n", closing, 4, 5, fault.ErrConflict, "one reading"},
		{"closing alone", "0,1\n", closing, 1, 3, fault.ErrMissing, "before the closing row"},
		{"closing station", "1,1\n2,2\n3,4\n4,1\n", counted, 4, 3, fault.ErrConflict, "1: closing"},
		{"missing station", "1,1\n2,2\n4,4\n", dial("station", "reading"), 3, 1, fault.ErrConflict, "3: stations counted"},
		{"station's name", "1,1\nB,2\n3,4\n", dial("station", "reading"), 2, 1, record.ErrNotNumber, "whole number"},
		{"station 0", "0,1\n1,2\n2,4\n", dial("station", "reading"), 1, 1, record.ErrNotNumber, "from 1"},
		{"gap in repeats", "0,1,,2\n", dial("clock", "reading", "reading", "reading"), 1, 5, fault.ErrMissing, "filled from the left"},
		{"repeat missing", "0,1,1\n90,1,2\n0,3,1\n", dial("clock", "repeat", "reading"), 3, 3, fault.ErrConflict, "2: the station's repeats"},
		{"first repeat missing", "0,2,1\n", dial("clock", "repeat", "reading"), 1, 3, fault.ErrConflict, "1: the station's first"},
		{"repeat not read", "0,1,1\n0,2,\n", dial("clock", "repeat", "reading"), 2, 5, fault.ErrMissing, "in every repeat"},
		{"another station at this angle", "1,0,1,1\n2,0,2,1\n", dial("station", "clock", "repeat", "reading"), 2, 1, fault.ErrConflict, "as on line 1"},
		{"unit", "0,0.1 mm\n", dial("clock", "reading"), 1, 3, fault.ErrConflict, "in thou, alone"},
		{"no angle", ",1\n", dial("clock", "reading"), 1, 1, fault.ErrMissing, "a number"},
		{"blank line", "1\n\n3\n4\n", dial("reading"), 2, 1, fault.ErrMissing, `""`},
		{"blank last line", "1\n2\n3\n\n", dial("reading"), 4, 1, fault.ErrMissing, `""`},
		{"NaN", "0,NaN\n", dial("clock", "reading"), 1, 3, fault.ErrNotFinite, "finite"},
		{"not reached, in words", "0,n/a\n", dial("clock", "reading"), 1, 3, record.ErrNotNumber, "a number"},
		{"too many", strings.Repeat("1\n", 2001), dial("reading"), 2001, 1, fault.ErrTooMany, "2000"},
		{"far too many", strings.Repeat("1\n", 1<<17), dial("reading"), 2001, 1, fault.ErrTooMany, "2000"},
	} {
		_, err := record.ReadReadings(strings.NewReader(q.text), q.c)
		var e *record.CellError
		if !errors.As(err, &e) {
			t.Errorf("%s: %v", q.name, err)
			continue
		}
		if e.Line != q.line || e.Column != q.column || !errors.Is(e, q.class) || !strings.Contains(e.Want, q.want) {
			t.Errorf("%s: %v", q.name, err)
		}
	}
	for name, c := range map[string]record.Columns{
		"/order: clock":        dial("clock"),
		"/order/0/is":          dial("x", "reading"),
		"/order/1/unit":        {Order: []record.Column{{Is: "reading"}, {Is: "reading", Unit: "mm"}}, Unit: "thou", Decimal: ".", Separator: ","},
		"/order: repeat":       dial("repeat", "reading"),
		"/order: clock, repea": dial("clock", "repeat", "reading", "reading"),
		"/closing":             {Order: columns("clock", "repeat", "reading"), Unit: "thou", Decimal: ".", Separator: ",", Closing: true},
		"/seen_from":           {Order: columns("reading"), Unit: "thou", Decimal: ".", Separator: ",", SeenFrom: "front"},
	} {
		_, err := record.ReadReadings(strings.NewReader("1\n"), c)
		var f *fault.FieldError
		if !errors.As(err, &f) || !strings.Contains(err.Error(), name) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// What a table cannot hold is refused, not left out.
func TestWriteReadings_losesNothing(t *testing.T) {
	num := func(v float64) *record.Number { n := record.Num(v); return &n }
	block := func() record.Readings {
		var r record.Readings
		r.Unit = "thou"
		for _, v := range []float64{0, 1, 2} {
			r.Readings = append(r.Readings, record.Reading{Repeats: []record.Number{record.Num(v)}})
		}
		return r
	}
	for path, change := range map[string]func(*record.Readings){
		"/unit":       func(r *record.Readings) { r.Unit = "" },
		"/order":      func(r *record.Readings) { r.First = num(30) },
		"/seen_from":  func(r *record.Readings) { r.SeenFrom = "nose" },
		"/closing":    func(r *record.Readings) { r.Closing = num(1) },
		"/readings/1": func(r *record.Readings) { r.Readings[1].Repeats = append(r.Readings[1].Repeats, record.Num(2)) },
		"/at":         func(r *record.Readings) { r.At = []record.Number{record.Num(2)} },
		"/readings":   func(r *record.Readings) { r.Readings = nil },
	} {
		r := block()
		change(&r)
		var b bytes.Buffer
		err := record.WriteReadings(&b, r, dial("reading"))
		var f *fault.FieldError
		if !errors.As(err, &f) || f.Path != path || b.Len() > 0 {
			t.Errorf("%s: %v", path, err)
		}
	}
	// equal steps are written out where the table has angles
	r := block()
	r.First = num(15)
	if got := writeReadings(t, r, dial("clock", "reading")); got != "15,0\n135,1\n255,2\n" {
		t.Errorf("%q", got)
	}
}

// FuzzReadReadings: no bytes make it panic. What it accepts is written so that it reads back to the same block.
func FuzzReadReadings(f *testing.F) {
	f.Add("0,1\n90,2\n180,\n", uint8(0))
	f.Add("1\n\"\"\n3\n", uint8(1))
	f.Add("0,1,2\n90,2,\n180,,\n0,1,\n", uint8(2|8))
	f.Add("0,1,1\n0,2,2\n90,1,\n", uint8(3))
	f.Fuzz(func(t *testing.T, text string, how uint8) {
		c := [4]record.Columns{dial("clock", "reading"), dial("reading"), dial("clock", "reading", "reading"), dial("clock", "repeat", "reading")}[how&3]
		if how&4 != 0 {
			c.Decimal, c.Separator = ",", ";"
		}
		c.Closing = how&8 != 0 && how&3 != 3
		c.Header = how&16 != 0
		r, err := record.ReadReadings(strings.NewReader(text), c)
		if err != nil {
			var e *record.CellError
			if !errors.As(err, &e) || e.Line < 1 || e.Column < 1 || e.Want == "" {
				t.Fatalf("no place: %v", err)
			}
			return
		}
		once := writeReadings(t, r, c)
		again, err := record.ReadReadings(strings.NewReader(once), c)
		if err != nil || !reflect.DeepEqual(r, again) {
			t.Fatalf("%q: %+v becomes %+v, %v", once, r, again, err)
		}
	})
}
