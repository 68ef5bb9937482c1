package draw_test

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"example.com/borestack/internal/check"

	"example.com/borestack/align/draw"
	"example.com/borestack/align/record"
	"example.com/borestack/align/report"
	"example.com/borestack/align/study"
	"example.com/borestack/fault"
	"example.com/borestack/stackup"
	"example.com/borestack/tolerance"
)

// The pictures' numbers are those of the report, digit for digit.
func TestPictures_numbersAreTheReports(t *testing.T) {
	rec, err := record.Decode(strings.NewReader(demonstration(t)))
	if err != nil {
		t.Fatal(err)
	}
	res, err := study.Run(t.Context(), rec)
	if err != nil {
		t.Fatal(err)
	}
	var text bytes.Buffer
	if err := report.Text(&text, rec, res); err != nil {
		t.Fatal(err)
	}
	flow := strings.Join(strings.Fields(text.String()), " ")
	line := picture(t, func(w io.Writer) error { return draw.ShaftLine(w, res.Assembly, draw.Options{}) })
	plate := picture(t, func(w io.Writer) error { return draw.Thickness(w, res.Assembly, "plate", draw.Options{}) })
	for _, c := range []struct {
		n    *node
		what string
	}{{line, `margin (\S+ mm)`}, {line, `tail/tail bush: z \S+ offset (\S+) mm`}, {line, `tail/tail bush: .*clearance (\S+) mm`}, {plate, `thickness variation (\S+ mm)`}, {plate, `by (\S+ mm) across`}} {
		m := regexp.MustCompile(c.what).FindStringSubmatch(c.n.child("desc").Text)
		if m == nil || !strings.Contains(flow, m[1]) {
			t.Errorf("%s: %v is not in the report", c.what, m)
		}
	}
}

// What governs is marked in every picture, and where a shaft leaves its room is said in words, drawn as a cross, and never
// drawn where it stays inside.
func TestPictures_governorAndOutside(t *testing.T) {
	for name, tt := range map[string]struct {
		record  string
		outside int // spots that the shaft leaves
	}{
		"room":    {threeBores, 0},
		"no room": {strings.Replace(threeBores, `"centre":[0,0,100]`, `"centre":[0.6,0,100]`, 1), 3},
	} {
		_, a := decoded(t, tt.record)
		line := picture(t, func(w io.Writer) error { return draw.ShaftLine(w, a, draw.Options{Width: 88}) })
		stack := picture(t, func(w io.Writer) error { return draw.Stack(w, a, draw.Options{Width: 88}) })
		if a.Line.RunsFree != (tt.outside == 0) {
			t.Fatalf("%s: runs free is %v", name, a.Line.RunsFree)
		}
		// each is drawn in both views
		if got := len(line.groups("outside", "")); got != 2*tt.outside {
			t.Errorf("%s: %d crosses for a shaft out of its room, want %d", name, got, 2*tt.outside)
		}
		if said := strings.Contains(line.child("desc").Text, "THE SHAFT LEAVES ITS ROOM"); said != (tt.outside > 0) {
			t.Errorf("%s: %s", name, line.child("desc").Text)
		}
		for _, g := range a.Line.Governs {
			marked := func(n *node, times int) {
				found := 0
				for _, m := range n.groups("governs", "") {
					if strings.HasPrefix(m.child("title").Text, g.Name+" uses up") {
						found++
					}
				}
				if found != times {
					t.Errorf("%s: %s is marked %d times, want %d", name, g.Name, found, times)
				}
			}
			marked(line, 2)
			marked(stack, 1)
			target := picture(t, func(w io.Writer) error {
				return draw.Target(w, a, draw.Aim{Bore: g.Name}, draw.Options{Width: 88})
			})
			marked(target, 1)
			if said := strings.Contains(labelled(target), "THE SHAFT LEAVES ITS ROOM"); said != (tt.outside > 0) {
				t.Errorf("%s: the target of %s says that the shaft leaves its room: %v", name, g.Name, said)
			}
		}
		joint := picture(t, func(w io.Writer) error { return draw.Joint(w, a, "case|tail", draw.Options{Width: 88}) })
		if len(joint.groups("governs", "pilot holds it closest")) != 1 {
			t.Errorf("%s: what holds the joint is not marked", name)
		}
	}
}

