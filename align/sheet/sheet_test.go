package sheet_test

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"regexp"
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

// A page with two behind it: text and Markdown with an empty line between, JSON as objects that follow one another, and one page
// of the web whose ids differ although the pages' own do not, with the pictures of all.
func TestPage_With(t *testing.T) {
	one := func(name string) *sheet.Page {
		p := paper.New("sheet", name)
		for range 2 {
			s := p.Section("a", "section")
			s.Item("told by %s", name)
			s.Drawing([]string{"o <" + name + ">"})
		}
		return sheet.New(p, "format/"+name, func() ([]paper.Picture, error) {
			return []paper.Picture{{Caption: name, SVG: "<svg><g/></svg>", Name: name}}, nil
		})
	}
	names := []string{"x", "y", "z"}
	page, second := one("x"), one("y")
	page = page.With(second).With(one("z"))
	for i, write := range []func(*sheet.Page, io.Writer) error{(*sheet.Page).Text, (*sheet.Page).Markdown, (*sheet.Page).JSON} {
		var got, want bytes.Buffer
		if err := write(page, &got); err != nil {
			t.Fatal(err)
		}
		for k, name := range names {
			if k > 0 && i < 2 {
				want.WriteString("\n")
			}
			if err := write(one(name), &want); err != nil {
				t.Fatal(err)
			}
		}
		if got.String() != want.String() {
			t.Errorf("%s\nwant\n%s", got.String(), want.String())
		}
	}
	var web bytes.Buffer
	if err := page.HTML(&web); err != nil {
		t.Fatal(err)
	}
	s := web.String()
	for _, name := range names {
		if strings.Count(s, "told by "+name) != 2 || strings.Count(s, "o &lt;"+name+"&gt;") != 2 || strings.Count(s, "<figcaption>"+name) != 1 || !strings.Contains(s, ">sheet: "+name+"</h") {
			t.Errorf("%s: %s", name, s)
		}
	}
	ids := map[string]bool{}
	for _, m := range regexp.MustCompile(` id="([^"]*)"`).FindAllStringSubmatch(s, -1) {
		if ids[m[1]] || m[1] == "" {
			t.Errorf("id %q twice, or empty", m[1])
		}
		ids[m[1]] = true
	}
	for _, m := range regexp.MustCompile(` href="#([^"]*)"`).FindAllStringSubmatch(s, -1) {
		if !ids[m[1]] {
			t.Errorf("a link to %q, which is not there", m[1])
		}
	}
	if pictures, err := page.Pictures(); err != nil || len(pictures) != 3 {
		t.Errorf("%v, %v", pictures, err)
	}
	var alone bytes.Buffer
	if err := second.Text(&alone); err != nil || strings.Contains(alone.String(), "told by z") {
		t.Errorf("a page was changed: %s, %v", alone.String(), err)
	}
}

// What is wrong behind the first page is an error as well.
func TestPage_WithNotDrawn(t *testing.T) {
	wrong := errors.New("invented")
	bad := sheet.New(&paper.Page{Title: "t"}, "format/1", func() ([]paper.Picture, error) { return nil, wrong })
	page := sheet.New(&paper.Page{Title: "t"}, "format/1", nil).With(bad)
	var out bytes.Buffer
	if err := page.HTML(&out); !errors.Is(err, wrong) || out.Len() > 0 {
		t.Errorf("%v, %s", err, out.String())
	}
	if _, err := page.Pictures(); !errors.Is(err, wrong) {
		t.Error(err)
	}
}
