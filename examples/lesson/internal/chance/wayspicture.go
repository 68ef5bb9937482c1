package chance

import (
	"math"

	"example.com/borestack/tolerance"
)

// Picture draws both chains on one scale that does not move: a bar for every way, Monte Carlo's with its errors at the
// ends, and a mark across every bar where the exact distribution ends.
func (w *Ways) Picture(unit tolerance.Unit) string {
	const pitch, top = 34, 24
	from, to, step, ticks := -0.12, 0.36, 0.1, 1
	if unit == tolerance.Inches {
		step, ticks = 0.005*25.4, 3
	}
	p := begin("ways", "Two chains, added up three ways", w.Sentence(unit), pictureWide, 294)
	x := linear(from, to, 8, pictureWide-8)
	for i, c := range []*Chain{&w.Sum, &w.Size} {
		y := float64(i*132) + top
		p.text("ch-head", 8, y-8, "start", c.Name)
		for k, way := range c.Ways {
			yk := y + float64(k*pitch)
			p.text("ch-text", 8, yk+12, "start", way.Name)
			p.bar("ch-bar", x(way.Low), x(way.High), yk+16, 10)
			for _, end := range c.Exact {
				p.line("ch-exact", x(end), yk+13, x(end), yk+29)
			}
			for _, end := range [2]float64{way.Low, way.High} {
				if e := 2 * way.Error; e > 0 {
					p.bar("ch-error", x(end-e), x(end+e), yk+14, 14)
				}
			}
		}
	}
	axis := 278.0
	p.text("ch-text", x(to), 14, "end", "marks: exact")
	p.line("ch-axis", x(from), axis-10, x(to), axis-10)
	for v := math.Ceil(from/step) * step; v <= to; v += step {
		p.line("ch-axis", x(v), axis-13, x(v), axis-7)
		p.text("ch-text", x(v), axis+6, "middle", number(v, ticks, unit))
	}
	return p.done()
}

// Table says the same in numbers: a head, then one row a way.
func (w *Ways) Table(unit tolerance.Unit) [][]string {
	out := [][]string{{"added up, " + unit.String(), "from", "to", "error of an end"}}
	places := digits(unit)
	for i, c := range []*Chain{&w.Sum, &w.Size} {
		of := [2]string{"end play: ", "offset: "}[i]
		for _, way := range c.Ways {
			e := "none"
			switch {
			case way.Error > 0:
				e = "± " + number(way.Error, places+1, unit)
			case way.Name == "root sum of squares":
				e = number(way.High-c.Exact[1], places, unit)
			}
			out = append(out, []string{of + way.Name, number(way.Low, places, unit), number(way.High, places, unit), e})
		}
	}
	return out
}
