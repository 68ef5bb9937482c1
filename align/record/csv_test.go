package record_test

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"strings"
	"testing"

	"example.com/borestack/align/record"
	"example.com/borestack/fault"
)

func columns(is ...string) []record.Column {
	var out []record.Column
	for _, s := range is {
		out = append(out, record.Column{Is: s})
	}
	return out
}

// points declares x, y and z in millimetres with a decimal point and commas.
func points() record.Columns {
	return record.Columns{Order: columns("x", "y", "z"), Unit: "mm", Decimal: ".", Separator: ","}
}

func readPoints(t *testing.T, text string, c record.Columns) []record.Triple {
	t.Helper()
	p, err := record.ReadPoints(strings.NewReader(text), c)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func writePoints(t *testing.T, p []record.Triple, c record.Columns) string {
	t.Helper()
	var b bytes.Buffer
	if err := record.WritePoints(&b, p, c); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func ExampleReadPoints() {
	// Heights in micrometres over places in millimetres, as a spreadsheet with decimal commas writes them.
	table := "x;y;z\n80,0;0;1,5\n-40,0;69,28;-2,0\n-40,0;-69,28;0,5\n"
	c := record.Columns{
		Order: []record.Column{{Is: "x"}, {Is: "y"}, {Is: "z", Unit: "um"}},
		Unit:  "mm", Decimal: ",", Separator: ";", Header: true,
	}
	pts, err := record.ReadPoints(strings.NewReader(table), c)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, p := range pts {
		fmt.Println(p[0].Text, p[1].Text, p[2].Text)
	}
	// The same cells, said to have decimal points, could mean two things.
	c.Decimal = "."
	_, err = record.ReadPoints(strings.NewReader("80;0;1,5\n"), record.Columns{Order: c.Order, Unit: "mm", Decimal: ".", Separator: ";"})
	fmt.Println(err)
	// Output:
	// 80.0 0 0.0015
	// -40.0 69.28 -0.002
	// -40.0 -69.28 0.0005
	// record: line 1, column 6 (z): "1,5": could mean two numbers: want "1.5" if "," is meant as the decimal mark, "15" if it parts thousands; the declared decimal mark is "."
}

// Source: coordinates found in a public engineering forum thread on flatness (testdata/README.md).
func TestPoints_publishedBytes(t *testing.T) {
	raw, err := os.ReadFile("testdata/points_flatness.csv")
	if err != nil {
		t.Fatal(err)
	}
	c := points()
	c.Header, c.CRLF = true, true
	for k := range c.Order {
		c.Order[k].Label = c.Order[k].Is
	}
	p := readPoints(t, string(raw), c)
	if len(p) != 5 || p[3][0].Value != 25.5 || p[3][2].Text != "1.03" {
		t.Errorf("%v", p)
	}
	if got := writePoints(t, p, c); got != string(raw) {
		t.Errorf("other bytes:\n%s", got)
	}
}

// Digits stay as written, whatever the marks; the writer gives the same bytes.
func TestPoints_roundTripBytes(t *testing.T) {
	for _, q := range []struct{ decimal, separator, text string }{
		{".", ",", "1.50,-2.0,0.0010\n3,4e-3,-5E+2\n"},
		{",", ";", "1,50;-2,0;0,0010\n3;4e-3;-5E+2\n"},
		{",", "\t", "1,50\t-2,0\t0,0010\n3\t4e-3\t-5E+2\n"},
		{".", ";", "1.50;-2.0;-0.0\n"},
	} {
		c := points()
		c.Decimal, c.Separator = q.decimal, q.separator
		p := readPoints(t, q.text, c)
		if p[0][0].Text != "1.50" || p[0][0].Value != 1.5 {
			t.Errorf("%q: %v", q.text, p[0])
		}
		if got := writePoints(t, p, c); got != q.text {
			t.Errorf("%q becomes %q", q.text, got)
		}
	}
	// what JSON does not write is brought into its form, without another value; a byte order mark, CRLF, quotes round cells and trailing blank lines change nothing
	p := readPoints(t, "\ufeff+.5,\"007.25\",1.\r\n 1 ,2,\t3\r\n\r\n", points())
	if got := writePoints(t, p, points()); got != "0.5,7.25,1\n1,2,3\n" {
		t.Errorf("%q", got)
	}
}

// A declaration that leaves something open is refused before the table is read.
func TestColumns_declaration(t *testing.T) {
	full := points()
	for name, q := range map[string]struct {
		change func(*record.Columns)
		path   string
		class  error
	}{
		"no unit":       {func(c *record.Columns) { c.Unit = "" }, "/unit", fault.ErrMissing},
		"no decimal":    {func(c *record.Columns) { c.Decimal = "" }, "/decimal", fault.ErrMissing},
		"no separator":  {func(c *record.Columns) { c.Separator = "" }, "/separator", fault.ErrMissing},
		"one mark":      {func(c *record.Columns) { c.Decimal = "," }, "/separator", fault.ErrConflict},
		"strange unit":  {func(c *record.Columns) { c.Unit = "cm" }, "/unit", nil},
		"column's unit": {func(c *record.Columns) { c.Order[2].Unit = "furlong" }, "/order/2/unit", nil},
		"no columns":    {func(c *record.Columns) { c.Order = nil }, "/order", fault.ErrConflict},
		"no z":          {func(c *record.Columns) { c.Order[2].Is = "skip" }, "/order", fault.ErrConflict},
		"x twice":       {func(c *record.Columns) { c.Order[2].Is = "x" }, "/order/2/is", fault.ErrRepeated},
		"typing":        {func(c *record.Columns) { c.Order[2].Is = "zz" }, "/order/2/is", nil},
		"mixed":         {func(c *record.Columns) { c.Order = columns("x", "y", "z", "radius") }, "/order", fault.ErrConflict},
		"closing":       {func(c *record.Columns) { c.Closing = true }, "/closing", fault.ErrConflict},
		"too many":      {func(c *record.Columns) { c.Order = make([]record.Column, 1000) }, "/order", fault.ErrTooMany},
		"clock in rad":  {func(c *record.Columns) { c.Order = columns("radius", "clock", "z"); c.Order[1].Unit = "rad" }, "/order/1/unit", fault.ErrConflict},
	} {
		c := full
		c.Order = append([]record.Column(nil), full.Order...)
		q.change(&c)
		_, err := record.ReadPoints(strings.NewReader("1,2,3\n"), c)
		var f *fault.FieldError
		if !errors.As(err, &f) || !strings.Contains(err.Error(), q.path+":") || (q.class != nil && !errors.Is(err, q.class)) {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, err := record.ReadPoints(strings.NewReader("1,2,3\n"), record.Columns{}); err == nil {
		t.Error("the zero value declares something")
	}
}

// Each fault says line, column, what was found and what would be right.
func TestReadPoints_faults(t *testing.T) {
	semicolons, headed, commas := points(), points(), points()
	semicolons.Separator = ";"
	commas.Separator, commas.Decimal = ";", ","
	headed.Header = true
	for _, q := range []struct {
		name, text   string
		c            record.Columns
		line, column int
		class        error
		want         string
	}{
		{"decimal comma", "1;2;3\n4;5,25;6\n", semicolons, 2, 3, record.ErrAmbiguous, `"5.25" if "," is meant as the decimal mark, "525"`},
		{"thousands comma", "1;2;1,234\n", semicolons, 1, 5, record.ErrAmbiguous, `"1234"`},
		{"thousands point", "1;2;1.234\n", commas, 1, 5, record.ErrAmbiguous, `"1,234" if "." is meant`},
		{"both marks", "1;2;1,234.5\n", semicolons, 1, 5, record.ErrAmbiguous, "no thousands separators"},
		{"both marks, other way", "1;2;1.234,5\n", commas, 1, 5, record.ErrAmbiguous, "no thousands separators"},
		{"two points", "1;2;1.234.5\n", semicolons, 1, 5, record.ErrAmbiguous, "one decimal mark"},
		{"gap", "1;2;1 234\n", semicolons, 1, 5, record.ErrAmbiguous, "without gaps"},
		{"apostrophe", "1;2;1'234.5\n", semicolons, 1, 5, record.ErrAmbiguous, "without gaps"},
		{"commas everywhere", "1,5,2,5,3,5\n", points(), 1, 1, fault.ErrConflict, "decimal commas"},
		{"other separator", "1;2;3\n", points(), 1, 1, fault.ErrConflict, `is the separator ";"?`},
		{"its own unit", "1,2,3 mm\n", points(), 1, 5, record.ErrNotNumber, "declared for the column"},
		{"mixed units", "1,2,3 um\n", points(), 1, 5, fault.ErrConflict, "in mm, alone"},
		{"an inch mark", "1,2,3\"\n", points(), 1, 6, record.ErrNotNumber, "not a unit of inches"},
		{"NaN", "1,2,NaN\n", points(), 1, 5, fault.ErrNotFinite, "finite"},
		{"infinite", "-inf,2,3\n", points(), 1, 1, fault.ErrNotFinite, "finite"},
		{"overflow", "1,2,1e99999\n", points(), 1, 5, fault.ErrOutOfRange, "exponent"},
		{"absurd", "1,2,1e6\n", points(), 1, 5, fault.ErrOutOfRange, "100 m"},
		{"long", "1,2," + strings.Repeat("0", 100) + "\n", points(), 1, 5, fault.ErrOutOfRange, "64"},
		{"hexadecimal", "1,2,0x10\n", points(), 1, 5, record.ErrNotNumber, "a number"},
		{"typographic minus", "1,2,\u22123\n", points(), 1, 5, record.ErrNotNumber, `"-"`},
		{"empty cell", "1,2,3\n4,,6\n", points(), 2, 3, fault.ErrMissing, "a number"},
		{"empty row", "1,2,3\n,,\n", points(), 2, 1, fault.ErrMissing, "a number"},
		{"blank line", "1,2,3\n\n4,5,6\n", points(), 2, 1, fault.ErrMissing, "a row of x, y, z"},
		{"short row", "1,2,3\n4,5\n", points(), 2, 1, fault.ErrConflict, "3: x, y, z"},
		{"header undeclared", "x,y,z\n1,2,3\n", points(), 1, 1, record.ErrNotNumber, "declare a header"},
		{"header missing", "1,2,3\n4,5,6\n", headed, 1, 1, fault.ErrUnknownName, "this is a number"},
		{"header in another unit", "x [mm],y [mm],z [um]\n1,2,3\n", headed, 1, 15, fault.ErrConflict, `"z [mm]"`},
		{"header with a suffix", "x_mm,y_mm,z_in\n1,2,3\n", headed, 1, 11, fault.ErrConflict, `"z [mm]"`},
		{"header in another order", "x,z,y\n1,2,3\n", headed, 1, 3, fault.ErrConflict, `"y [mm]"`},
		{"header of another table", "x,y,height\n1,2,3\n", headed, 1, 5, fault.ErrUnknownName, "label"},
		{"nothing", "", points(), 1, 1, fault.ErrMissing, "at least one row"},
		{"header alone", "x,y,z\n", headed, 2, 1, fault.ErrMissing, "at least one row"},
		{"not UTF-8", "1,2,3\n4,\xff,6\n", points(), 2, 3, record.ErrNotNumber, "UTF-8"},
		{"two heights", "1,2,3\n4,5,6\n1.0,2.00,3.1\n", points(), 3, 1, fault.ErrConflict, "line 1 gives it the height 3"},
		{"same point", "1,2,3\n1,2,3.0\n", points(), 2, 1, fault.ErrRepeated, "line 1"},
		{"negative zero", "0,0,3\n-0,0,4\n", points(), 2, 1, fault.ErrConflict, "line 1"},
	} {
		p, err := record.ReadPoints(strings.NewReader(q.text), q.c)
		var e *record.CellError
		if err == nil || p != nil || !errors.As(err, &e) {
			t.Errorf("%s: %v, %v", q.name, p, err)
			continue
		}
		if e.Line != q.line || e.Column != q.column || !errors.Is(e, q.class) || !strings.Contains(e.Want, q.want) {
			t.Errorf("%s: %v", q.name, err)
		}
	}
	_, err := record.ReadPoints(strings.NewReader("1,2,a\n1,b,3\n5,6,7\n5,6,8\n"), points())
	for _, w := range []string{"line 1, column 5 (z)", "line 2, column 3 (y)", "line 4, column 1"} {
		if err == nil || !strings.Contains(err.Error(), w) {
			t.Errorf("independent faults do not come together: %v", err)
		}
	}
}

// Source: hand calculation: 100 mm at 30° is x = 50, y = 100·√3/2; quarters of a turn are exact.
func TestPoints_roundTheClock(t *testing.T) {
	c := points()
	c.Order = columns("radius", "clock", "z")
	p := readPoints(t, "100,30,1\n100,90,2\n100,180,3\n100,-90,4\n100,0,5\n", c)
	want := [][2]float64{{50, 100 * math.Sqrt(3) / 2}, {100, 0}, {0, -100}, {-100, 0}, {0, 100}}
	for i, w := range want {
		if math.Abs(p[i][0].Value-w[0]) > 1e-13 || math.Abs(p[i][1].Value-w[1]) > 1e-13 {
			t.Errorf("%d: %v", i, p[i])
		}
		if i > 0 && (p[i][0].Value != w[0] || p[i][1].Value != w[1]) {
			t.Errorf("%d is not exact: %v", i, p[i])
		}
	}
	if p[2][0].Text != "0" {
		t.Errorf("6 o'clock has x = %s", p[2][0].Text)
	}
	if got := writePoints(t, p, c); got != "100,30,1\n100,90,2\n100,180,3\n100,270,4\n100,0,5\n" {
		t.Errorf("%q", got)
	}
	nose := c
	nose.SeenFrom = "nose"
	if q := readPoints(t, "100,90,1\n", nose); q[0][0].Value != -100 || q[0][1].Value != 0 {
		t.Errorf("3 o'clock seen from the nose is 9 o'clock from the tail: %v", q)
	}
	if got := writePoints(t, p[1:2], nose); got != "100,270,2\n" {
		t.Errorf("%q", got)
	}
	for _, bad := range []string{"100,0,1\n100,360,2\n", "0,10,1\n0,50,2\n", "-1,0,0\n", "1,4000,0\n"} {
		if _, err := record.ReadPoints(strings.NewReader(bad), c); err == nil {
			t.Errorf("%q: accepted", bad)
		}
	}
}

// Source: international yard and pound agreement, 1959: an inch is 25.4 mm. Conversions give the float64 nearest the exact value.
func TestPoints_units(t *testing.T) {
	c := points()
	c.Order[0].Unit, c.Order[1].Unit, c.Order[2].Unit = "thou", "in", "um"
	p := readPoints(t, "1,0.3,3\n", c)
	if p[0][0].Value != 0.0254 || p[0][1].Value != 7.62 || p[0][2].Value != 0.003 {
		t.Errorf("%v", p)
	}
	if got := writePoints(t, p, c); got != "1,0.3,3\n" {
		t.Errorf("%q", got)
	}
	rng := rand.New(rand.NewPCG(3, 4))
	for range 2000 {
		n := rng.IntN(200001) - 100000
		text := fmt.Sprintf("0,0,%d\n", n)
		p := readPoints(t, text, c)
		if p[0][2].Value != float64(n)/1000 {
			t.Fatalf("%d µm is %v mm", n, p[0][2].Text)
		}
		if got := writePoints(t, p, c); got != text {
			t.Fatalf("%q becomes %q", text, got)
		}
	}
}

// Hostile megabytes answer with few words.
func TestReadPoints_hostile(t *testing.T) {
	for name, text := range map[string]string{
		"rows":   strings.Repeat("1,2,3\n", 1<<18),
		"faults": strings.Repeat("a,b,c\n", 1<<14),
		"cells":  strings.Repeat("1,", 1<<20),
		"quote":  `"` + strings.Repeat("1,2,3\n", 1<<18),
		"digits": "1,2," + strings.Repeat("9", 1<<20) + "\n",
		"blank":  strings.Repeat("\n", 1<<20),
		"bytes":  strings.Repeat("1,2,3\n", 3<<20),
		"UTF-16": "\xff\xfe1\x00,\x002\x00",
	} {
		_, err := record.ReadPoints(strings.NewReader(text), points())
		if err == nil {
			t.Errorf("%s: accepted", name)
		} else if len(err.Error()) > 20_000 {
			t.Errorf("%s: a message of %d bytes", name, len(err.Error()))
		}
	}
}

// As many rows as a face may have points, and not one more.
func TestReadPoints_most(t *testing.T) {
	var b strings.Builder
	for i := range 20000 {
		fmt.Fprintf(&b, "%d,%d,0\n", i%200, i/200)
	}
	if p := readPoints(t, b.String(), points()); len(p) != 20000 {
		t.Error(len(p))
	}
	_, err := record.ReadPoints(strings.NewReader(b.String()+"0.5,0,0\n"), points())
	if !errors.Is(err, fault.ErrTooMany) || !strings.Contains(err.Error(), "line 20001") {
		t.Error(err)
	}
}

func TestWritePoints_refuses(t *testing.T) {
	var b bytes.Buffer
	err := record.WritePoints(&b, []record.Triple{{record.Num(1), record.Num(2), record.Num(math.NaN())}}, points())
	if !errors.Is(err, fault.ErrNotFinite) || !strings.Contains(err.Error(), "/0") || b.Len() > 0 {
		t.Error(err, b.String())
	}
	err = record.WritePoints(&b, []record.Triple{{record.Num(1), {Text: "2", Value: 3}, record.Num(0)}}, points())
	if !errors.Is(err, fault.ErrConflict) || b.Len() > 0 {
		t.Error(err, b.String())
	}
	if got := writePoints(t, []record.Triple{{record.Num(1), {Text: "0.1" + strings.Repeat("0", 100), Value: 0.1}, record.Num(0)}}, points()); got != "1,0.1,0\n" {
		t.Errorf("%q", got)
	}
	// a number made without a text is written by its value
	if got := writePoints(t, []record.Triple{{{Value: 0.5}, {Value: 1}, {Value: -2}}}, points()); got != "0.5,1,-2\n" {
		t.Errorf("%q", got)
	}
}

// FuzzReadPoints: no bytes make it panic. What it accepts has a point for every row, and is written so that it reads back to the same text.
func FuzzReadPoints(f *testing.F) {
	f.Add("1,2,3\n4,5,6\n", uint8(0))
	f.Add("x;y;z\n1,5;2;3e-3\n", uint8(0b111))
	f.Add("100\t30\t1\n", uint8(0b1010))
	f.Add("\"1\",\"2\",\"3\"\r\n\r\n", uint8(0))
	f.Fuzz(func(t *testing.T, text string, how uint8) {
		c := points()
		if how&1 != 0 {
			c.Decimal, c.Separator = ",", ";"
		}
		if how&2 != 0 {
			c.Separator = "\t"
		}
		c.Header = how&4 != 0
		if how&8 != 0 {
			c.Order = columns("radius", "clock", "z")
		}
		if how&16 != 0 {
			c.Order[2].Unit = "um"
		}
		p, err := record.ReadPoints(strings.NewReader(text), c)
		if err != nil {
			var e *record.CellError
			if !errors.As(err, &e) || e.Line < 1 || e.Column < 1 || e.Want == "" {
				t.Fatalf("no place: %v", err)
			}
			return
		}
		if !strings.Contains(text, `"`) {
			rows := 0
			for _, line := range strings.Split(strings.TrimPrefix(text, "\ufeff"), "\n") {
				if strings.TrimSuffix(line, "\r") != "" {
					rows++
				}
			}
			if c.Header {
				rows--
			}
			if len(p) != rows {
				t.Fatalf("%d points in %d rows", len(p), rows)
			}
		}
		if how&8 != 0 {
			return // places round the clock are worked out
		}
		once := writePoints(t, p, c)
		again := readPoints(t, once, c)
		for i := range p {
			for k := range p[i] {
				if p[i][k] != again[i][k] && (k != 2 || how&16 == 0 || p[i][k].Value != again[i][k].Value) {
					t.Fatalf("%v becomes %v", p[i], again[i])
				}
			}
		}
		if twice := writePoints(t, again, c); twice != once {
			t.Fatalf("%q then %q", once, twice)
		}
	})
}

func BenchmarkReadPoints(b *testing.B) {
	var t strings.Builder
	for i := range 20000 {
		fmt.Fprintf(&t, "%d.5,%d.25,12.0%d\n", i%200, i/200, i%97)
	}
	b.ReportAllocs()
	b.SetBytes(int64(t.Len()))
	for b.Loop() {
		if _, err := record.ReadPoints(strings.NewReader(t.String()), points()); err != nil {
			b.Fatal(err)
		}
	}
}
