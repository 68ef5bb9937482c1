package paper

import (
	"bytes"
	"encoding/json"
	"math"
	"strings"
	"testing"
)

// A page as JSON has every number in full, and none that is not finite.
func TestPage_JSON(t *testing.T) {
	p := &Page{Title: "t"}
	s := p.Section("a", "A")
	s.Item("one").Tells("x", 0.1, "mm").Tells("no bound", math.Inf(1), "mm").Tells("none", math.NaN(), "")
	table := s.Table(Words("of <"))
	table.Row(nil, Number("1/3 <", 1.0/3, ""), Number("-", math.NaN(), "mm"))
	table.Group("g")
	s.Text("<words>")
	var b bytes.Buffer
	if err := p.JSON(&b, "format/1"); err != nil {
		t.Fatal(err)
	}
	const want = `{"format":"format/1","title":"t","sections":[{"id":"a","title":"A","blocks":[{"list":[{"text":"one","values":[{"name":"x","value":0.1,"unit":"mm"}]}]},` +
		`{"table":{"columns":["of <"],"rows":[[{"text":"1/3 <","value":0.3333333333333333},{"text":"-"}],null]}},{"text":"<words>"}]}]}`
	var flat bytes.Buffer
	if err := json.Compact(&flat, b.Bytes()); err != nil || flat.String() != want {
		t.Errorf("%s, %v", flat.String(), err)
	}
	if strings.Contains(b.String(), "Inf") || strings.Contains(b.String(), "NaN") {
		t.Errorf("%s", b.String())
	}
}
