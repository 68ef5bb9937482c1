package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"example.com/borestack/align/advise/pair"
	"example.com/borestack/examples/internal/answer"
)

func TestRun_demonstration(t *testing.T) {
	var out strings.Builder
	folder := t.TempDir()
	form := answer.Form{HTML: filepath.Join(folder, "page.html"), Folder: folder}
	if err := run(demonstration, "", pair.Box{}, form, &out); err != nil {
		t.Fatal(err)
	}
	page, err := os.ReadFile(form.HTML)
	if drawn, _ := os.ReadFile(filepath.Join(folder, "tightest.svg")); err != nil || len(drawn) == 0 || !bytes.Contains(page, drawn) || !bytes.Contains(page, []byte("left over")) {
		t.Errorf("%v, a picture of %d bytes that is not in\n%s", err, len(drawn), page)
	}
	for _, want := range []string{"boxes that pass, the tightest first", "No other way builds more boxes", "left over"} {
		if !strings.Contains(strings.Join(strings.Fields(out.String()), " "), want) {
			t.Errorf("%q is missing from\n%s", want, out.String())
		}
	}
	if err := run([]byte(`{"format": "borestack-record/1"}`), "", pair.Box{}, answer.Form{}, &out); err == nil {
		t.Error("an empty record was taken")
	}
}

func TestParseTurn(t *testing.T) {
	if w, err := parseTurn("plate:6:redrill"); err != nil || w.Part != "plate" || w.Holes != 6 || !w.Redrill {
		t.Errorf("%+v, %v", w, err)
	}
	for _, v := range []string{"plate", "plate:", "plate:x", "plate:6:", "plate:6:7", "a:1:redrill:2"} {
		if _, err := parseTurn(v); err == nil {
			t.Errorf("%q was taken", v)
		}
	}
}
