package draw_test

import (
	"io"
	"testing"

	"example.com/borestack/align/draw"
)

func BenchmarkPictures(b *testing.B) {
	_, a := decoded(b, demonstration(b))
	for name, draws := range map[string]func() error{
		"picture=shaftline": func() error { return draw.ShaftLine(io.Discard, a, draw.Options{}) },
		"picture=target":    func() error { return draw.Target(io.Discard, a, draw.Aim{Bore: "tail/tail bush"}, draw.Options{}) },
		"picture=thickness": func() error { return draw.Thickness(io.Discard, a, "plate", draw.Options{}) },
		"picture=stack":     func() error { return draw.Stack(io.Discard, a, draw.Options{}) },
	} {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if err := draws(); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
