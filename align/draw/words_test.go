package draw_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"example.com/borestack/align/draw"
	"example.com/borestack/align/record"
	"example.com/borestack/align/report"
	"example.com/borestack/align/study"
	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// rowOf are the texts on the line of the first text that is first, from left to right.
func rowOf(t testing.TB, n *node, first string) []string {
	t.Helper()
	for _, e := range n.all("text") {
		if e.Text != first || e.attr("x") != "16" {
			continue
		}
		var row []*node
		for _, f := range n.all("text") {
			if f.attr("y") == e.attr("y") {
				row = append(row, f)
			}
		}
		slices.SortFunc(row, func(a, b *node) int {
			return int(math.Copysign(1, a.num(t, "x")-b.num(t, "x")))
		})
		var out []string
		for _, f := range row {
			out = append(out, f.Text)
		}
		return out
	}
	t.Fatalf("no row %q", first)
	return nil
}

// The table under the shaft line holds the report's numbers, digit for digit as the report's text prints them and, but for the rounding, as its JSON does.
func TestShaftLine_numbersAreTheReports(t *testing.T) {
	rec, err := record.Decode(strings.NewReader(demonstration(t)))
	if err != nil {
		t.Fatal(err)
	}
	res, err := study.Run(t.Context(), rec)
	if err != nil {
		t.Fatal(err)
	}
	var text, doc bytes.Buffer
	if err := errors.Join(report.Text(&text, rec, res), report.JSON(&doc, rec, res)); err != nil {
		t.Fatal(err)
	}
	var got struct {
		Supports []struct {
			Bore      string
			Z         float64
			Offset    struct{ Size float64 }
			TIR       float64
			Clearance float64
			Room      *float64
		}
		Line  struct{ Margin, Use float64 }
		Parts []struct {
			Name               string
			Rise               *float64
			ThicknessVariation *float64 `json:"thickness_variation"`
		}
	}
	if err := json.Unmarshal(doc.Bytes(), &got); err != nil {
		t.Fatal(err)
	}
	s, err := rec.Stack()
	if err != nil {
		t.Fatal(err)
	}
	n := picture(t, func(w io.Writer) error { return draw.ShaftLine(w, s, res.Assembly, draw.Options{}) })
	number := func(s string) float64 {
		v, err := strconv.ParseFloat(s, 64)
		if err != nil {
			t.Errorf("%q is no number", s)
		}
		return v
	}
	for _, b := range got.Supports {
		row := rowOf(t, n, b.Bore)
		if len(row) != 8 {
			t.Fatalf("%v: want support, shaft, z, offset, at, TIR, clearance, room", row)
		}
		near(t, b.Bore+" z", number(row[2]), b.Z, .006)
		for i, v := range map[int]float64{3: b.Offset.Size, 5: b.TIR, 6: b.Clearance, 7: *b.Room} {
			near(t, b.Bore+" "+row[i], number(row[i]), v, .00051)
		}
		// the report's line: support, z, offset, at, TIR, tilt, at, clearance, room
		as := regexp.QuoteMeta
		line := regexp.MustCompile(as(b.Bore) + `( \(bush\))?\s+` + as(row[2]) + `\s+` + as(row[3]) + `\s+` + as(row[4]) + `\s+` + as(row[5]) + `\s+\S+\s+\S+\s+` + as(row[6]) + `\s+` + as(row[7]))
		if !line.MatchString(text.String()) {
			t.Errorf("the report's text has no line %v", row)
		}
	}
	margin := regexp.MustCompile(`margin (\S+ mm)`).FindStringSubmatch(n.child("desc").Text)
	if margin == nil || !strings.Contains(strings.Join(strings.Fields(text.String()), " "), margin[1]+" left") {
		t.Errorf("margin %v is not the report's", margin)
	}
	flow := strings.Join(strings.Fields(text.String()), " ")
	plate := picture(t, func(w io.Writer) error { return draw.Thickness(w, s, res.Assembly, "plate", draw.Options{}) })
	for _, what := range []string{`thickness variation (\S+ mm)`, `by (\S+ mm) across`} {
		m := regexp.MustCompile(what).FindStringSubmatch(plate.child("desc").Text)
		if m == nil || !strings.Contains(flow, m[1]) {
			t.Errorf("%s: %v is not in the report", what, m)
		}
	}
}

// Names that try to end an element, an attribute or a line of text arrive as the text that they are.
func TestPictures_hostileNames(t *testing.T) {
	evil := `</title><script>alert(1)</script>"'& ]]>` + "\x00\u202e\n"
	text := strings.ReplaceAll(threeBores, `"case line"`, `"`+`<b onload=x>`+`"`)
	s, a := decoded(t, text)
	s.Title, a.Title = evil, evil
	n := picture(t, func(w io.Writer) error { return draw.ShaftLine(w, s, a, draw.Options{}) })
	if got, want := n.child("title").Text, `Shaft line: </title><script>alert(1)</script>"'& ]]>`; strings.TrimSpace(got) != want {
		t.Errorf("title %q, want %q", got, want)
	}
	found := false
	for _, e := range n.all("text") {
		found = found || strings.Contains(e.Text, "<b onload=x>")
		if strings.ContainsAny(e.Text, "\x00\u202e\n") {
			t.Errorf("%q holds a control character", e.Text)
		}
	}
	if !found {
		t.Error("the reference's name is not shown")
	}
}

