package pair

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"example.com/borestack/align"
	"example.com/borestack/align/draw"
	"example.com/borestack/align/internal/paper"
	"example.com/borestack/align/internal/quantity"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/align/record"
	"example.com/borestack/align/sheet"
	"example.com/borestack/tolerance"
)

// Page says which part goes with which, lengths in the unit.
func (p *Pairing) Page(unit tolerance.Unit) *sheet.Page {
	w := words{p, spell.Lengths{Unit: unit}}
	page := paper.New("Which part goes with which", p.Title)
	w.boxes(page)
	w.over(page)
	return sheet.New(page, "borestack-pair/1", func() ([]paper.Picture, error) { return p.pictures(unit) })
}

// pictures are the shaft line of the tightest box; none of boxes without shafts.
func (p *Pairing) pictures(unit tolerance.Unit) ([]paper.Picture, error) {
	if len(p.Boxes) == 0 || p.Of.What != align.Margin {
		return nil, nil
	}
	a, err := p.Boxes[0].Stack.Solve()
	if err != nil {
		return nil, err
	}
	var b strings.Builder
	err = draw.ShaftLine(&b, a, draw.Options{Unit: unit})
	return []paper.Picture{{Caption: "Box 1, the tightest, at rest", SVG: b.String(), Name: "tightest"}}, err
}

// words spells a pairing.
type words struct {
	*Pairing
	spell.Lengths
}

// amount spells what is left.
func (w words) amount(v float64) string {
	if w.Of.What == align.Margin {
		return w.Plain(tolerance.Length(v)) + " " + w.Unit.String()
	}
	return fmt.Sprintf("%.4g", v)
}

// full is the same as a number in full, and its unit.
func (w words) full(v float64) (float64, string) {
	label, size := quantity.Of(w.Of.What).Measure.Unit(tolerance.Millimetres)
	return v / size, label
}

// compared names what is left of a box.
func (w words) compared() string {
	if w.Of.What == align.Margin {
		return "margin"
	}
	return "left of the limit on " + record.OutputKind(w.Of.What) + " of " + w.Of.Of
}

func (w words) boxes(page *paper.Page) {
	s := page.Section("boxes", fmt.Sprintf("%d boxes that pass, the tightest first", len(w.Boxes)))
	if len(w.Boxes) == 0 {
		s.Text("No combination of these parts passes.")
		return
	}
	var places []string
	for _, k := range w.Boxes[0].Parts {
		places = append(places, k.Place)
	}
	turns := slices.ContainsFunc(w.Boxes, func(m Made) bool { return len(m.Turned) > 0 })
	heads := [][]paper.Column{paper.Words(""), paper.Words(places...), paper.Numbers(w.compared())}
	if turns {
		heads = append(heads, paper.Words("turned, clockwise seen from the tail"))
	}
	table := s.Table(heads...)
	for i := range w.Boxes {
		m := &w.Boxes[i]
		row := paper.Cells(fmt.Sprint(i + 1))
		for _, k := range m.Parts {
			row = append(row, paper.Cell{Text: k.Name})
		}
		left, unit := w.full(m.Left)
		row = append(row, paper.Number(w.amount(m.Left), left, unit))
		var said []string
		for _, c := range m.Turned {
			said = append(said, fmt.Sprintf("%s by %.4g°", c.Place, c.Turn.Degrees()))
		}
		if turns && said == nil {
			said = []string{"as it stands"}
		}
		table.Row(nil, append(row, paper.Cells(said...)...)...)
	}
	tightest := w.Boxes[0].Left
	switch {
	case w.Proved:
		s.Text("No other way builds more boxes that pass, and none of as many leaves its tightest box more than %s.", w.amount(tightest))
	case w.Most > len(w.Boxes):
		s.Text("No way builds more than %d; whether one builds more than %d is not proved.", w.Most, len(w.Boxes))
	default:
		s.Text("No other way builds more boxes that pass. The tightest has %s; no way gives it more than %s, and whether one gives it more than here is not proved.", w.amount(tightest), w.amount(w.Pairing.Least))
	}
	s.Text("The %s is what is left at the worst place that clearances let the parts take. Every box was judged in full, with what the gauge leaves open; %d more %s judged and did not pass.", w.compared(), w.RuledOut, spell.Either(w.RuledOut == 1, "was", "were"))
}

func (w words) over(page *paper.Page) {
	if len(w.Over) == 0 {
		return
	}
	s := page.Section("over", fmt.Sprintf("%d parts left over", len(w.Over)))
	for i := range w.Over {
		left, unit := w.full(w.Over[i].Left)
		s.Item("%s", w.leftover(&w.Over[i])).Tells("left", left, unit)
	}
}

func (w words) leftover(l *Leftover) string {
	var with []string
	for _, k := range l.With {
		with = append(with, k.Name)
	}
	name := l.Part.Name
	if !strings.Contains(name, l.Part.Place) {
		name = l.Part.Place + " " + name
	}
	best := "by itself"
	if len(with) > 0 {
		best = "best with " + strings.Join(with, " and ")
	}
	switch {
	case math.IsNaN(l.Left):
		return fmt.Sprintf("%s: goes with nothing here (%s)", name, l.Fails)
	case l.Fails == "" && len(l.Wanted) > 0:
		return fmt.Sprintf("%s: %s, %s %s; one more %s like that would use it", name, best, w.compared(), w.amount(l.Left), strings.Join(l.Wanted, " and one more "))
	case l.Left < 0:
		return fmt.Sprintf("%s: %s, and there it is %s short (%s)", name, best, w.amount(-l.Left), l.Fails)
	}
	return fmt.Sprintf("%s: %s, %s %s, and there it does not pass: %s", name, best, w.compared(), w.amount(l.Left), l.Fails)
}
