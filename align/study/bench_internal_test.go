package study

import (
	"os"
	"strings"
	"testing"

	"example.com/borestack/align/record"
)

// BenchmarkRun is the demonstration record: a box of four parts with floats and uncertainties, two
// states, four candidates.
func BenchmarkRun(b *testing.B) {
	text, err := os.ReadFile("../../examples/driveline/harbour-launch.json")
	if err != nil {
		b.Fatal(err)
	}
	rec, err := record.Decode(strings.NewReader(string(text)))
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := Run(b.Context(), rec); err != nil {
			b.Fatal(err)
		}
	}
}