// Two pictures in one page share no id and no class.
func TestPictures_severalInOnePage(t *testing.T) {
	s, a := decoded(t, threeBores)
	seen := map[string]string{}
	for _, id := range []string{"a", "b"} {
		n := picture(t, func(w io.Writer) error { return draw.Stack(w, s, a, draw.Options{ID: id}) })
		n.each(func(e *node) {
			for _, v := range append(strings.Fields(e.attr("class")), e.attr("id")) {
				if o := seen[v]; v != "" && o != "" && o != id {
					t.Errorf("%q is in both", v)
				}
				seen[v] = id
			}
		})
	}
}

func TestPictures_sameBytes(t *testing.T) {
	s, a := decoded(t, demonstration(t))
	draws := func() string {
		var b bytes.Buffer
		err := errors.Join(draw.ShaftLine(&b, s, a, draw.Options{}), draw.Stack(&b, s, a, draw.Options{}),
			draw.Target(&b, s, a, draw.Aim{Bore: "tail/tail bush"}, draw.Options{}), draw.Thickness(&b, s, a, "plate", draw.Options{}))
		if err != nil {
			t.Fatal(err)
		}
		return b.String()
	}
	if one, two := draws(), draws(); one != two {
		t.Error("the same results make two different pictures")
	}
}

func TestPictures_faults(t *testing.T) {
	s, a := decoded(t, threeBores)
	u, b := decoded(t, strings.Replace(threeBores, `"centre":[0,0],"diameter":150}},"bores":[{"name":"bush"`, `"centre":[0.01,0],"diameter":150}},"bores":[{"name":"bush"`, 1))
	plate, shape := decoded(t, plateRecord("10,10,10,10", ""))
	var o draw.Options
	bins := func(edit func(*draw.Bins)) error {
		b := draw.Bins{Quantity: "gap", Edges: []float64{0, 1}, Counts: []int{1}}
		edit(&b)
		return draw.Histogram(io.Discard, b, o)
	}
	shares := func(list ...tolerance.Share) error {
		return draw.Shares(io.Discard, draw.Contributions{Of: "x", Shares: list}, o)
	}
	for name, tt := range map[string]struct {
		err  error
		want error
		says string
	}{
		"id":               {draw.Stack(io.Discard, s, a, draw.Options{ID: `x" onload="y`}), fault.ErrOutOfRange, "/id"},
		"width":            {draw.Stack(io.Discard, s, a, draw.Options{Width: tolerance.Length(math.NaN())}), fault.ErrOutOfRange, "/width"},
		"unit":             {draw.Stack(io.Discard, s, a, draw.Options{Unit: 99}), fault.ErrOutOfRange, "/unit"},
		"no result":        {draw.Stack(io.Discard, s, nil, o), fault.ErrMissing, "/assembly"},
		"of another stack": {draw.ShaftLine(io.Discard, s, b, o), fault.ErrConflict, "/parts/1"},
		"of a shorter one": {draw.Stack(io.Discard, u, shape, o), fault.ErrConflict, "/parts"},
		"no shafts":        {draw.ShaftLine(io.Discard, plate, shape, o), draw.ErrNothingToDraw, "no shafts"},
		"no such bore":     {draw.Target(io.Discard, s, a, draw.Aim{Bore: "tail/bus"}, o), fault.ErrUnknownName, `"tail/bush"`},
		"no such part":     {draw.Thickness(io.Discard, s, a, "cose", o), fault.ErrUnknownName, `"case"`},
		"no such joint":    {draw.Joint(io.Discard, s, a, "case|tale", o), fault.ErrUnknownName, `"case|tail"`},
		"one face":         {draw.Thickness(io.Discard, s, a, "tail", o), draw.ErrNothingToDraw, "two faces"},
		"limit":            {draw.Target(io.Discard, s, a, draw.Aim{Bore: "tail/bush", Limit: tolerance.Given(tolerance.Offset(-1))}, o), fault.ErrOutOfRange, "/limit"},
		"spread":           {draw.Target(io.Discard, s, a, draw.Aim{Bore: "tail/bush", Spread: tolerance.Given(draw.Spread{XX: 1, YY: 1, XY: 2})}, o), fault.ErrOutOfRange, "/spread"},
		"edges":            {bins(func(b *draw.Bins) { b.Edges = nil }), fault.ErrOutOfRange, "/edges"},
		"falling edges":    {bins(func(b *draw.Bins) { b.Edges = []float64{1, 0} }), fault.ErrOutOfRange, "/edges/1"},
		"an edge of NaN":   {bins(func(b *draw.Bins) { b.Edges[0] = math.NaN() }), fault.ErrNotFinite, "/edges/0"},
		"negative count":   {bins(func(b *draw.Bins) { b.Counts[0] = -1 }), fault.ErrOutOfRange, "/counts/0"},
		"nothing counted":  {bins(func(b *draw.Bins) { b.Counts[0] = 0 }), draw.ErrNothingToDraw, "counts nothing"},
		"no shares":        {shares(), draw.ErrNothingToDraw, "no source"},
		"share over 1":     {shares(tolerance.Share{Share: 1.2}), fault.ErrOutOfRange, "/shares/0/share"},
		"share NaN":        {shares(tolerance.Share{Share: math.NaN()}), fault.ErrNotFinite, "/shares/0/share"},
		"shares over 1":    {shares(tolerance.Share{Share: .8}, tolerance.Share{Share: .8}), fault.ErrOutOfRange, "/shares"},
	} {
		if !errors.Is(tt.err, tt.want) || !strings.Contains(fmt.Sprint(tt.err), tt.says) {
			t.Errorf("%s: %v, want %v with %q", name, tt.err, tt.want, tt.says)
		}
	}
}

