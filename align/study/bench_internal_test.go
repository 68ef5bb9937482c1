package study

import (
	"os"
	"strings"
	"testing"

	"example.com/borestack/align/record"
	"example.com/borestack/stackup"
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
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Run(b.Context(), rec); err != nil {
			b.Fatal(err)
		}
	}
}

// The study of what varies in the demonstration record, 10,000 samples: a tenth of the usual.
func BenchmarkVary_demonstration(b *testing.B) {
	text, err := os.ReadFile("../../examples/driveline/harbour-launch.json")
	if err != nil {
		b.Fatal(err)
	}
	rec, err := record.Decode(strings.NewReader(string(text)))
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Vary(b.Context(), rec, stackup.Settings{Samples: 10000, Seed: 1}); err != nil {
			b.Fatal(err)
		}
	}
}
