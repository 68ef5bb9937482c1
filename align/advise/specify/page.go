package specify

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/floats"

	"example.com/borestack/align"
	"example.com/borestack/align/draw"
	"example.com/borestack/align/internal/paper"
	"example.com/borestack/align/internal/quantity"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/align/sheet"
	"example.com/borestack/tolerance"
)

// felt is the share of what a box as drawn has left of a limit from which a callout is said to take of it.
const felt = 0.005

// Page says the callouts and what they give, lengths in the unit.
func (r *Result) Page(unit tolerance.Unit) *sheet.Page {
	say := spell.Lengths{Unit: unit}
	page := paper.New("What the drawing has to call out", r.Title)
	s := page.Section("callouts", "Callouts")
	held := false
	table := s.Table(paper.Words("characteristic", "of"), paper.Numbers("zone"), paper.Words("to"), paper.Numbers("cost"))
	for k := range r.Callouts {
		c := &r.Callouts[k]
		zone, cost := say.Size(c.Zone), paper.Cell{Text: "general tolerance"}
		if c.Kind != Parallelism && c.Kind != Flatness {
			zone = "Ø " + zone
		}
		zone += spell.If(c.AtMaximum, " at maximum material") + spell.If(c.Kind.slope(), " over "+say.Size(c.Across))
		held = held || c.AtMaximum
		if !r.General[k] {
			cost = paper.Number(fmt.Sprintf("%.2f", c.Cost())+spell.If(r.idle(k), ", no limit asks"), c.Cost(), "")
		}
		table.Row(nil, paper.Cell{Text: c.Kind.String()}, paper.Cell{Text: c.Feature}, paper.Number(zone, float64(c.Zone), "mm"), paper.Cell{Text: c.Datum}, cost)
	}
	s.Text("Zones found are preferred numbers. A flatness, perpendicularity or coaxiality as wide as general tolerances (ISO 2768-H) needs no callout; a parallelism or a position has no general tolerance and always needs one. All positions of a part are one pattern (SIM), held to each other as dimensioned, and its coaxiality with them: a pilot alone leaves the turn free, a face the place as well. A face held parallel is as flat as that. A run-out of the same size in place of a coaxiality holds it too. A pilot's perpendicularity is held over the length of its register, where a lean takes up clearance; without an engagement, or where the register is squeezed, pilots are taken as square to their faces. Sizes are as drawn.")
	if held {
		s.Text("At maximum material (ISO 2692) a hole that is larger by some amount may be out of place by half of it more. What they give below is of boxes with all such holes at their largest. For a shaft's room that is the safe side; for going together it is so where the zones that share a clearance are together no wider than that. Where they are wider, fewer boxes go together with such holes at their smallest than are counted here.")
	}
	if r.Why != "" {
		s.Text("Dearest: %s, because %s.", r.Callouts[r.Dearest].Name(), r.Why)
	}
	w := page.Section("worst", "What they give")
	for i := range r.Worst {
		q := &r.Worst[i]
		left := quantity.Of(q.Of.What).Measure.Tell(math.Abs(q.Left), say, say.Size)
		switch {
		case q.Of.What == align.AssemblyUse:
			left = "takes " + spell.Percent(1-q.Left) + " of the clearances there" + spell.If(q.Left < 0, " and does not go together without force")
		case q.Left < 0:
			left = "beyond by " + left
		default:
			left += " left"
		}
		most := "no callout bears on it"
		if k := floats.MaxIdx(q.Takes); q.Takes[k] >= felt {
			most = "most of it taken by " + r.Callouts[k].Name()
		}
		w.Item("Worst box, %s: %s; %s", q.Limit, left, most).Tells("left", q.Left, "")
	}
	w.Item("Of %d boxes drawn, %.2f %% hold every limit (%.2f to %.2f %% with 95 %% confidence)", r.Yield.Boxes, 100*r.Yield.Value, 100*r.Yield.Low, 100*r.Yield.High).
		Tells("yield", r.Yield.Value, "").Tells("low", r.Yield.Low, "").Tells("high", r.Yield.High, "").Tells("boxes", float64(r.Yield.Boxes), "")
	w.Text("Drawn boxes have normal deviations with a third of each zone as standard deviation. A process that sits at one side of its zone does worse: hold the worst case where a failure can hurt someone.")
	return sheet.New(page, "borestack-specify/1", func() ([]paper.Picture, error) { return r.pictures(unit) })
}

// idle reports whether a callout as wide as any bears on no limit at its worst box.
func (r *Result) idle(k int) bool {
	c := &r.Callouts[k]
	return float64(c.Zone) >= roundDown(widestOf(c.Kind, float64(c.Across))) &&
		!slices.ContainsFunc(r.Worst, func(w Worst) bool { return w.Takes[k] >= felt })
}

// pictures are, for each limit, what every callout takes of it at its worst box.
func (r *Result) pictures(unit tolerance.Unit) (out []paper.Picture, err error) {
	for i := range r.Worst {
		w := &r.Worst[i]
		sum := floats.Sum(w.Takes)
		if sum == 0 {
			continue // nothing that is called out bears on it
		}
		list := draw.Contributions{
			Of:   "what callouts take of the " + w.Limit,
			Note: fmt.Sprintf("Of all that callouts take together, which is %.0f %% of what the box as drawn leaves of the limit.", 100*sum),
		}
		for k, v := range w.Takes {
			list.Shares = append(list.Shares, tolerance.Share{Name: r.Callouts[k].Name(), Share: v / sum})
		}
		var b strings.Builder
		if err := draw.Shares(&b, list, draw.Options{Unit: unit, ID: fmt.Sprintf("limit%d", i+1)}); err != nil {
			return nil, err
		}
		out = append(out, paper.Picture{Caption: spell.Upper(list.Of), SVG: b.String(), Name: fmt.Sprintf("limit-%d", i+1)})
	}
	return out, nil
}