// What governs uses of its room what the result says, and nothing uses more; a shaft out of its room is said in capitals.
func TestRows_shares(t *testing.T) {
	_, a := decoded(t, threeBores)
	rows, err := draw.Rows(a, 6, draw.Options{})
	if err != nil || len(rows) != 4 {
		t.Fatalf("%q, %v", rows, err)
	}
	// Source: the result's own use of clearance, from another solver
	want := fmt.Sprintf("| %.0f %%", 100*a.Line.Use.Value)
	for _, row := range rows[1:] {
		if !strings.HasSuffix(row, want) || !strings.Contains(row, "*^ |#") {
			t.Errorf("%q, want it to end in %q", row, want)
		}
	}
	few, err := draw.Rows(a, 2, draw.Options{})
	if err != nil || len(few) != 3 || few[2] != "and 2 more, which use less" {
		t.Errorf("%q, %v", few, err)
	}
	_, a = decoded(t, strings.Replace(threeBores, `"centre":[0,0,100]`, `"centre":[0.6,0,100]`, 1))
	if rows, err = draw.Rows(a, 6, draw.Options{}); err != nil || !strings.Contains(rows[3], "####> THE SHAFT LEAVES ITS ROOM by 0.188 mm") {
		t.Errorf("%q, %v", rows, err)
	}
}

// labelled is all that a picture writes.
func labelled(n *node) string {
	var out []string
	for _, e := range n.all("text") {
		out = append(out, e.Text)
	}
	return strings.Join(out, " ")
}

// A pocket counts as a support: it has its bar, its name, and its mark where it governs.
func TestShaftLine_pocketIsSupport(t *testing.T) {
	b, err := os.ReadFile("../../testdata/records/firstlines/pocket.json")
	if err != nil {
		t.Fatal(err)
	}
	s, a := decoded(t, string(b))
	n := picture(t, func(w io.Writer) error { return draw.ShaftLine(w, a, draw.Options{}) })
	for _, p := range s.Pockets {
		views := n.groups("pocket", p.Name)
		if len(views) != 2 {
			t.Fatalf("pocket %s is drawn %d times, want once in each view", p.Name, len(views))
		}
		across := scaleOf(t, n, "crosswise")
		for _, g := range views {
			bar := g.child("line")
			check.Near(t, "its room", math.Abs(bar.num(t, "y2")-bar.num(t, "y1")), float64(p.Clearance)*across, 2*printed)
		}
	}
	governs := false
	for _, g := range a.Line.Governs {
		governs = governs || g.Name == s.Pockets[0].Name
	}
	if !governs {
		t.Fatal("the pocket of this record does not govern")
	}
	marks := 0
	for _, m := range n.groups("governs", "") {
		if strings.HasPrefix(m.child("title").Text, s.Pockets[0].Name) {
			marks++
		}
	}
	if marks != 2 {
		t.Errorf("a pocket that governs is marked %d times, want 2", marks)
	}
}

// A picture of the least width shows every text at its size on a telephone of 390 px.
func TestPictures_onATelephone(t *testing.T) {
	// Source: common practice, no published source: 390 px less the page's own margins and border
	const least, screen = 11.0, 390 - 2*14.4 - 2
	_, a := decoded(t, demonstration(t))
	n := picture(t, func(w io.Writer) error { return draw.ShaftLine(w, a, draw.Options{Width: 88}) })
	wide, err := strconv.ParseFloat(strings.Fields(n.attr("viewBox"))[2], 64)
	if err != nil || wide > screen {
		t.Fatalf("%g units wide, %v", wide, err)
	}
	for _, e := range n.all("text") {
		if size := e.num(t, "font-size"); size < least {
			t.Errorf("%q at %g", e.Text, size)
		}
	}
}

