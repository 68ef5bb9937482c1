package report_test

import (
	"io"
	"testing"

	"example.com/borestack/align/report"
)

func BenchmarkHTML(b *testing.B) {
	rec, res := studied(b, demonstration(b))
	b.ReportAllocs()
	for b.Loop() {
		if err := report.HTML(io.Discard, rec, res); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkMarkdown(b *testing.B) {
	rec, res := studied(b, demonstration(b))
	b.ReportAllocs()
	for b.Loop() {
		if err := report.Markdown(io.Discard, rec, res); err != nil {
			b.Fatal(err)
		}
	}
}
