package draw_test

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"math"
	"strings"
	"testing"

	"example.com/borestack/align"
	"example.com/borestack/align/draw"
	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// A batch and a chart are drawn: every part, those beyond the limit, the region, every signal; and refused where they hold no
// numbers.
//
// Source: counts by hand.
func TestVectorsAndLine(t *testing.T) {
	nan := math.NaN()
	cloud := draw.Cloud{Of: "wedges", At: []align.Vec2{{X: 0.01}, {Y: -0.03}, {X: 0.02, Y: 0.02}}, Mean: align.Vec2{X: 0.01, Y: -0.003}, Region: 0.004, Limit: tolerance.Given[tolerance.Length](0.029)}
	series := draw.Series{Of: "individuals", Unit: "mm", Points: []float64{nan, 1, 2, 9}, Limits: tolerance.AtMost(5), Signals: []int{3}}
	for name, c := range map[string]struct {
		draw func(w io.Writer) error
		want map[string]int
	}{
		"vectors": {func(w io.Writer) error { return draw.Vectors(w, cloud, draw.Options{}) }, map[string]int{"part ": 3, "1 of them beyond the limit": 1, "95 % region": 1}},
		"line":    {func(w io.Writer) error { return draw.Line(w, series, draw.Options{}) }, map[string]int{"<title>part ": 3, "a signal": 1, "upper limit 5": 1}},
		"all at the middle": {func(w io.Writer) error {
			return draw.Vectors(w, draw.Cloud{At: make([]align.Vec2, 2)}, draw.Options{})
		}, map[string]int{"Mean ": 1}},
		"all alike": {func(w io.Writer) error {
			return draw.Line(w, draw.Series{Points: []float64{0, 0}}, draw.Options{})
		}, map[string]int{"No point signals": 1}},
	} {
		var b bytes.Buffer
		if err := c.draw(&b); err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if err := xml.Unmarshal(b.Bytes(), new(struct{})); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		for words, n := range c.want {
			if got := strings.Count(b.String(), words); got < n {
				t.Errorf("%s: %q stands there %d times, want %d", name, words, got, n)
			}
		}
	}
	var b bytes.Buffer
	cloud.At = append(cloud.At, align.Vec2{X: tolerance.Length(nan)})
	if err := draw.Vectors(&b, cloud, draw.Options{}); !errors.Is(err, fault.ErrNotFinite) {
		t.Errorf("no number: %v", err)
	}
	if err := draw.Vectors(&b, draw.Cloud{}, draw.Options{}); !errors.Is(err, draw.ErrNothingToDraw) {
		t.Errorf("no vector: %v", err)
	}
	if err := draw.Line(&b, draw.Series{Points: []float64{nan}}, draw.Options{}); !errors.Is(err, draw.ErrNothingToDraw) {
		t.Errorf("no point: %v", err)
	}
	if err := draw.Line(&b, draw.Series{Points: []float64{1, 2}, Places: []string{"one"}}, draw.Options{}); !errors.Is(err, fault.ErrMissing) || b.Len() > 0 {
		t.Errorf("%v", err)
	}
	var places strings.Builder
	if err := draw.Line(&places, draw.Series{Points: []float64{nan, 1, -2}, Centre: 0.5, Places: []string{"a", "b", "c"}}, draw.Options{}); err != nil || !strings.Contains(places.String(), "Farthest from the centre: c, -2.5") {
		t.Errorf("%v\n%s", err, places.String())
	}
	if err := draw.Line(&b, draw.Series{Points: []float64{1}, Centre: math.Inf(1)}, draw.Options{}); !errors.Is(err, fault.ErrNotFinite) || b.Len() > 0 {
		t.Errorf("no centre: %v", err)
	}
}
