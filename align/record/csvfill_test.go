package record_test

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"example.com/borestack/align/record"
	"example.com/borestack/fault"
)

// blankPlate is an invented blank: a plate whose rounds nobody has read.
const blankPlate = `{"format": "borestack-record/1", "units": {"length": "mm"},
"parts": [
 {"name": "case", "rear": {"z": 180, "pilot": {"kind": "bore", "centre": [0, 0], "diameter": 150}}, "bores": [{"name": "bearing", "centre": [0, 0, 20]}]},
 {"name": "plate", "front": {"pilot": {"kind": "spigot", "centre": [0, 0], "diameter": 150}}, "rear": {"pilot": {"kind": "spigot", "centre": [0, 0], "diameter": 150}, "thickness": {"radius": 80, "readings": [null, null, null, null]}}, "bores": [{"name": "bearing", "z": 7, "sweep": {"readings": [null, null, null, null], "unit": "um", "first": 90}}]},
 {"name": "tail", "front": {"pilot": {"kind": "bore", "centre": [0, 0], "diameter": 150}}, "bores": [{"name": "bush", "centre": [0, 0, 230]}]}],
"joints": [{}, {}],
"shafts": [{"name": "main", "supports": [{"bore": "case/bearing", "clearance": 0.04}, {"bore": "plate/bearing", "clearance": 0.04}, {"bore": "tail/bush", "clearance": 0.1}]}]}`

// A blank and a table from a spreadsheet make a record.
func ExampleFill() {
	const readings = `place;station;reading
plate/thickness;1;14,00
plate/thickness;2;14,02
plate/thickness;3;14,04
plate/thickness;4;14,02
plate/bearing;1;0
plate/bearing;2;3
plate/bearing;3;0
plate/bearing;4;-3
clearance of tail/bush;;0,12
`
	rec, notes, err := record.Fill(strings.NewReader(blankPlate), strings.NewReader(readings))
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(notes[0])
	t, err := rec.ReadingsAt("/parts/1/rear/thickness")
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(t.Readings[2].Repeats[0].Text, rec.Shafts[0].Supports[2].Clearance.Text)
	// Output:
	// line 2, column 19: 14,00 is read as 14.00: decimal commas
	// 14.04 0.12
}

func thickness(t *testing.T, r *record.Record) string {
	t.Helper()
	b, err := r.ReadingsAt("/parts/1/rear/thickness")
	if err != nil {
		t.Fatal(err)
	}
	var out []string
	for _, q := range b.Readings {
		var one []string
		for _, n := range q.Repeats {
			one = append(one, n.Text)
		}
		out = append(out, strings.Join(one, "+"))
	}
	for _, n := range b.At {
		out = append(out, "@"+n.Text)
	}
	if b.Closing != nil {
		out = append(out, "closing "+b.Closing.Text)
	}
	return strings.Join(out, " ")
}

// bearing is a full round of the plate's bearing in the table's columns place, station, reading.
const bearing = "plate/bearing,1,0\nplate/bearing,2,1\nplate/bearing,3,0\nplate/bearing,4,-1\n"

func TestFill_rounds(t *testing.T) {
	for name, c := range map[string]struct{ table, want string }{
		"in order":        {"place,station,reading\nplate/thickness,1,14\nplate/thickness,2,14.1\nplate/thickness,3,14.2\n" + bearing, "14 14.1 14.2"},
		"shuffled":        {"place,station,reading\nplate/thickness,3,14.2\n" + bearing + "plate/thickness,1,14\nplate/thickness,2,14.1\n", "14 14.1 14.2"},
		"not reached":     {"place,station,reading\nplate/thickness,1,14\nplate/thickness,2,\nplate/thickness,3,14.2\nplate/thickness,4,14.1\n" + bearing, "14  14.2 14.1"},
		"repeats in rows": {"place,station,reading\nplate/thickness,1,14\nplate/thickness,1,14.01\nplate/thickness,2,14.1\nplate/thickness,3,14.2\n" + bearing, "14+14.01 14.1 14.2"},
		"closing":         {"place,station,reading\nplate/thickness,1,14\nplate/thickness,2,14.1\nplate/thickness,3,14.2\nplate/thickness,closing,14.001\n" + bearing, "14 14.1 14.2 closing 14.001"},
		"inches":          {"place,station,reading [in]\nplate/thickness,1,0.5\nplate/thickness,2,0.50\nplate/thickness,3,0.51\n/parts/1/bores/0/sweep,1,0\n/parts/1/bores/0/sweep,2,0\n/parts/1/bores/0/sweep,3,0\n", "12.7 12.7 12.954"},
		"clock":           {"clock,place,reading\n0,plate/thickness,14\n100,plate/thickness,14.1\n200,plate/thickness,14.2\n,plate/bearing,0\n,plate/bearing,0\n,plate/bearing,0\n", "14 14.1 14.2 @0 @100 @200"},
		"rows alone":      {"place\treading\treading\nplate/thickness\t14\t14.01\nplate/thickness\t14,1\t\nplate/thickness\t14.2\t\n", ""},
	} {
		r, _, err := record.Fill(strings.NewReader(blankPlate), strings.NewReader(c.table))
		if c.want == "" { // two decimal marks in one table
			var cell *record.CellError
			if !errors.As(err, &cell) || cell.Line != 3 || !errors.Is(err, record.ErrAmbiguous) {
				t.Errorf("%s: %v", name, err)
			}
			continue
		}
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if got := thickness(t, r); got != c.want {
			t.Errorf("%s: %q, want %q", name, got, c.want)
		}
	}
}

