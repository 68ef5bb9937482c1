package draw_test

import (
	"bytes"
	"encoding/xml"
	"io"
	"math"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"example.com/borestack/align"
	"example.com/borestack/align/draw"
	"example.com/borestack/align/record"
)

// node is an element of a picture.
type node struct {
	XMLName  xml.Name
	Attrs    []xml.Attr `xml:",any,attr"`
	Children []node     `xml:",any"`
	Text     string     `xml:",chardata"`
}

func (n *node) attr(name string) string {
	for _, a := range n.Attrs {
		if a.Name.Local == name {
			return a.Value
		}
	}
	return ""
}

func (n *node) num(t testing.TB, name string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(strings.TrimSuffix(n.attr(name), "mm"), 64)
	if err != nil {
		t.Fatalf("%s of <%s>: %v", name, n.XMLName.Local, err)
	}
	return v
}

// class is the element's class without the prefix.
func (n *node) class() string {
	_, c, _ := strings.Cut(n.attr("class"), "-")
	return c
}

// each visits the element and all below it.
func (n *node) each(visit func(*node)) {
	visit(n)
	for i := range n.Children {
		n.Children[i].each(visit)
	}
}

// groups are the titled groups of a kind, with that title ("" for any).
func (n *node) groups(kind, title string) []*node {
	var out []*node
	n.each(func(g *node) {
		if g.XMLName.Local == "g" && g.class() == kind && (title == "" || g.child("title").Text == title) {
			out = append(out, g)
		}
	})
	return out
}

func (n *node) child(tag string) *node {
	for i := range n.Children {
		if n.Children[i].XMLName.Local == tag {
			return &n.Children[i]
		}
	}
	return &node{}
}

// all are the elements of a kind at or below n.
func (n *node) all(tag string) []*node {
	var out []*node
	n.each(func(e *node) {
		if e.XMLName.Local == tag {
			out = append(out, e)
		}
	})
	return out
}

// points are the coordinates of a path.
func (n *node) points(t testing.TB) [][2]float64 {
	t.Helper()
	var out [][2]float64
	for _, m := range regexp.MustCompile(`[ML](-?[\d.]+) (-?[\d.]+)`).FindAllStringSubmatch(n.attr("d"), -1) {
		x, _ := strconv.ParseFloat(m[1], 64)
		y, _ := strconv.ParseFloat(m[2], 64)
		out = append(out, [2]float64{x, y})
	}
	return out
}

// picture draws and parses, and holds every picture to what all must keep.
func picture(t testing.TB, draws func(w io.Writer) error) *node {
	t.Helper()
	var b bytes.Buffer
	if err := draws(&b); err != nil {
		t.Fatal(err)
	}
	n := parse(t, b.Bytes())
	lawful(t, n, b.String())
	return n
}

func parse(t testing.TB, b []byte) *node {
	t.Helper()
	d := xml.NewDecoder(bytes.NewReader(b))
	var n node
	if err := d.Decode(&n); err != nil {
		t.Fatalf("not XML: %v\n%s", err, b)
	}
	for {
		tok, err := d.Token()
		if err == io.EOF {
			break
		}
		if c, ok := tok.(xml.CharData); err != nil || !ok || strings.TrimSpace(string(c)) != "" {
			t.Fatalf("after the root: %v %v", tok, err)
		}
	}
	if n.XMLName.Local != "svg" || n.XMLName.Space != "http://www.w3.org/2000/svg" {
		t.Fatalf("root is %v", n.XMLName)
	}
	return &n
}

// label is a text and the box it takes.
type label struct {
	text string
	box  [4]float64
}

func labels(t testing.TB, n *node) []label {
	t.Helper()
	var out []label
	for _, e := range n.all("text") {
		box := draw.Extent(e.Text, e.num(t, "x"), e.num(t, "y"), e.num(t, "font-size"), e.attr("text-anchor"), e.attr("font-weight") == "bold")
		if l := e.attr("textLength"); l != "" {
			// coordinates are printed to a hundredth
			if d := e.num(t, "textLength") - (box[2] - box[0]); math.Abs(d) > .006 {
				t.Errorf("%q is held to %s, reckoned %g", e.Text, l, box[2]-box[0])
			}
		} else if _, exact := draw.TextWidth(e.Text, 1, false); !exact {
			t.Errorf("%q is not held to its width", e.Text)
		}
		out = append(out, label{e.Text, box})
	}
	return out
}

