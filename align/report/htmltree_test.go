package report_test

import (
	"bytes"
	"encoding/xml"
	"io"
	"strings"
	"testing"
)

// element is an element of a page.
type element struct {
	name     string
	attr     map[string]string
	children []*element
	text     string // of the element and all below it
}

// each visits the element and all below it.
func (e *element) each(visit func(*element)) {
	visit(e)
	for _, c := range e.children {
		c.each(visit)
	}
}

// all are the elements of that name below e that keep a condition; nil: all.
func (e *element) all(name string, keep func(*element) bool) []*element {
	var out []*element
	e.each(func(x *element) {
		if x.name == name && (keep == nil || keep(x)) {
			out = append(out, x)
		}
	})
	return out
}

// within is the one element with that id.
func (e *element) within(t *testing.T, id string) *element {
	t.Helper()
	var found *element
	e.each(func(x *element) {
		if x.attr["id"] == id {
			found = x
		}
	})
	if found == nil {
		t.Fatalf("nothing has the id %q", id)
	}
	return found
}

// parsed reads a page as strict XML, which it also is: every element is closed, every attribute quoted.
func parsed(t *testing.T, page []byte) *element {
	t.Helper()
	d := xml.NewDecoder(bytes.NewReader(page))
	root := &element{attr: map[string]string{}}
	open := []*element{root}
	var said strings.Builder // all text so far
	var begun []int          // where in it each open element begins
	for {
		tok, err := d.Token()
		if err == io.EOF {
			break
		}
		if err != nil {
			t.Fatalf("not well-formed: %v", err)
		}
		switch x := tok.(type) {
		case xml.StartElement:
			e := &element{name: x.Name.Local, attr: map[string]string{}}
			for _, a := range x.Attr {
				e.attr[a.Name.Local] = a.Value
			}
			open[len(open)-1].children = append(open[len(open)-1].children, e)
			open, begun = append(open, e), append(begun, said.Len())
		case xml.EndElement:
			e := open[len(open)-1]
			e.text = said.String()[begun[len(begun)-1]:]
			open, begun = open[:len(open)-1], begun[:len(begun)-1]
		case xml.CharData:
			said.Write(x)
		}
	}
	return root
}

// lawful holds a page to what every page must keep: it refers to nothing outside itself, runs nothing, and can be read by everyone.
func lawful(t *testing.T, root *element, source string) {
	t.Helper()
	lower := strings.ToLower(source)
	for _, bad := range []string{"<script", "http:", "https:", "@import", "javascript:", "<iframe", "<object", "<img", "<link", "<base", "ZgotmplZ"} {
		if i := strings.Index(lower, strings.ToLower(bad)); i >= 0 && !escapedOnly(source, bad) {
			t.Errorf("holds %q: …%s…", bad, source[max(0, i-40):min(len(source), i+60)])
		}
	}
	if n := strings.Count(source, "url("); n != strings.Count(source, "url(#pic") {
		t.Error("the style refers to something outside the page")
	}
	ids := map[string]bool{}
	root.each(func(e *element) {
		if id := e.attr["id"]; id != "" {
			if ids[id] {
				t.Errorf("id %q twice", id)
			}
			ids[id] = true
		}
	})
	level := 0
	root.each(func(e *element) {
		for a, v := range e.attr {
			if strings.HasPrefix(a, "on") || a == "src" || a == "xmlns" {
				t.Errorf("attribute %s of <%s>", a, e.name)
			}
			if a == "href" && (!strings.HasPrefix(v, "#") || !ids[v[1:]]) {
				t.Errorf("a link to %q", v)
			}
			if a == "aria-labelledby" {
				for _, id := range strings.Fields(v) {
					if !ids[id] {
						t.Errorf("labelled by %q, which is not there", id)
					}
				}
			}
		}
		switch e.name {
		case "h1", "h2", "h3":
			if n := int(e.name[1] - '0'); n > level+1 || n == 1 && level > 0 {
				t.Errorf("<%s> after <h%d>", e.name, level)
			} else {
				level = n
			}
			if strings.TrimSpace(e.text) == "" {
				t.Errorf("<%s> says nothing", e.name)
			}
		case "table":
			if c := e.all("caption", nil); len(c) != 1 || strings.TrimSpace(c[0].text) == "" {
				t.Error("a table without a caption")
			}
			if len(e.all("thead", nil)) != 1 {
				t.Error("a table without a head")
			}
		case "th":
			if e.attr["scope"] == "" {
				t.Errorf("<th> %q without scope", e.text)
			}
		case "figure":
			if len(e.all("figcaption", nil)) != 1 || len(e.all("svg", nil)) != 1 || len(e.all("desc", nil)) != 1 {
				t.Error("a figure without caption, picture or description")
			}
		case "script", "iframe", "object", "embed", "link", "base", "form", "img":
			t.Errorf("<%s>", e.name)
		}
	})
	htmls := root.all("html", nil)
	if len(htmls) != 1 || htmls[0].attr["lang"] != "en" || len(root.all("h1", nil)) != 1 {
		t.Error("no language, or not one main heading")
	}
	if titles := root.all("head", nil)[0].all("title", nil); len(titles) != 1 || titles[0].text == "" {
		t.Error("no title")
	}
	body := root.all("body", nil)[0]
	if skip := body.children[0]; skip.name != "a" || skip.attr["href"] != "#main" {
		t.Error("the body does not begin with a skip link")
	}
	for _, bad := range []string{"NaN", "+Inf", "%!", "<nil>"} {
		if strings.Contains(body.text, bad) {
			t.Errorf("says %q", bad)
		}
	}
	for _, r := range source {
		if r < ' ' && r != '\n' || r == '\u202e' {
			t.Errorf("control character %q", r)
		}
	}
}

// escapedOnly reports whether a hostile text stands in the page only as words: an address in a title or a note is a text like any other, and the record may hold one.
func escapedOnly(source, bad string) bool {
	return !strings.HasPrefix(bad, "<") && strings.HasSuffix(bad, ":") && strings.Contains(source, "example.com")
}
