package diagnose

import (
	"strings"

	"example.com/borestack/align/draw"
	"example.com/borestack/align/internal/paper"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/align/sheet"
	"example.com/borestack/tolerance"
)

// undecided is the entropy below which no more is to be told, bits.
const undecided = 0.1

// illFit is the share of boxes below which an explanation counts as explaining badly.
const illFit = 0.001

// least is the probability below which an explanation is not written.
const least = 0.02

// Page says what can explain what was seen, lengths in the unit.
func (f *Finding) Page(unit tolerance.Unit) *sheet.Page {
	say := spell.Lengths{Unit: unit}
	page := paper.New("What can explain what is seen", f.Title)
	s := page.Section("explanations", "The likeliest first")
	rest := 0.0
	for i := range f.Explanations {
		e := &f.Explanations[i]
		if e.Probability < least {
			rest += e.Probability
			continue
		}
		if e.hidden {
			item := s.Item("%.0f %%: %s", 100*e.Probability, e.Name).Tells("probability", e.Probability, "")
			item.More = append(item.More, "it can be: "+strings.Join(e.Others, "; "))
			continue
		}
		e.write(s, say)
	}
	s.Text("%.0f %%: no fault at all, the usual scatter of good parts; %.0f %%: all others together.", 100*f.Nothing, 100*rest)
	if f.Fit < illFit {
		s.Text("Mind: even the likeliest explains what was measured badly: of boxes that it does explain, fewer than 1 in %.0f are as far off. A reading or a unit may be wrong, or something that is not on this list.", 1/illFit)
	}
	if f.Next.Doubt > undecided && f.Next.After < f.Next.Doubt {
		n := page.Section("next", "The measurement that would tell most")
		n.Item("%s", spell.Upper(f.Next.Name)).Tells("undecided now", f.Next.Doubt, "bit").Tells("undecided after", f.Next.After, "bit")
		n.Text("It is expected to bring what is undecided from %.1f to %.1f bits; one bit is two explanations alike.", f.Next.Doubt, f.Next.After)
	}
	page.Section("care", "Take care").Text("These are deviations of this box that can explain what is seen, by how parts of its kind scatter; none is shown to be the cause. What is not of this kind, such as a bent shaft or a spoilt bearing, is not among them. Look with the shafts locked against starting.")
	return sheet.New(page, "borestack-diagnose/1", func() ([]paper.Picture, error) { return f.pictures(unit) })
}

// write writes an explanation with its size, and what else does the same.
func (e *Explanation) write(s *paper.Section, say spell.Lengths) {
	first := &e.alike[0]
	item := s.Item("%.0f %%: %s, %s", 100*e.Probability, e.Name, first.described(say.Length)).Tells("probability", e.Probability, "")
	size := [2]string{"towards 3 o'clock", "towards 12 o'clock"}
	if first.parts == 1 {
		size[0] = "longer by"
	}
	for c := range first.parts {
		item.Tells(size[c], e.Size[c], map[bool]string{false: "mm"}[first.slope])
	}
	item.More = append(item.More, "it can be: "+strings.Join(e.Members, "; "))
	if others := spell.Mapped(e.alike[1:], func(d sized) string { return d.name + ", " + d.described(say.Length) }); len(others) > 0 {
		item.More = append(item.More, "the same to all that was seen: "+strings.Join(others, "; "))
	}
	item.More = append(item.More, "to see: "+e.Measure)
}

// pictures are the probabilities of what can explain the sights.
func (f *Finding) pictures(unit tolerance.Unit) ([]paper.Picture, error) {
	list := draw.Contributions{Of: "what can explain what is seen", Note: "Probabilities from how parts of this kind scatter; none is shown to be the cause."}
	others := 0.0
	add := func(name string, p float64) {
		list.Shares = append(list.Shares, tolerance.Share{Name: name, Share: min(1, max(0, p))})
	}
	for i := range f.Explanations {
		if e := &f.Explanations[i]; e.Probability >= least {
			add(e.Name, e.Probability)
		} else {
			others += e.Probability
		}
	}
	add("no fault, the usual scatter", f.Nothing)
	add("all others together", others)
	var b strings.Builder
	err := draw.Shares(&b, list, draw.Options{Unit: unit})
	return []paper.Picture{{Caption: "Probabilities", SVG: b.String(), Name: "probabilities"}}, err
}
