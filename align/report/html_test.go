package report_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"example.com/borestack/align/record"
	"example.com/borestack/align/report"
	"example.com/borestack/align/study"
	"example.com/borestack/fault"
	"example.com/borestack/stackup"
	"example.com/borestack/tolerance"
)

// studied is a record, its result and what varies in it.
func studied(t testing.TB, text string) (*record.Record, *study.Result) {
	t.Helper()
	rec, res := evaluated(t, text)
	var err error
	if res.Variations, err = study.Vary(context.Background(), rec, stackup.Settings{Samples: 1100, Seed: 7}); err != nil {
		t.Fatal(err)
	}
	return rec, res
}

// html is the report as a page.
func html(t testing.TB, text string) []byte {
	t.Helper()
	rec, res := studied(t, text)
	var b bytes.Buffer
	if err := report.HTML(&b, rec, res); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// loaded is one elastic shaft in three bores, the middle one low, with a mesh, a chain, a state and sources of both kinds.
const loaded = `{"format":"borestack-record/1","units":{"length":"mm"},"parts":[{"name":"bed","bores":[
 {"name":"a","centre":[0,0,0]},{"name":"b","centre":[0,-0.02,150]},{"name":"c","centre":[0.01,0,300]},{"name":"d","centre":[0,80,0]},{"name":"e","centre":[0.02,80.01,300]}]}],"joints":[],
 "shafts":[{"name":"main","material":"alloy steel","density":7850,"supports":[{"bore":"bed/a","clearance":0.01},{"bore":"bed/b","clearance":0.01,"tilt":0.001},{"bore":"bed/c","clearance":0.01}],
  "sections":[{"from":-10,"to":310,"diameter":30}],"loads":[{"name":"pull","z":200,"force":[100,0]}]}],
 "references":[{"name":"line","through":["bed/a","bed/c"]}],
 "meshes":[{"name":"second","axes":[["bed/a","bed/c"],["bed/d","bed/e"]],"z":100,"face_width":20,"helix_tolerance":0.012}],
 "chains":[{"name":"play","links":[{"name":"gap","length":0.1}],"least":0,"greatest":0.2}],
 "states":[{"name":"shifted","moves":{"bed":[0.01,0,0]}}],
 "vary":[{"name":"boring","at":["/parts/0/bores/1/centre/0","/parts/0/bores/1/centre/1"],"law":{"normal":0.004}},
  {"name":"ream","at":"/shafts/0/supports/1/clearance","law":{"uniform":0.004}},
  {"name":"dial","at":"/parts/0/bores/1/centre/1","law":{"normal":0.001},"because":"gauge"}],
 "accept":[{"output":{"kind":"margin"},"least":0,"because":"straight shafts must have room"},{"output":{"kind":"use"},"greatest":0.9},
  {"output":{"kind":"offset","of":"bed/b"},"greatest":0.03,"because":"works rule"},{"output":{"kind":"tir","of":"bed/b"},"least":0.01,"greatest":0.06},
  {"output":{"kind":"tilt","of":"bed/b"},"greatest":0.001},{"output":{"kind":"side_load","of":"bed/b"},"greatest":900},{"output":{"kind":"assembles"}},
  {"output":{"kind":"margin","state":"shifted"},"least":0},{"output":{"kind":"in_plane","of":"second"},"greatest":0.03}]}`

// pages are the records that the page is tried on.
func pages(t *testing.T) map[string]string {
	t.Helper()
	out := map[string]string{
		"demonstration": demonstration(t),
		"inches":        shop,
		"loaded":        loaded,
		"two parts":     twoPart(0.06, 0.15, ``, `,"accept":[{"output":{"kind":"margin"},"least":0}],"vary":[{"float":"case|tail","law":"uniform"}]`),
		"parts alone":   `{"format":"borestack-record/1","units":{"length":"um"},"parts":[{"name":"bed"}],"joints":[]}`,
		"no line":       `{"format":"borestack-record/1","units":{"length":"thou"},"parts":[{"name":"bed","bores":[{"name":"a","centre":[0,0,100]},{"name":"b","centre":[0,-9,400]},{"name":"c","centre":[0,0,700]}]}],"joints":[],"shafts":[{"name":"main","supports":[{"bore":"bed/a","clearance":0},{"bore":"bed/b","clearance":0},{"bore":"bed/c","clearance":0}]}]}`,
		"undecided":     strings.Replace(shop, `"first":120`, `"first":120,"uncertainty":0.004`, 1),
		"hostile":       hostile(),
		"many":          many(20),
	}
	files, err := filepath.Glob("../../testdata/records/*.json")
	if err != nil || len(files) == 0 {
		t.Fatalf("no records: %v", err)
	}
	for _, f := range files {
		b, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		out[filepath.Base(f)] = string(b)
	}
	return out
}

// many is a shaft in n bores, nearly in line.
func many(n int) string {
	var bores, supports []string
	for i := range n {
		bores = append(bores, fmt.Sprintf(`{"name":"b%d","centre":[%g,0,%d]}`, i, 0.001*float64(i%3), 50*i))
		supports = append(supports, fmt.Sprintf(`{"bore":"bed/b%d","clearance":0.05}`, i))
	}
	return `{"format":"borestack-record/1","units":{"length":"mm"},"parts":[{"name":"bed","bores":[` + strings.Join(bores, ",") + `]}],"joints":[],"shafts":[{"name":"main","supports":[` + strings.Join(supports, ",") + `]}]}`
}

// hostile is the shop's record with names and texts that would be markup, links, mentions, or rows of a table.
func hostile() string {
	return strings.NewReplacer(
		`"plate"`, `"<script>alert(1)<\u2044script>"`, `"plate/bearing"`, `"<script>alert(1)<\u2044script>/\"><img src=x onerror=y>"`, `"bearing"`, `"\"><img src=x onerror=y>"`,
		`"bush"`, `"| **x** | @team #12"`, `"tail/bush"`, `"tail/| **x** | @team #12"`,
		`"main"`, `"[go](x) www.example.com \u202e\u0000{{.}}"`, `"line"`, `"`+"`a`"+` ]]> -- & &lt;"`,
		`"straight shafts must have room"`, `"</style><script src=http://example.com/x></script> 1. <!-- | \n\n# head"`,
		`"units"`, `"title":"</title><svg onload=x>","note":"- <b>see</b> https://example.com or mail@example.com","units"`,
	).Replace(shop)
}

// Every record makes a lawful page and ticket that say what the other reports say.
func TestHTML_andMarkdownOfRecords(t *testing.T) {
	for name, text := range pages(t) {
		t.Run(name, func(t *testing.T) {
			rec, res := studied(t, text)
			var b bytes.Buffer
			if err := report.HTML(&b, rec, res); err != nil {
				t.Fatal(err)
			}
			root := parsed(t, b.Bytes())
			lawful(t, root, b.String())
			rests(t, root, rec, res)
			illustrated(t, root, name)
			ticket(t, rec, res)
		})
	}
}

// The same record gives the same page, study and all.
func TestHTML_deterministic(t *testing.T) {
	first, again := html(t, loaded), html(t, loaded)
	if !bytes.Equal(first, again) {
		t.Error("the same record gives two pages")
	}
	one, two := markdown(t, loaded), markdown(t, loaded)
	if one != two {
		t.Error("the same record gives two tickets")
	}
}

// A hostile name is shown as it is written, and is nothing else.
func TestHTML_hostileNamesAreText(t *testing.T) {
	root := parsed(t, html(t, hostile()))
	if got := root.all("h1", nil)[0].text; !strings.Contains(got, "</title><svg onload=x>") {
		t.Errorf("the title is %q", got)
	}
	if got := root.within(t, "limits").text; !strings.Contains(got, "</style><script src=http://example.com/x></script> 1. <!-- |") {
		t.Errorf("the origin of the limit is not shown as it is written:\n%s", got)
	}
	if got := root.within(t, "supports").text; !strings.Contains(got, `"><img src=x onerror=y>`) {
		t.Error("the bore's name is not shown as it is written")
	}
}

// illustrated holds a page to the pictures that its record asks for: every kind where there is something to draw, and none where there is not.
func illustrated(t *testing.T, root *element, name string) {
	t.Helper()
	want := map[string]map[string]int{
		// four supports, three joints, one plate read with a micrometer
		"demonstration": {"Shaft line": 1, "Target of": 4, "Joint ": 3, "The stack as understood": 1, "Thickness of": 1, "Distribution": 3},
		// one part and three supports; by the process vary margin (twice), use, offset, TIR and side load, by the gauge the same
		"loaded": {"Shaft line": 1, "Target of": 3, "Joint ": 0, "The stack as understood": 1, "Thickness of": 0, "Distribution": 12, "Shares": 12},
		// twelve pictures of one kind at most
		"many":        {"Shaft line": 1, "Target of": 12},
		"parts alone": {"Shaft line": 0, "Target of": 0, "Distribution": 0},
	}[name]
	got := map[string]int{}
	for _, f := range root.all("svg", nil) {
		for title := range want {
			if strings.HasPrefix(f.all("title", nil)[0].text, title) {
				got[title]++
			}
		}
	}
	for title, n := range want {
		if got[title] != n {
			t.Errorf("%d pictures %q, want %d", got[title], title, n)
		}
	}
	if name != "loaded" {
		return
	}
	varied := root.within(t, "variation").text
	for _, want := range []string{"Distribution: margin of the shaft line", "Shares: margin of the shaft line", "1100 samples, seed 7", "/vary/0", "/parts/0/bores/1/centre/0"} {
		if !strings.Contains(varied, want) {
			t.Errorf("what varies does not say %q", want)
		}
	}
}

func TestHTML_provenance(t *testing.T) {
	rec, _ := studied(t, loaded)
	got := parsed(t, html(t, loaded)).within(t, "provenance")
	var encoded bytes.Buffer
	if err := rec.Encode(&encoded); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{digest(encoded.Bytes()), "borestack-record/1", "1100 samples, seed 7", "/accept/2: works rule", "origin not stated: /accept/1"} {
		if !strings.Contains(got.text, want) {
			t.Errorf("does not say %q", want)
		}
	}
	if shown := got.all("pre", nil)[0].text; shown != encoded.String()+"\n" && shown != encoded.String() {
		t.Error("the record in the page is not the record as the library writes it")
	}
}

func TestHTML_refuses(t *testing.T) {
	for name, c := range map[string]struct {
		spoil func(*study.Result)
		want  error
	}{
		"not finite": {func(r *study.Result) { r.Assembly.Line.Margin = tolerance.Length(math.NaN()) }, fault.ErrNotFinite},
		"another's": {func(r *study.Result) {
			_, other := evaluated(t, loaded)
			r.Assembly = other.Assembly
		}, fault.ErrConflict},
	} {
		rec, res := evaluated(t, shop)
		c.spoil(res)
		var b bytes.Buffer
		if err := report.HTML(&b, rec, res); !errors.Is(err, c.want) || b.Len() > 0 {
			t.Errorf("%s: error %v, %d bytes written", name, err, b.Len())
		}
	}
}

func TestHTML_cannotWrite(t *testing.T) {
	rec, res := evaluated(t, shop)
	for what, write := range map[string]func(io.Writer, *record.Record, *study.Result) error{"page": report.HTML, "ticket": report.Markdown} {
		if err := write(full{}, rec, res); !errors.Is(err, errFull) {
			t.Errorf("%s: error %v", what, err)
		}
	}
}

var errFull = errors.New("no room on the device")

type full struct{}

func (full) Write([]byte) (int, error) { return 0, errFull }

// FuzzHTML: what the JSON report can say, the page and the ticket can say too, and no record makes a page that is not well-formed.
func FuzzHTML(f *testing.F) {
	f.Add(shop)
	f.Add(hostile())
	f.Add(many(3))
	f.Add(twoPart(0.06, 0.15, ``, `,"accept":[{"output":{"kind":"margin"},"least":0}]`))
	f.Fuzz(func(t *testing.T, text string) {
		rec, err := record.Decode(strings.NewReader(text))
		if err != nil {
			return
		}
		res, err := study.Run(t.Context(), rec)
		if err != nil {
			return
		}
		said := report.JSON(io.Discard, rec, res)
		var page bytes.Buffer
		if err := report.HTML(&page, rec, res); (err == nil) != (said == nil) {
			t.Fatalf("JSON: %v, page: %v", said, err)
		}
		if err := report.Markdown(io.Discard, rec, res); (err == nil) != (said == nil) {
			t.Fatalf("JSON: %v, ticket: %v", said, err)
		}
		if said == nil {
			parsed(t, page.Bytes())
		}
	})
}

// The first side of A4 in print holds the short answer and nothing else: its words are few enough, its picture is drawn in full
// without a script, and the rest begins on the next side.
func TestHTML_shortAnswerOnOneSide(t *testing.T) {
	// Source: ISO 216, A4 is 210 by 297 mm, less the margins of the page; type of 9.5 pt on lines of 1.35, half as wide as high
	// on the average (common practice, no published source); the answer stands beside a picture of 84 mm
	const (
		high, wide = 297 - 14 - 16, 210 - 2*14
		point      = 25.4 / 72
		line, char = 9.5 * point * 1.35, 9.5 * point * 0.5
	)
	lines := func(s string, width float64) float64 { return math.Ceil(float64(len([]rune(flow(s)))) * char / width) }
	for name, record := range pages(t) {
		if name == "hostile" {
			continue
		}
		page := html(t, record)
		root := parsed(t, page)
		head := root.all("header", nil)[0]
		tall := 4*line + lines(head.all("p", nil)[0].text, wide)*line*1.3
		for _, e := range append(head.all("p", nil)[1:], head.all("li", nil)...) {
			tall += lines(e.text, wide-84-6)*line + 2
		}
		if tall > high {
			t.Errorf("%s: the short answer is %.0f mm high in print, and a side has %d", name, tall, high)
		}
		if n := len(head.all("li", nil)); n > 3 || len(head.all("svg", nil)) > 1 {
			t.Errorf("%s: %d things to do, %d pictures", name, n, len(head.all("svg", nil)))
		}
		for _, no := range []string{"<script", "loading=", "content-visibility", "min-width:33rem"} {
			if bytes.Contains(page, []byte(no)) {
				t.Errorf("%s: holds %s: the page is drawn before anybody scrolls", name, no)
			}
		}
	}
	if page := html(t, shop); !bytes.Contains(page, []byte("header{break-after:page}")) {
		t.Error("the rest does not begin on the next side")
	}
}
