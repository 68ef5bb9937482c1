package box_test

import (
	"io"
	"testing"

	"example.com/borestack/examples/lesson/internal/box"
	"example.com/borestack/tolerance"
)

// One frame of a drag: the box worked out over its float, the three pictures, and the batch as the page draws it while something moves.
func BenchmarkFrame(b *testing.B) {
	k := box.True()
	k.Wedge, k.Pilot = 0.1*tolerance.Millimetre, 0.2
	b.Run("part=glance", func(b *testing.B) {
		for b.Loop() {
			if _, err := box.Glance(k); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("part=see", func(b *testing.B) {
		for b.Loop() {
			if _, err := box.See(k); err != nil {
				b.Fatal(err)
			}
		}
	})
	v, err := box.See(k)
	if err != nil {
		b.Fatal(err)
	}
	for name, draw := range map[string]func(io.Writer, tolerance.Unit) error{"part=sketch": v.Sketch, "part=line": v.ShaftLine, "part=seat": v.Seat} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				if err := draw(io.Discard, tolerance.Millimetres); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
	b.Run("part=batch", func(b *testing.B) {
		for b.Loop() {
			m, err := k.Batch(256, 1)
			if err != nil {
				b.Fatal(err)
			}
			if err := m.Draw(io.Discard, tolerance.Millimetres); err != nil {
				b.Fatal(err)
			}
		}
	})
}
