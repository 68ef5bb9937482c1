package batch

import (
	"fmt"
	"strings"
	"testing"

	"example.com/borestack/align"
	"example.com/borestack/tolerance"
)

// A page says what was not asked, and every value of a label in numbers too; large numbers are spelled out.
func TestPage_says(t *testing.T) {
	b := Batch{Of: "wedges", Greatest: tolerance.Given[tolerance.Length](1)}
	for i := range 30 {
		b.Pieces = append(b.Pieces, Piece{
			At:     align.Vec2{X: tolerance.Length(i%3*20+i%7) / 1000, Y: tolerance.Length(i*i%7) / 1000},
			Labels: map[string]string{"clamping": string("ABC"[i%3]), "heat": fmt.Sprint(i), "site": "north"},
		})
		if i > 0 {
			b.Pieces[i].Labels["machine"] = string("pq"[i%2])
		}
	}
	f, err := Find(t.Context(), b)
	if err != nil {
		t.Fatal(err)
	}
	var text, data strings.Builder
	if err := f.Page(tolerance.Millimetres).Text(&text); err != nil {
		t.Fatal(err)
	}
	if err := f.Page(tolerance.Millimetres).JSON(&data); err != nil {
		t.Fatal(err)
	}
	said := strings.Join(strings.Fields(text.String()), " ")
	for _, want := range []string{"Not asked of: heat, machine;", "Of a million such parts, fewer than 1 are beyond it (fewer than 1 to fewer than 1"} {
		if !strings.Contains(said, want) {
			t.Errorf("%q is missing from\n%s", want, text.String())
		}
	}
	if !strings.Contains(data.String(), `"C, towards 3 o'clock"`) {
		t.Errorf("no mean of clamping C in\n%s", data.String())
	}
	for p, want := range map[float64]string{0.04: "25 batches", 1.75e-6: "571000 batches", 1e-7: "more than a million batches"} {
		if got := odds(p); got != want {
			t.Errorf("%g: %q, want %q", p, got, want)
		}
	}
}
