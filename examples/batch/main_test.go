package main

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"example.com/borestack/align/advise/batch"
	"example.com/borestack/examples/internal/answer"
	"example.com/borestack/tolerance"
)

// One page holds the words and every picture, and no name twice; each picture is a file of its own besides.
func TestRun_page(t *testing.T) {
	folder := t.TempDir()
	form := answer.Form{HTML: filepath.Join(folder, "page.html"), Folder: folder}
	var out strings.Builder
	if err := parts(plates, batch.Batch{Of: "wedges"}, "mm", form, &out); err != nil {
		t.Fatal(err)
	}
	page, err := os.ReadFile(form.HTML)
	if err != nil {
		t.Fatal(err)
	}
	pictures, err := filepath.Glob(filepath.Join(folder, "*.svg"))
	if err != nil || len(pictures) != 10 || strings.Count(string(page), "<svg") != len(pictures) || !strings.Contains(string(page), "the fixture can explain it") {
		t.Errorf("%d pictures, %d in the page; %v", len(pictures), strings.Count(string(page), "<svg"), err)
	}
	names := map[string]bool{}
	for _, m := range regexp.MustCompile(` id="([^"]*)"`).FindAllStringSubmatch(string(page), -1) {
		if names[m[1]] {
			t.Errorf("%s stands twice", m[1])
		}
		names[m[1]] = true
	}
}

// The invented plates lean by what their fixture does, and the invented study is worked out both ways.
func TestRun_demonstration(t *testing.T) {
	var out strings.Builder
	if err := parts(plates, batch.Batch{Of: "wedges", Greatest: tolerance.Given(0.05 * tolerance.Millimetre)}, "mm", answer.Form{}, &out); err != nil {
		t.Fatal(err)
	}
	if err := people(gauge, 0.05, answer.Form{}, &out); err != nil {
		t.Fatal(err)
	}
	if err := written(batch.SamplingPlan{Sample: 80, Accept: 2}.Page, answer.Form{}, &out); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"the fixture can explain it", "Of a million such parts", "both together", "by variance", "of what is allowed", "still slips through"} {
		if !strings.Contains(strings.Join(strings.Fields(out.String()), " "), want) {
			t.Errorf("%q is missing from\n%s", want, out.String())
		}
	}
	if err := parts([]byte("part,x\n"), batch.Batch{}, "mm", answer.Form{}, &out); err == nil {
		t.Error("a table without vectors was taken")
	}
}