// Every class stands out from the paper that it is drawn on, light and dark: texts by 7 to 1, lines that carry meaning by 4.5 to 1.
//
// Source: WCAG 2.2, 1.4.6 and 1.4.11, with its relative luminance; fields, guides and bars' fills carry nothing that an outline or label does not say.
func TestStyle_contrast(t *testing.T) {
	css := draw.CSS("p")
	light, dark, ok := strings.Cut(css, "@media screen and (prefers-color-scheme:dark)")
	if !ok {
		t.Fatal("no dark colours")
	}
	for _, sheet := range []struct{ name, css, paper string }{{"light", light, "#fff"}, {"dark", dark, "#15181d"}} {
		if !strings.Contains(sheet.css, ".p-paper{fill:"+sheet.paper) {
			t.Fatalf("%s paper is not %s", sheet.name, sheet.paper)
		}
		for _, rule := range []struct {
			class, property string
			least           float64
		}{
			{"text", "fill", 7},
			{"muted", "fill", 7},
			{"halo", "fill", 7},
			{"ink", "stroke", 4.5},
			{"thin", "stroke", 4.5},
			{"dash", "stroke", 4.5},
			{"dots", "stroke", 4.5},
			{"chain", "stroke", 4.5},
			{"heavy", "stroke", 4.5},
			{"accent", "stroke", 4.5},
			{"old", "stroke", 4.5},
			{"solid", "fill", 4.5},
			{"mark", "fill", 4.5},
			{"hollow", "stroke", 4.5},
			{"hatch", "stroke", 4.5},
		} {
			m := regexp.MustCompile(`\.p-` + rule.class + `\{(?:[^}]*;)?` + rule.property + `:(#[0-9a-f]+)`).FindStringSubmatch(sheet.css)
			if m == nil {
				t.Errorf("%s %s has no %s", sheet.name, rule.class, rule.property)
				continue
			}
			a, b := luminance(t, m[1]), luminance(t, sheet.paper)
			if c := (max(a, b) + .05) / (min(a, b) + .05); c < rule.least {
				t.Errorf("%s %s: contrast %.2f, want %g", sheet.name, rule.class, c, rule.least)
			}
		}
	}
}

func luminance(t *testing.T, hex string) float64 {
	t.Helper()
	h := hex[1:]
	if len(h) == 3 {
		h = string([]byte{h[0], h[0], h[1], h[1], h[2], h[2]})
	}
	var l float64
	for i, w := range []float64{.2126, .7152, .0722} {
		v, err := strconv.ParseUint(h[2*i:2*i+2], 16, 8)
		if err != nil {
			t.Fatal(err)
		}
		c := float64(v) / 255
		if c <= .04045 {
			c /= 12.92
		} else {
			c = math.Pow((c+.055)/1.055, 2.4)
		}
		l += w * c
	}
	return l
}

func TestScale_round(t *testing.T) {
	for _, tt := range []struct{ v, round, fine float64 }{
		{1, 1, 1}, {1999, 1000, 1500}, {2000, 2000, 2000}, {999, 500, 800}, {.0099, .005, .008}, {.01, .01, .01}, {0, 1, 1}, {math.Inf(1), 1, 1},
	} {
		near(t, fmt.Sprint(tt.v, " round"), draw.RoundDown(tt.v), tt.round, 1e-12*tt.round)
		near(t, fmt.Sprint(tt.v, " fine"), draw.FineDown(tt.v), tt.fine, 1e-12*tt.fine)
	}
	if got := draw.Ticks(-.02, .04, 6); len(got) != 7 || got[0] != -.02 || math.Abs(got[6]-.04) > 1e-12 {
		t.Errorf("ticks %v", got)
	}
}
