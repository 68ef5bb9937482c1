package record_test

import (
	"errors"
	"fmt"
	"math"
	"os"
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
	fmt.Println(rec.Parts[1].Rear.Thickness.Readings.Readings[2].Repeats[0].Text, rec.Shafts[0].Supports[2].Clearance.Text)
	// Output:
	// line 2, column 19: 14,00 is read as 14.00: decimal commas
	// 14.04 0.12
}

func thickness(t *testing.T, r *record.Record) string {
	t.Helper()
	b := &r.Parts[1].Rear.Thickness.Readings
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
		"clock's hands":   {"clock,place,reading\n12:00,plate/thickness,14\n4:30,plate/thickness,14.1\n200.5,plate/thickness,14.2\n,plate/bearing,0\n,plate/bearing,0\n,plate/bearing,0\n", "14 14.1 14.2 @0 @135 @200.5"},
		"part and face":   {"part,face,station,reading\nplate,rear,1,14\nplate,Rear,2,14.1\nplate,thickness,3,14.2\n" + strings.ReplaceAll(bearing, "plate/bearing", "plate,bearing") + "tail,bush,,0.2\n", "14 14.1 14.2"},
		"rows alone":      {"place\treading\treading\nplate/thickness\t14\t14.01\nplate/thickness\t14,1\t\nplate/thickness\t14.2\t\n", ""},
	} {
		r, _, err := record.Fill(strings.NewReader(blankPlate), strings.NewReader(c.table))
		if c.want == "" { // two decimal marks in one table
			var cell *fault.FieldError
			if !errors.As(err, &cell) || !at(cell, 3, 0) || !errors.Is(err, record.ErrAmbiguous) {
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

// at reports whether a fault of a table is in a line and column; 0: in any.
func at(f *fault.FieldError, line, column int) bool {
	place := fmt.Sprintf("table: line %d, column %d", line, column)
	rest, is := strings.CutPrefix(f.Path, strings.TrimSuffix(place, " 0"))
	return is && (column == 0 || rest == "" || rest[0] == ' ')
}

// What cannot be meant names its line and column; what is not filled, its place.
func TestFill_faults(t *testing.T) {
	for name, c := range map[string]struct {
		table        string
		line, column int
		want         string
		class        error
	}{
		"place and part":       {"place,part,reading\nplate/thickness,plate,14\n", 1, 1, `or "part" and "face"`, fault.ErrMissing},
		"no such face":         {"part,face,reading\nplate,middle,14\n", 2, 1, "one of ", fault.ErrUnknownName},
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
		"clock in radians":     {"place,reading,clock [rad]\nplate/thickness,14,0\n", 1, 15, "degrees", nil},
		"a place in a round":   {"place,station,reading,x,y,z\nplate/thickness,1,14,3,4,\n", 2, 1, "readings, not points", fault.ErrConflict},
		"a clock of x and y":   {"place,x,y,z,clock\nplate/rear points,1,2,3,90\n", 2, 1, "and nothing else", fault.ErrConflict},
		"hours of points":      {"place,radius,clock,z\nplate/rear points,80,12,1\nplate/rear points,80,3,1\nplate/rear points,80,6,1\nplate/rear points,80,9,1\n", 2, 22, "4:30", fault.ErrOutOfRange},
		"hours round a centre": {"place,radius,clock,z\nplate/rear points,0,90,1\nplate/rear points,80,12,1\nplate/rear points,80,3,1\nplate/rear points,80,6,1\n", 3, 22, "4:30", fault.ErrOutOfRange},
		"hours of a round":     {"place,clock,reading\nplate/thickness,12,14\nplate/thickness,3,14.1\nplate/thickness,6,14\nplate/thickness,9,14\n", 2, 17, "4:30", fault.ErrOutOfRange},
		"an hour among times":  {"place,clock,reading\nplate/thickness,12:00,14\nplate/thickness,3,14.1\nplate/thickness,6:00,14\nplate/thickness,9:00,14\n", 3, 17, "4:30", fault.ErrOutOfRange},
		"clocks of repeats":    {"place,station,clock,reading\nplate/thickness,1,0,14\nplate/thickness,1,90,14.1\nplate/thickness,2,120,14\nplate/thickness,3,240,14\n", 3, 19, "one clock", fault.ErrConflict},
		"no such time":         {"place,clock,reading\nplate/thickness,4:75,14\n", 2, 17, "4:30", record.ErrNotNumber},
		"unit of an angle":     {"place,reading,unit\nclearance of tail/bush,1,deg\n", 2, 26, "mm, um", nil},
		"empty":                {"", 1, 1, "a column's name", fault.ErrUnknownName},
	} {
		_, _, err := record.Fill(strings.NewReader(blankPlate), strings.NewReader(c.table))
		var cell *fault.FieldError
		if !errors.As(err, &cell) || !at(cell, c.line, c.column) || !strings.Contains(cell.Want, c.want) || c.class != nil && !errors.Is(err, c.class) {
			t.Errorf("%s: %v, want %d:%d %q", name, err, c.line, c.column, c.want)
		}
	}
	_, _, err := record.Fill(strings.NewReader(blankPlate), strings.NewReader("place,reading\nclearance of tail/bush,1\n"))
	var f *fault.FieldError
	if !errors.As(err, &f) || f.Path != "/parts/1/rear/thickness/readings" || !strings.Contains(f.Error(), "not filled in: want a reading in place of each null") {
		t.Error(err)
	}
}

// A number of the record counts in its own unit: a reading in that of its round, and what is no length in
// none, so that a table's unit of length beside it is refused.
func TestFill_unitOfNumber(t *testing.T) {
	blank := strings.NewReplacer(`"z": 7, "sweep": {"readings": [null, null, null, null]`, `"z": 7, "sweep": {"readings": [1, 2, 3, null]`, "[null, null, null, null]", "[14, 14, 14]").Replace(blankPlate)
	for _, c := range []struct{ table, fault, want string }{
		{"place,reading,unit\n/parts/1/bores/0/sweep/readings/1,0.5,mm\n", "", "500"},
		{"place,reading,unit\n/parts/1/bores/0/sweep/readings/1,0.5,\n", "", "0.5"},
		{"place,reading [um]\n/parts/1/bores/0/sweep/first,15\n", "no unit of length", ""},
		{"place,reading [in]\n/parts/0/temperature,20\n", "a JSON Pointer to", ""},
		{"place,reading [mm],unit\n/parts/1/bores/0/sweep/first,15,thou\n", "no unit of length", ""},
	} {
		r, _, err := record.Fill(strings.NewReader(blank), strings.NewReader(c.table))
		if c.want == "" {
			var f *fault.FieldError
			if !errors.As(err, &f) || !strings.Contains(f.Want, c.fault) {
				t.Errorf("%q: %v", c.table, err)
			}
			continue
		}
		if err != nil || r.Parts[1].Bores[0].Sweep.Readings.Readings[1].Repeats[0].Text != c.want {
			t.Errorf("%q: %v", c.table, err)
		}
	}
}

// One row of a table of clearances in millimetres, whose cell is wrong.
func TestFill_cells(t *testing.T) {
	for name, c := range map[string]struct {
		cell, want string
		class      error
	}{
		"thousands apart":   {"1 234", "without gaps", record.ErrAmbiguous},
		"apostrophe":        {"1'234.5", "without gaps", record.ErrAmbiguous},
		"both marks":        {"1,234.5", "no thousands separators", record.ErrAmbiguous},
		"two points":        {"1.234.5", "one decimal mark", record.ErrAmbiguous},
		"its own unit":      {"0.1 mm", "stands elsewhere", record.ErrNotNumber},
		"another unit":      {"0.1 um", "in mm, alone", fault.ErrConflict},
		"not a number":      {"NaN", "finite", fault.ErrNotFinite},
		"a sheet's error":   {"#DIV/0!", "finite", fault.ErrNotFinite},
		"overflow":          {"1e99999", "exponent", fault.ErrOutOfRange},
		"absurd":            {"1e6", "100 m", fault.ErrOutOfRange},
		"long":              {strings.Repeat("0", 100), "64", fault.ErrOutOfRange},
		"hexadecimal":       {"0x10", "a number", record.ErrNotNumber},
		"typographic minus": {"\u22123", `"-"`, record.ErrNotNumber},
		"empty":             {"", "one reading", nil},
	} {
		_, _, err := record.Fill(strings.NewReader(blankPlate), strings.NewReader("place;reading [mm]\nclearance of tail/bush;"+c.cell+"\n"))
		var cell *fault.FieldError
		column := 24
		if c.cell == "" {
			column = 1
		}
		if !errors.As(err, &cell) || !at(cell, 2, column) || !strings.Contains(cell.Want, c.want) || c.class != nil && !errors.Is(err, c.class) {
			t.Errorf("%s: %v", name, err)
		}
	}
	for name, table := range map[string]string{
		"a stray quote mark": "place,reading\nclearance of tail/bush,0.1\"\n",
		"a blank line":       "place,reading\n\nclearance of tail/bush,0.1\n",
		"not UTF-8":          "place,reading\n\xffclearance of tail/bush,0.1\n",
		"the head alone":     "place,reading\n",
	} {
		_, _, err := record.Fill(strings.NewReader(blankPlate), strings.NewReader(table))
		var cell *fault.FieldError
		if !errors.As(err, &cell) || !at(cell, 2, 0) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// What JSON does not write is brought into its form, without another value; a byte order mark, CRLF,
// quotes round cells and blank lines at the end change nothing.
func TestFill_forms(t *testing.T) {
	const table = "\ufeffplace,reading,unit\r\n\"/shafts/0/supports/0/clearance\",+.05,\r\n/shafts/0/supports/1/clearance, 00.07 ,mm\r\nclearance of tail/bush,4e-3,inch\r\n" +
		"plate/thickness,1.,m\r\nplate/thickness,1.0,m\r\nplate/thickness,1,m\r\nplate/bearing,0,\r\nplate/bearing,0,\r\nplate/bearing,0,\r\n\r\n"
	r, _, err := record.Fill(strings.NewReader(blankPlate), strings.NewReader(table))
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []string{"0.05", "0.07", "0.1016"} { // Source: hand calculation, an inch is 25.4 mm
		if got := r.Shafts[0].Supports[i].Clearance.Text; got != want {
			t.Errorf("%s, want %s", got, want)
		}
	}
	if got := thickness(t, r); got != "1000 1000 1000" {
		t.Error(got)
	}
}

// A blank that went through a spreadsheet and came back as it was says where it is not filled in. Every round has a row for its closing reading, as the sheet has.
func TestFill_blankTable(t *testing.T) {
	blank, err := record.Decode(strings.NewReader(strings.NewReplacer("null, null, null, null", "14, 14, 14, 14").Replace(blankPlate)))
	if err != nil {
		t.Fatal(err)
	}
	blank.Parts[1].Rear.Thickness.Readings.Readings = make([]record.Reading, 4)
	blank.Parts[1].Bores[0].Sweep.Readings.Readings = make([]record.Reading, 4)
	var table strings.Builder
	if err := blank.WriteTable(&table); err != nil {
		t.Fatal(err)
	}
	_, _, err = record.Fill(strings.NewReader(blankPlate), strings.NewReader(table.String()))
	var cell *fault.FieldError
	if !errors.As(err, &cell) || cell.Value != `"plate/bearing"` || !at(cell, 2, 0) || !strings.Contains(err.Error(), `line 7, column 1: "plate/thickness": not filled in`) {
		t.Errorf("%v\n%s", err, table.String())
	}
	const head = "place,station,reading,unit\n"
	if !strings.HasPrefix(table.String(), head+"plate/bearing,1,,um\n") || strings.Count(table.String(), ",closing,,") != 2 || !strings.HasSuffix(table.String(), "clearance of tail/bush,,0.1,mm\n") {
		t.Error(table.String())
	}
}

// What a record holds goes out as a table and comes back, digit for digit: readings with gaps, repeats
// and a closing reading, points, clearances.
func TestRecord_WriteTable_roundTrip(t *testing.T) {
	const full = `{"format": "borestack-record/1", "units": {"length": "in"},
"parts": [
 {"name": "case", "rear": {"points": [[3.50, 0.0, 4], [-1.75, 3.031, 4.001], [-1.75, -3.031, 3.9990]], "pilot": {"kind": "bore", "diameter": 5, "sweep": {"unit": "thou", "readings": [0, [1.0, 1.5], null, -0.50, 2], "closing": 0.1}}}, "bores": [{"name": "rear points", "z": 0, "sweep": {"readings": [1, 2, 3]}}, {"name": "bearing", "centre": [0, 0, 1]}]},
 {"name": "tail", "front": {"pilot": {"kind": "spigot", "centre": [0, 0], "diameter": 5}}, "bores": [{"name": "bush", "centre": [0, 0, 9]}]}],
"joints": [{}],
"shafts": [{"name": "main", "supports": [{"bore": "case/bearing", "clearance": 0.0050}, {"bore": "tail/bush", "fit": "35 H7/g6"}]}]}`
	r, err := record.Decode(strings.NewReader(full))
	if err != nil {
		t.Fatal(err)
	}
	var table, before, after strings.Builder
	if err := r.WriteTable(&table); err != nil {
		t.Fatal(err)
	}
	if err := r.Encode(&before); err != nil {
		t.Fatal(err)
	}
	emptied := strings.NewReplacer("[3.50, 0.0, 4], [-1.75, 3.031, 4.001], [-1.75, -3.031, 3.9990]", "", "0, [1.0, 1.5], null, -0.50, 2", "null", "0.0050", "1").Replace(full)
	got, _, err := record.Fill(strings.NewReader(emptied), strings.NewReader(table.String()))
	if err != nil {
		t.Fatalf("%v\n%s", err, table.String())
	}
	if !strings.Contains(table.String(), "\n/parts/0/bores/0/sweep,1,1,in,,,\n") || !strings.Contains(table.String(), "\n/parts/0/rear,,,in,3.50,0.0,4\n") {
		t.Error("a name that two places share is written", table.String())
	}
	if err := got.Encode(&after); err != nil || after.String() != before.String() {
		t.Errorf("%v\n%s\nbecame\n%s", err, before.String(), after.String())
	}
}

// Source: coordinates found in a public engineering forum thread on flatness (testdata/README.md).
func TestFill_publishedPoints(t *testing.T) {
	raw, err := os.ReadFile("testdata/points_flatness.csv")
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimSpace(string(raw)), "\r\n")
	table := "place," + strings.Join(lines, "\r\n/parts/0/rear,")
	rec := strings.Replace(blankPlate, `"rear": {"z": 180,`, `"rear": {"points": [],`, 1)
	rec = strings.ReplaceAll(rec, "null, null, null, null", "14, 14, 14, 14")
	r, _, err := record.Fill(strings.NewReader(rec), strings.NewReader(table))
	if err != nil {
		t.Fatal(err)
	}
	if p := r.Parts[0].Rear.Points; len(p) != 5 || p[3][0].Value != 25.5 || p[3][2].Text != "1.03" {
		t.Errorf("%v", p)
	}
	// by radius and clock: Source: hand calculation, x = r sin θ, y = r cos θ
	table = "place,radius [thou],clock,z\ncase/rear points,3000,0,1\ncase/rear points,3000,90,2\ncase/rear points,3000,210,3\n"
	if r, _, err = record.Fill(strings.NewReader(rec), strings.NewReader(table)); err != nil {
		t.Fatal(err)
	}
	p := r.Parts[0].Rear.Points
	if p[0][0].Value != 0 || p[0][1].Value != 76.2 || p[1][0].Value != 76.2 || p[1][1].Value != 0 ||
		math.Abs(p[2][0].Value+38.1) > 1e-12 || math.Abs(p[2][1].Value+76.2*math.Sqrt(3)/2) > 1e-12 || p[2][2].Value != 3 {
		t.Errorf("%v", p)
	}
	for name, table := range map[string]string{
		"a place twice":     "place,x,y,z\ncase/rear points,0,-0,1\ncase/rear points,-0,0,2\n",
		"half a point":      "place,x,y,z\ncase/rear points,1,0,1\ncase/rear points,0,,2\n",
		"readings, a point": "place,x,y,z,reading\ncase/rear points,1,0,1,\nplate/thickness,1,2,3,4\n",
	} {
		_, _, err := record.Fill(strings.NewReader(rec), strings.NewReader(table))
		var cell *fault.FieldError
		if !errors.As(err, &cell) || !at(cell, 3, 0) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// A table never panics, and a record that is filled is one that decodes.
func FuzzFill(f *testing.F) {
	f.Add("place,station,reading\nplate/thickness,1,14\n" + bearing)
	f.Add("place;reading\nplate/thickness;14,1\n")
	f.Add("place;x;y;z\ncase/rear points;1,5;0;180\n")
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
