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
	s.Table(Words("of")...).Row(nil, Number("1/3", 1.0/3, ""), Number("-", math.NaN(), "mm"))
	s.Text("<words>")
	var b bytes.Buffer
	if err := p.JSON(&b, "format/1"); err != nil {
		t.Fatal(err)
	}
	var got jsonPage
	if err := json.Unmarshal(b.Bytes(), &got); err != nil {
		t.Fatal(err)
	}
	blocks := got.Sections[0].Blocks
	values, row := blocks[0].List[0].Values, blocks[1].Table.Rows[0]
	if got.Format != "format/1" || len(values) != 1 || values[0] != (jsonNumber{"x", 0.1, "mm"}) || *row[0].Value != 1.0/3 || row[1].Value != nil || blocks[2].Text != "<words>" {
		t.Errorf("%s", b.String())
	}
	if strings.Contains(b.String(), "Inf") || strings.Contains(b.String(), "NaN") {
		t.Errorf("%s", b.String())
	}
}
