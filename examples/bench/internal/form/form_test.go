package form_test

import (
	"fmt"
	"math"
	"os"
	"regexp"
	"strings"
	"testing"

	"example.com/borestack/align/record"
	"example.com/borestack/align/report"
	"example.com/borestack/align/study"
	"example.com/borestack/examples/bench/internal/draft"
	"example.com/borestack/examples/bench/internal/form"
	"example.com/borestack/tolerance"
)

// page is a skeleton on its page.
func page(t *testing.T, name string) *form.Page {
	t.Helper()
	d, err := draft.Skeleton(name)
	if err != nil {
		t.Fatal(err)
	}
	return form.NewPage(d)
}

// demonstration is the command's own record on its page: candidates, pockets, dowels, chains, states and what varies.
func demonstration(t *testing.T) *form.Page {
	t.Helper()
	text, err := os.ReadFile("../../../driveline/harbour-launch.json")
	if err != nil {
		t.Fatal(err)
	}
	d, err := draft.Open(strings.NewReader(string(text)))
	if err != nil {
		t.Fatal(err)
	}
	return form.NewPage(d)
}

func pages(t *testing.T) map[string]*form.Page {
	out := map[string]*form.Page{"demonstration": demonstration(t)}
	for _, s := range draft.Starts() {
		out[s.Name] = page(t, s.Name)
	}
	return out
}

// note is what is said of that kind at a place.
func note(l form.Look, at, kind string) string {
	var out []string
	for _, n := range l.Notes {
		if n.At == at && n.Kind == kind {
			out = append(out, n.Text)
		}
	}
	return strings.Join(out, " + ")
}

var (
	ids    = regexp.MustCompile(` id="([^"]*)"`)
	inputs = regexp.MustCompile(`<(?:input|select) id="([^"]*)"[^>]*>`)
)

// Every id stands once, every field has a label and a note that describes it, every group its heading, and what the record holds stands in the fields.
func TestForm_whole(t *testing.T) {
	for name, p := range pages(t) {
		html := p.Form()
		seen := map[string]bool{}
		for _, m := range ids.FindAllStringSubmatch(html, -1) {
			if seen[m[1]] {
				t.Errorf("%s: the id %s stands twice", name, m[1])
			}
			seen[m[1]] = true
		}
		for _, m := range inputs.FindAllStringSubmatch(html, -1) {
			if !strings.Contains(html, `<label for="`+m[1]+`">`) {
				t.Errorf("%s: %s has no label", name, m[1])
			}
		}
		for _, what := range []string{"aria-describedby", "aria-labelledby"} {
			for _, m := range regexp.MustCompile(what+`="([^"]*)"`).FindAllStringSubmatch(html, -1) {
				if !seen[m[1]] {
					t.Errorf("%s: %s %s leads nowhere", name, what, m[1])
				}
			}
		}
		if p.Reshaped() {
			t.Errorf("%s: a form just written is to be written anew", name)
		}
		p.Draft.Each("", func(at string, n *draft.Node) {
			text := p.Draft.Text(at)
			if !strings.HasPrefix(at, "/parts/") || strings.HasSuffix(at, "/format") || text == "" || p.Draft.Count(at) > 0 || strings.Contains(at, "/at/") {
				return
			}
			if n := strings.Count(at, "/readings/"); n > 0 && strings.Count(at[strings.Index(at, "/readings/"):], "/") > 2 {
				return // a repeat, in its station's field
			}
			if !seen["f"+at] && !strings.HasSuffix(at, "/z") && !strings.Contains(at, "/points/") {
				t.Errorf("%s: %s, %q, has no field", name, at, text)
			}
		})
		for _, n := range p.Look().Notes {
			if !seen["n"+n.At] || !strings.HasPrefix(n.Of, n.At) {
				t.Errorf("%s: nowhere to say %v", name, n)
			}
		}
	}
}

