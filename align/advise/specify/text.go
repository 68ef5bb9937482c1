package specify

import (
	"fmt"
	"io"

	"example.com/borestack/align/internal/paper"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/tolerance"
)

// Text writes the callouts and what they give, lengths in the unit.
func (r *Result) Text(out io.Writer, unit tolerance.Unit) error { return r.page(unit).Text(out) }

// Markdown writes the same as Markdown.
func (r *Result) Markdown(out io.Writer, unit tolerance.Unit) error {
	return r.page(unit).Markdown(out)
}

// JSON writes the same for a program, in the format borestack-specify/1.
func (r *Result) JSON(out io.Writer, unit tolerance.Unit) error {
	return r.page(unit).JSON(out, "borestack-specify/1")
}

func (r *Result) page(unit tolerance.Unit) *paper.Page {
	say := spell.Lengths{Unit: unit}
	page := &paper.Page{Title: "What the drawing has to call out"}
	if r.Title != "" {
		page.Title += ": " + r.Title
	}
	s := page.Section("callouts", "Callouts")
	table := s.Table(append(append(paper.Words("characteristic", "of"), paper.Numbers("zone")...), append(paper.Words("to"), paper.Numbers("cost")...)...)...)
	for k := range r.Callouts {
		c := &r.Callouts[k]
		zone, cost := say.Size(c.Zone), paper.Cell{Text: "general tolerance"}
		if c.Kind != Parallelism {
			zone = "Ø " + zone
		}
		if c.AtMaximum {
			zone += " at maximum material"
		}
		if c.Kind == Perpendicularity || c.Kind == Parallelism {
			zone += " over " + say.Size(c.Across)
		}
		if !r.General[k] {
			cost = paper.Number(fmt.Sprintf("%.2f", c.Cost()), c.Cost(), "")
		}
		table.Row(nil, paper.Cell{Text: c.Kind.String()}, paper.Cell{Text: c.Feature}, paper.Number(zone, float64(c.Zone), "mm"), paper.Cell{Text: c.Datum}, cost)
	}
	s.Text("Zones are preferred numbers. A perpendicularity or coaxiality as wide as general tolerances (ISO 2768-H) needs no callout; a parallelism or a position has no general tolerance and always needs one. Faces have to be flat within half their parallelism besides, and a run-out of the same size in place of a coaxiality holds it too.")
	if !r.General[r.Dearest] {
		s.Text("Dearest: %s, because %s.", r.Callouts[r.Dearest].Name(), r.Why)
	}
	w := page.Section("worst", "What they give")
	for i := range r.Worst {
		q := &r.Worst[i]
		left := fmt.Sprintf("%.4g left", q.Left)
		if q.Left < 0 {
			left = fmt.Sprintf("beyond by %.4g", -q.Left)
		}
		w.Item("Worst box, %s: %s; most of it taken by %s", q.Limit, left, r.Callouts[most(q.Takes)].Name()).Tells("left", q.Left, "")
	}
	w.Item("Of %d boxes drawn, %.2f %% hold every limit (%.2f to %.2f %% with 95 %% confidence)", r.Yield.Boxes, 100*r.Yield.Value, 100*r.Yield.Low, 100*r.Yield.High).
		Tells("yield", r.Yield.Value, "").Tells("low", r.Yield.Low, "").Tells("high", r.Yield.High, "").Tells("boxes", float64(r.Yield.Boxes), "")
	w.Text("Drawn boxes have normal deviations with a third of each zone as standard deviation. A process that sits at one side of its zone does worse: hold the worst case where a failure can hurt someone.")
	return page
}

// most is the index of the largest.
func most(v []float64) (at int) {
	for i := range v {
		if v[i] > v[at] {
			at = i
		}
	}
	return at
}
