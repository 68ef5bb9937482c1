package sheet_test

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"strings"
	"testing"

	"example.com/borestack/align/internal/paper"
	"example.com/borestack/align/sheet"
)

// One page says the same to all: as text, Markdown and JSON, and as one page of the web that is well formed,
// self-contained and holds the pictures, whatever its texts are.
func TestPage_writers(t *testing.T) {
	p := &paper.Page{Title: "invented <b> & \"all\""}
	p.Section("a", "First").Item("told once").Tells("x", 0.1, "mm")
	drawn := 0
	page := sheet.New(p, "format/1", func() ([]paper.Picture, error) {
		drawn++
		return []paper.Picture{{Caption: "a dot", SVG: `<svg xmlns="http://www.w3.org/2000/svg"><circle r="1"/></svg>`, Name: "dot"}}, nil
	})
	var web bytes.Buffer
	for name, write := range map[string]func(io.Writer) error{"text": page.Text, "Markdown": page.Markdown, "JSON": page.JSON, "HTML": page.HTML} {
		var out bytes.Buffer
		if err := write(&out); err != nil || !strings.Contains(out.String(), "told once") {
			t.Errorf("%s: %v\n%s", name, err, out.String())
		}
		if name == "HTML" {
			web = out
		}
	}
	s := web.String()
	if strings.Count(s, "<circle") != 1 || strings.Contains(s, "<b>") || strings.Contains(s, "<script") || strings.Contains(s, "provenance") || strings.Count(s, "http") != 1 {
		t.Errorf("%s", s)
	}
	for d := xml.NewDecoder(&web); ; {
		if _, err := d.Token(); err == io.EOF {
			break
		} else if err != nil {
			t.Fatal(err)
		}
	}
	pictures, err := page.Pictures()
	if err != nil || len(pictures) != 1 || !bytes.Contains(pictures["dot"], []byte("circle")) {
		t.Errorf("%v, %v", pictures, err)
	}
	if drawn != 2 { // for the page of the web, and for the pictures
		t.Errorf("drawn %d times", drawn)
	}
	if len(p.Sections) != 1 {
		t.Error("the page of the web added to the page")
	}
}

// What cannot be drawn is an error, and nothing is written.
func TestPage_notDrawn(t *testing.T) {
	wrong := errors.New("invented")
	var out bytes.Buffer
	page := sheet.New(&paper.Page{Title: "t"}, "format/1", func() ([]paper.Picture, error) { return nil, wrong })
	if err := page.HTML(&out); !errors.Is(err, wrong) || out.Len() > 0 {
		t.Errorf("%v, %s", err, out.String())
	}
	if _, err := page.Pictures(); !errors.Is(err, wrong) {
		t.Error(err)
	}
	if pictures, err := new(sheet.Page).Pictures(); err != nil || len(pictures) > 0 {
		t.Errorf("%v, %v", pictures, err)
	}
}