// What is said beside a plate: readings 0.5 + 0.0015·cos(θ − 120°) in at eight stations, radius 3.5 in.
//
// Source: hand calculation: thickest at 120°, 4 o'clock; the rise across 7 in is twice 0.0015 in.
func TestLook_understood(t *testing.T) {
	p := page(t, "empty")
	d := p.Draft
	for _, at := range []string{"/parts", "/parts"} {
		if _, err := d.Do("add", at, ""); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := d.Do("add", "/parts/1/rear", ""); err != nil {
		t.Fatal(err)
	}
	if _, err := d.Do("way", "/parts/1/rear", draft.Thickness); err != nil {
		t.Fatal(err)
	}
	d.Set("/units/length", "in")
	d.Set("/parts/1/name", "plate")
	const round = "/parts/1/rear/thickness"
	d.Set(round+"/radius", "3 1/2")
	for k := range 8 {
		d.Set(fmt.Sprintf("%s/readings/%d", round, k), fmt.Sprintf("%.6f", 0.5+0.0015*math.Cos(math.Pi/4*float64(k)-2*math.Pi/3)))
	}
	p.Form()
	l := p.Look()
	if got := note(l, round, form.Said); !strings.Contains(got, "thickest at 4 o'clock seen from the tail, by 0.003 in across 7 in") {
		t.Errorf("beside the round: %s", got)
	}
	if got := note(l, round+"/radius", form.Said); got != "3 1/2 is read as 3.5 in" {
		t.Errorf("beside the radius: %s", got)
	}
	if l.Verdict.Word != "open" || !strings.Contains(l.Verdict.Title, "No verdict yet") {
		t.Errorf("%+v", l.Verdict)
	}
	if got := note(l, "/parts/0/name", form.Missing); !strings.HasPrefix(got, "still missing") {
		t.Errorf("beside the name that is missing: %q", got)
	}
}

// Every number of a skeleton that becomes a word is said to be wrong at its own field, and the verdict points there.
func TestLook_faults(t *testing.T) {
	for _, name := range []string{"three", "crank", "shield"} {
		p := page(t, name)
		p.Form()
		tried := 0
		p.Draft.Each("", func(at string, n *draft.Node) {
			_, number := p.Draft.Number(at)
			if !number || !strings.HasPrefix(at, "/parts/") || p.Draft.Count(at) > 0 || tried > 40 {
				return
			}
			tried++
			was := p.Draft.Text(at)
			p.Draft.Set(at, "q")
			l := p.Look()
			if got := note(l, at, form.Faulty); !strings.HasPrefix(got, "not understood: want a number") || strings.Contains(got, "+") {
				t.Errorf("%s: at %s: %q", name, at, got)
			}
			if l.Verdict.Word != "open" || len(l.Verdict.Links) == 0 || l.Verdict.Links[0].At != at {
				t.Errorf("%s: at %s: %+v", name, at, l.Verdict)
			}
			p.Draft.Set(at, was)
		})
		if v := p.Look().Verdict; v.Word != "rest holds" || tried < 10 {
			t.Errorf("%s, as it was again, after %d: %+v", name, tried, v)
		}
	}
}

// A round that does not close is doubted at the round, and no verdict at rest says that all is well.
func TestLook_doubt(t *testing.T) {
	p := page(t, "three")
	p.Draft.Set("/parts/1/rear/thickness/closing", "14.09")
	l := p.Look()
	found := ""
	for _, n := range l.Notes {
		if n.Kind == form.Doubted {
			found = n.At
		}
	}
	if !strings.HasPrefix(found, "/parts/1/rear/thickness") || l.Verdict.Word != "rest doubt" {
		t.Errorf("%q %+v", found, l.Verdict)
	}
	f, err := form.InFull(t.Context(), p.Record())
	if err != nil || f.Verdict.Word != "undecided" {
		t.Errorf("%v %+v", err, f.Verdict)
	}
}

// The verdict at rest gives the margin of the study at rest, and that in full is the head of the command's report.
func TestVerdict_sameAsCommand(t *testing.T) {
	for name, p := range pages(t) {
		if name == "empty" {
			continue
		}
		rec, err := record.Decode(strings.NewReader(p.Record()))
		if err != nil {
			t.Fatal(err)
		}
		res, err := study.Run(t.Context(), rec)
		if err != nil {
			t.Fatal(err)
		}
		unit, _ := tolerance.ParseUnit(rec.Units.Length)
		v := p.Look().Verdict
		if want := res.Assembly.Line.Margin.Format(unit) + " left on radius"; !strings.Contains(v.Title, want) || v.Word != "rest holds" || !v.Pending {
			t.Errorf("%s: %+v, want %s", name, v, want)
		}
		f, err := form.InFull(t.Context(), p.Record())
		if err != nil {
			t.Fatal(err)
		}
		var text strings.Builder
		if err := report.Text(&text, rec, res); err != nil {
			t.Fatal(err)
		}
		words := func(s string) string { return strings.Join(strings.Fields(s), " ") }
		if !strings.HasPrefix(words(text.String()), words(f.Verdict.Title)) || f.Verdict.Word != res.Word.String() || f.Text != text.String() || len(f.SVG) != 2 {
			t.Errorf("%s: %q\n%q", name, f.Verdict.Title, text.String())
		}
		for _, line := range f.Verdict.Lines {
			if !strings.Contains(words(text.String()), words(strings.TrimPrefix(line, "To do: "))) {
				t.Errorf("%s: %q is not in the report", name, line)
			}
		}
		if !strings.HasPrefix(f.Verdict.Title, strings.ToUpper(res.Word.String())+": ") || len(f.Verdict.Lines) == 0 {
			t.Errorf("%s: %+v", name, f.Verdict)
		}
	}
}

// A limit that does not hold at rest is said to be outside; a box that does not go together says so.
func TestVerdict_atRest(t *testing.T) {
	p := page(t, "three")
	p.Draft.Set("/accept/1/greatest", "0.01")
	v := p.Look().Verdict
	if v.Word != "rest fails" || !strings.Contains(strings.Join(v.Lines, " "), "tir of tail/bush is 0.0726 mm: outside by 0.0626 mm") {
		t.Errorf("%+v", v)
	}
	crank := page(t, "crank")
	crank.Draft.Set("/parts/1/front/dowels/0/centre/0", "-8.1")
	if v := crank.Look().Verdict; v.Word != "rest fails" || !strings.Contains(v.Title, "does not go together") {
		t.Errorf("%+v", v)
	}
	for _, at := range []string{"/accept/1", "/accept/0"} {
		if _, err := p.Draft.Do("remove", at, ""); err != nil {
			t.Fatal(err)
		}
	}
	if v := p.Look().Verdict; !strings.Contains(v.Title, "nothing passes or fails") {
		t.Errorf("%+v", v)
	}
}

// A table fills the draft as it fills the record; a table that is wrong changes nothing.
func TestFill(t *testing.T) {
	const table = "place;station;reading\nplate/thickness;1;14,02\nplate/thickness;2;14,01\nplate/thickness;3;14,00\nplate/thickness;4;14,01\nclearance of tail/bush;;0,12\n"
	p := page(t, "three")
	before := p.Record()
	if _, err := p.Fill(strings.NewReader(strings.Replace(table, "14,00", "14,oo", 1))); err == nil || p.Record() != before {
		t.Errorf("a wrong table: %v", err)
	}
	rec, _, err := record.Fill(strings.NewReader(before), strings.NewReader(table))
	if err != nil {
		t.Fatal(err)
	}
	var want strings.Builder
	if err := rec.Encode(&want); err != nil {
		t.Fatal(err)
	}
	notes, err := p.Fill(strings.NewReader(table))
	if err != nil || p.Record() != want.String() || len(notes) != 1 || !strings.Contains(notes[0], "decimal commas") {
		t.Errorf("%v %v\n%s", notes, err, p.Record())
	}
}

// A name that changes, and a choice that other fields follow, reshape the form; a number does not.
func TestPage_reshaped(t *testing.T) {
	for at, want := range map[string]bool{
		"/parts/0/name": true, "/parts/0/bores/0/name": true, "/units/length": true, "/accept/0/output/kind": true, "/parts/1/rear/thickness/first": true,
		"/parts/0/rear/z": false, "/parts/1/rear/thickness/readings/3": false, "/title": false, "/accept/0/because": false,
	} {
		p := page(t, "three")
		p.Form()
		typed := "45"
		if at == "/units/length" {
			typed = "in"
		}
		if p.Draft.Set(at, typed); p.Reshaped() != want {
			t.Errorf("%s: reshaped is %v", at, !want)
		}
	}
}

// What people write into names stays text, wherever it is shown.
func TestPage_escaped(t *testing.T) {
	p := page(t, "three")
	const bad = `<img src=x onerror=alert(1)>"'&`
	for _, at := range []string{"/title", "/parts/0/name", "/parts/0/bores/0/name", "/shafts/0/name", "/accept/1/because", "/parts/1/rear/thickness/readings/0"} {
		p.Draft.Set(at, bad)
	}
	if _, err := p.Draft.Do("add", "/candidates/"+draft.Step(bad), ""); err != nil {
		t.Fatal(err)
	}
	html := p.Form()
	l := p.Look()
	for _, d := range l.Dials {
		html += d
	}
	if html += l.Sketch; strings.Contains(html, "<img") {
		t.Error("markup of the record is markup of the page")
	}
}

// BenchmarkLook is what every key costs, as the demonstration's parts rest.
func BenchmarkLook(b *testing.B) {
	text, err := os.ReadFile("../../../driveline/harbour-launch.json")
	if err != nil {
		b.Fatal(err)
	}
	d, err := draft.Open(strings.NewReader(string(text)))
	if err != nil {
		b.Fatal(err)
	}
	p := form.NewPage(d)
	p.Form()
	n := 0
	for b.Loop() {
		n++
		p.Draft.Set("/parts/2/rear/thickness/readings/0", fmt.Sprintf("14.0%02d", n%50))
		p.Look()
	}
}