// lawful holds a picture to what every picture must keep: a title and description for screen readers, nothing from outside, ids of its own, finite coordinates on the paper, and no text over another.
func lawful(t testing.TB, n *node, source string) {
	t.Helper()
	id := n.attr("id")
	if n.attr("role") != "img" || n.attr("aria-labelledby") != id+"-title "+id+"-desc" {
		t.Errorf("role %q, labelled by %q", n.attr("role"), n.attr("aria-labelledby"))
	}
	for _, tag := range []string{"title", "desc"} {
		if c := n.child(tag); c.attr("id") != id+"-"+tag || strings.TrimSpace(c.Text) == "" {
			t.Errorf("%s: id %q, %q", tag, c.attr("id"), c.Text)
		}
	}
	for _, bad := range []string{"NaN", "Inf", "href", "<script", "<image", "foreignObject", "@import", "javascript", "data:", "<!", "<?"} {
		if strings.Contains(source, `="`+bad) || strings.HasPrefix(bad, "<") && strings.Contains(source, bad) || bad[0] == '@' && strings.Contains(source, bad) {
			t.Errorf("holds %s", bad)
		}
	}
	var box [4]float64
	for i, s := range strings.Fields(n.attr("viewBox")) {
		box[i], _ = strconv.ParseFloat(s, 64)
	}
	seen := map[string]bool{}
	n.each(func(e *node) {
		if i := e.attr("id"); i != "" {
			if seen[i] || !strings.HasPrefix(i, id) {
				t.Errorf("id %q", i)
			}
			seen[i] = true
		}
		if c := e.attr("class"); c != "" && !strings.HasPrefix(c, id+"-") {
			t.Errorf("class %q", c)
		}
		for _, a := range e.Attrs {
			switch a.Name.Local {
			case "x", "y", "x1", "x2", "y1", "y2", "cx", "cy", "r", "width", "height":
				v := e.num(t, a.Name.Local)
				if math.IsNaN(v) || v < -1 || v > math.Max(box[2], box[3])+1 {
					t.Errorf("%s=%q of <%s %s> is off the paper of %g by %g", a.Name.Local, a.Value, e.XMLName.Local, e.class(), box[2], box[3])
				}
			case "href", "src", "onload", "onclick":
				t.Errorf("attribute %s", a.Name.Local)
			}
			if u := strings.Index(a.Value, "url("); u >= 0 && !strings.HasPrefix(a.Value[u:], "url(#"+id) {
				t.Errorf("refers to %s", a.Value)
			}
		}
	})
	list := labels(t, n)
	for i, a := range list {
		// printed to a hundredth: two edges may each be off by half of that
		const printed = .011
		if a.box[0] < 0 || a.box[1] < 0 || a.box[2] > box[2] || a.box[3] > box[3] {
			t.Errorf("%q leaves the paper of %g by %g: %v", a.text, box[2], box[3], a.box)
		}
		for _, b := range list[:i] {
			if a.box[0]+printed < b.box[2] && b.box[0]+printed < a.box[2] && a.box[1]+printed < b.box[3] && b.box[1]+printed < a.box[3] {
				t.Errorf("%q lies over %q: %v %v", a.text, b.text, a.box, b.box)
			}
		}
	}
}

// scaleOf is user units a millimetre, from the scale bar whose title ends so.
func scaleOf(t testing.TB, n *node, ends string) float64 {
	t.Helper()
	for _, g := range n.groups("scale", "") {
		title := g.child("title").Text
		if !strings.HasSuffix(title, ends) {
			continue
		}
		v, unit, _ := strings.Cut(title, " ")
		length, err := strconv.ParseFloat(v, 64)
		if err != nil || !strings.HasPrefix(unit, "mm") {
			t.Fatalf("scale bar %q", title)
		}
		l := g.child("line")
		return math.Hypot(l.num(t, "x2")-l.num(t, "x1"), l.num(t, "y2")-l.num(t, "y1")) / length
	}
	t.Fatalf("no scale bar that ends in %q", ends)
	return 0
}

// decoded is the stack and result of a record.
func decoded(t testing.TB, text string) (align.Stack, *align.Assembly) {
	t.Helper()
	rec, err := record.Decode(strings.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	s, err := rec.Stack()
	if err != nil {
		t.Fatal(err)
	}
	a, err := s.Solve()
	if err != nil {
		t.Fatal(err)
	}
	return s, a
}

// demonstration is the record that the driveline example carries.
func demonstration(t testing.TB) string {
	t.Helper()
	b, err := os.ReadFile("../../examples/driveline/harbour-launch.json")
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}