// What cannot be meant names its line and column; what is not filled, its place.
func TestFill_faults(t *testing.T) {
	for name, c := range map[string]struct {
		table        string
		line, column int
		want         string
		class        error
	}{
		"no header":            {"plate/thickness,1,14\n", 1, 1, "a column's name", fault.ErrUnknownName},
		"no reading":           {"place,station\nplate/thickness,1\n", 1, 1, `a column "reading"`, fault.ErrMissing},
		"a column twice":       {"place,place,reading\n", 1, 7, "once", fault.ErrRepeated},
		"misspelt place":       {"place,station,reading\nplate/thicknes,1,14\n", 2, 1, `perhaps "plate/thickness"`, fault.ErrUnknownName},
		"no such pointer":      {"place,station,reading\n/parts/9,1,14\n", 2, 1, "a JSON Pointer to", fault.ErrUnknownName},
		"decimal comma":        {"place,station,reading\nplate/thickness,1,14,02\n", 2, 1, "decimal commas", fault.ErrConflict},
		"quoted decimal comma": {"place,station,reading\nplate/thickness,1,\"14,02\"\n", 2, 19, `"14.02" if "," is meant`, record.ErrAmbiguous},
		"no number":            {"place,station,reading\nplate/thickness,1,14O\n", 2, 19, "a number", record.ErrNotNumber},
		"station 0":            {"place,station,reading\nplate/thickness,0,14\n", 2, 17, "a whole number from 1", record.ErrNotNumber},
		"a gap":                {"place,station,reading\nplate/thickness,1,14\nplate/thickness,3,14\nplate/thickness,3,14\n", 2, 1, "a row for every station", fault.ErrMissing},
		"a station too far":    {"place,station,reading\nplate/thickness,1,14\nplate/thickness,9,14\n", 3, 1, "without a gap", fault.ErrConflict},
		"two closings":         {"place,station,reading\nplate/thickness,closing,14\nplate/thickness,closing,14\n", 3, 1, "one closing reading", fault.ErrConflict},
		"a clearance twice":    {"place,reading\nclearance of tail/bush,1\nclearance of tail/bush,2\n", 3, 1, "one row", fault.ErrRepeated},
		"unit":                 {"place,reading,unit\nclearance of tail/bush,1,furlong\n", 2, 26, "mm, um", nil},
		"empty":                {"", 1, 1, "a column's name", fault.ErrUnknownName},
	} {
		_, _, err := record.Fill(strings.NewReader(blankPlate), strings.NewReader(c.table))
		var cell *record.CellError
		if !errors.As(err, &cell) || cell.Line != c.line || cell.Column != c.column || !strings.Contains(cell.Want, c.want) || c.class != nil && !errors.Is(err, c.class) {
			t.Errorf("%s: %v, want %d:%d %q", name, err, c.line, c.column, c.want)
		}
	}
	_, _, err := record.Fill(strings.NewReader(blankPlate), strings.NewReader("place,reading\nclearance of tail/bush,1\n"))
	var f *fault.FieldError
	if !errors.As(err, &f) || f.Path != "/parts/1/rear/thickness/readings" || !strings.Contains(f.Error(), "not filled in: want a reading in place of each null") {
		t.Error(err)
	}
}

// A table never panics, and a record that is filled is one that decodes.
func FuzzFill(f *testing.F) {
	f.Add("place,station,reading\nplate/thickness,1,14\n" + bearing)
	f.Add("place;reading\nplate/thickness;14,1\n")
	f.Add("clock\tplace\treading [in]\n0\t/parts/1/rear/thickness\t1\n")
	f.Fuzz(func(t *testing.T, table string) {
		r, _, err := record.Fill(strings.NewReader(blankPlate), strings.NewReader(table))
		if err != nil {
			return
		}
		var b strings.Builder
		if err := r.Encode(&b); err != nil {
			t.Fatal(err)
		}
		if _, err := record.Decode(strings.NewReader(b.String())); err != nil {
			t.Fatal(err)
		}
	})
}