// Names that try to end an element, an attribute or a line of text arrive as the text that they are.
func TestPictures_hostileNames(t *testing.T) {
	evil := `</title><script>alert(1)</script>"'& ]]>` + "\x00\u202e\n"
	text := strings.ReplaceAll(threeBores, `"case line"`, `"`+`<b onload=x>`+`"`)
	s, a := decoded(t, text)
	s.Title, a.Title = evil, evil
	n := picture(t, func(w io.Writer) error { return draw.ShaftLine(w, a, draw.Options{}) })
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
	_, a := decoded(t, threeBores)
	seen := map[string]string{}
	for _, id := range []string{"a", "b"} {
		n := picture(t, func(w io.Writer) error { return draw.Stack(w, a, draw.Options{ID: id}) })
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
	_, a := decoded(t, demonstration(t))
	draws := func() string {
		var b bytes.Buffer
		err := errors.Join(draw.ShaftLine(&b, a, draw.Options{}), draw.Stack(&b, a, draw.Options{}),
			draw.Target(&b, a, draw.Aim{Bore: "tail/tail bush"}, draw.Options{}), draw.Thickness(&b, a, "plate", draw.Options{}))
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
	_, a := decoded(t, threeBores)
	_, shape := decoded(t, plateRecord("10,10,10,10", ""))
	var o draw.Options
	bins := func(edit func(*draw.Bins)) error {
		b := draw.Bins{Quantity: "gap", Histogram: stackup.Histogram{Edges: []float64{0, 1}, Counts: []int{1}}}
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
		"id":              {draw.Stack(io.Discard, a, draw.Options{ID: `x" onload="y`}), fault.ErrOutOfRange, "/id"},
		"width":           {draw.Stack(io.Discard, a, draw.Options{Width: tolerance.Length(math.NaN())}), fault.ErrOutOfRange, "/width"},
		"unit":            {draw.Stack(io.Discard, a, draw.Options{Unit: 99}), fault.ErrOutOfRange, "/unit"},
		"no result":       {draw.Stack(io.Discard, nil, o), fault.ErrMissing, "/assembly"},
		"no shafts":       {draw.ShaftLine(io.Discard, shape, o), draw.ErrNothingToDraw, "no shafts"},
		"no such bore":    {draw.Target(io.Discard, a, draw.Aim{Bore: "tail/bus"}, o), fault.ErrUnknownName, `"tail/bush"`},
		"no such part":    {draw.Thickness(io.Discard, a, "cose", o), fault.ErrUnknownName, `"case"`},
		"no such joint":   {draw.Joint(io.Discard, a, "case|tale", o), fault.ErrUnknownName, `"case|tail"`},
		"one face":        {draw.Thickness(io.Discard, a, "tail", o), draw.ErrNothingToDraw, "two faces"},
		"limit":           {draw.Target(io.Discard, a, draw.Aim{Bore: "tail/bush", Limit: tolerance.Given(tolerance.Offset(-1))}, o), fault.ErrOutOfRange, "/limit"},
		"edges":           {bins(func(b *draw.Bins) { b.Edges = nil }), fault.ErrOutOfRange, "/edges"},
		"falling edges":   {bins(func(b *draw.Bins) { b.Edges = []float64{1, 0} }), fault.ErrOutOfRange, "/edges/1"},
		"an edge of NaN":  {bins(func(b *draw.Bins) { b.Edges[0] = math.NaN() }), fault.ErrNotFinite, "/edges/0"},
		"negative count":  {bins(func(b *draw.Bins) { b.Counts[0] = -1 }), fault.ErrOutOfRange, "/counts/0"},
		"nothing counted": {bins(func(b *draw.Bins) { b.Counts[0] = 0 }), draw.ErrNothingToDraw, "counts nothing"},
		"no shares":       {shares(), draw.ErrNothingToDraw, "no source"},
		"share over 1":    {shares(tolerance.Share{Share: 1.2}), fault.ErrOutOfRange, "/shares/0/share"},
		"share NaN":       {shares(tolerance.Share{Share: math.NaN()}), fault.ErrNotFinite, "/shares/0/share"},
		"shares over 1":   {shares(tolerance.Share{Share: .8}, tolerance.Share{Share: .8}), fault.ErrOutOfRange, "/shares"},
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
			{"alarm", "stroke", 4.5},
			{"warn", "fill", 7},
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
		check.Near(t, fmt.Sprint(tt.v, " round"), draw.RoundDown(tt.v), tt.round, 1e-12*tt.round)
		check.Near(t, fmt.Sprint(tt.v, " fine"), draw.FineDown(tt.v), tt.fine, 1e-12*tt.fine)
	}
	if got := draw.Ticks(-.02, .04, 6); len(got) != 7 || got[0] != -.02 || math.Abs(got[6]-.04) > 1e-12 {
		t.Errorf("ticks %v", got)
	}
}

// Without a reference an offset is from the line of the first shaft that bores carry, and says so.
func TestTarget_firstCarriedShaft(t *testing.T) {
	_, a := decoded(t, strings.NewReplacer(
		`"references":[{"name":"case line","through":["case/front","case/rear"]}],`, "",
		`"shafts":[`, `"pockets":[{"name":"one","between":["inner","main"],"z":0,"clearance":0.1},{"name":"two","between":["inner","main"],"z":80,"clearance":0.1}],"shafts":[{"name":"inner","supports":[]},`,
	).Replace(threeBores))
	n := picture(t, func(w io.Writer) error { return draw.Target(w, a, draw.Aim{Bore: "tail/bush"}, draw.Options{}) })
	const want = "the line through the first two supports of main"
	if said := n.child("desc").Text; !strings.Contains(said, want) {
		t.Errorf("%q does not say %q", said, want)
	}
}
