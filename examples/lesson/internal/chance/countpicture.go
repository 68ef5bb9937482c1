package chance

import (
	"fmt"
	"strings"

	"example.com/borestack/tolerance"
)

// Picture draws the runs, each with its 95 % interval, beside the funnel in which 95 of 100 shares lie as samples grow.
func (c *Count) Picture(unit tolerance.Unit) string {
	const top, bottom, left, mid, right = 30, 210, 44, 226, 352
	const low, high = 0.8, 1.0
	const sides = 1.96 // standard errors that hold 95 of 100
	p := begin("count", "The error of a share as samples grow, and runs with that many", c.Sentence(unit), pictureWide, 252)
	y := linear(low, high, bottom, top)
	x := logarithmic(LeastCount, MostCount, left, mid)
	p.text("ch-head", 8, 14, "start", "Share found, and its 95 % interval")
	for v := low; v < high+0.01; v += 0.05 {
		p.line("ch-grid", left, y(v), right, y(v))
		p.text("ch-text", left-4, y(v)+4, "end", percent(v, 0))
	}
	for _, sign := range [2]float64{-sides, sides} {
		var path strings.Builder
		verb := "M"
		for n := float64(LeastCount); n < MostCount*1.05; n *= 1.189 {
			fmt.Fprintf(&path, "%s%.1f %.1f", verb, x(n), y(c.Exact+sign*c.StandardError(n)))
			verb = "L"
		}
		fmt.Fprintf(p, `<path class="ch-funnel" d="%s"/>`, path.String())
	}
	p.line("ch-exact", left, y(c.Exact), right, y(c.Exact))
	for _, n := range []int{100, 1600, MostCount} {
		p.line("ch-axis", x(float64(n)), bottom, x(float64(n)), bottom+5)
		p.text("ch-text", x(float64(n)), bottom+18, "middle", whole(n))
	}
	p.text("ch-text", (left+mid)/2, bottom+34, "middle", "samples")
	p.interval(c, x(float64(c.Samples)), y, 0)
	step := (right - mid - 30.0) / Repetitions
	for i := range c.Runs {
		p.interval(c, mid+30+step*(float64(i)+0.5), y, i)
	}
	p.text("ch-text", (mid+30+right)/2, bottom+18, "middle", fmt.Sprintf("%d runs", len(c.Runs)))
	return p.done()
}

// interval draws run i with its interval; one that misses the exact share is marked.
func (p *picture) interval(c *Count, x float64, y func(float64) float64, i int) {
	r := c.Runs[i]
	class := "ch-run"
	if c.Exact < r.Interval[0] || c.Exact > r.Interval[1] {
		class = "ch-run ch-missed"
	}
	p.line(class, x, y(r.Interval[0]), x, y(r.Interval[1]))
	p.dot(class, x, y(r.Share), 1.8)
}
