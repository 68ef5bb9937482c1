package batch

import (
	"fmt"
	"math"
	"strings"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/paper"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/align/sheet"
	"example.com/borestack/tolerance"
)

// words spells a finding.
type words struct {
	*Finding
	spell.Lengths
}

// Page says what the batch says, lengths in the unit.
func (f *Finding) Page(unit tolerance.Unit) *sheet.Page {
	w := words{f, spell.Lengths{Unit: unit}}
	title := fmt.Sprintf("What %d parts have in common", f.Parts)
	title += spell.If(f.Of != "", ": "+f.Of)
	page := &paper.Page{Title: title}
	w.causes(page)
	w.numbers(page)
	w.limit(page)
	w.charts(page)
	return sheet.New(page, "borestack-batch/1", func() ([]paper.Picture, error) { return f.pictures(unit) })
}

func (w words) causes(page *paper.Page) {
	s := page.Section("causes", "What can explain them")
	if len(w.Causes) == 0 {
		s.Text("Nothing that the parts have in common stands out of their scatter: there is nothing to adjust, only scatter to make smaller.")
	} else {
		for _, c := range w.Causes {
			w.tell(s.Item("What they share %s (scatter alone does as much once in %s)", w.cause(&c), odds(c.Chance)), &c)
		}
		s.Text("The surest comes first; each is what is left when those before it are taken out. What is said of a cause is what can explain the parts; look before you turn a screw.")
	}
	s.When(len(w.Unasked) > 0, "Not asked of: %s; a label is asked of where every part has it and each of its values stands for three parts on average", strings.Join(spell.Mapped(w.Unasked, spell.Name), ", "))
}

// tell tells a cause's numbers: its vector, or the mean of each value of a label that has more than two.
func (words) tell(i *paper.Item, c *Cause) {
	vector := func(of string, v align.Vec2) {
		i.Tells(of+"towards 3 o'clock", float64(v.X), "mm").Tells(of+"towards 12 o'clock", float64(v.Y), "mm")
	}
	if len(c.Means) < 3 {
		vector("", c.Vector)
	}
	for _, m := range c.Means {
		vector(m.Value+", ", m.Mean)
	}
	i.Tells("give or take", float64(c.Radius), "mm").Tells("chance", c.Chance, "")
}

// sure says how well a cause's vector is known.
func (w words) sure(c *Cause) string {
	if math.IsInf(float64(c.Radius), 0) || c.Radius == 0 {
		return ""
	}
	return ", give or take " + w.Length(c.Radius)
}

// cause says what it is.
func (w words) cause(c *Cause) string {
	size := w.Length(c.Vector.Size()) + " towards " + spell.Hand(c.Vector.Clock()) + w.sure(c)
	switch c.Kind {
	case FromFixture:
		return "keeps its place in the fixture, " + size + ", however the part is laid in: the fixture can explain it"
	case Drift:
		return "wanders steadily, by " + size + " from the first part to the last: wear or warming can explain it"
	case Mixed:
		return "scatters more along one line than a steady process does: two kinds " + w.Length(c.Vector.Size()) + " apart, mixed, can explain it"
	case Between:
		s := "differs by " + spell.Name(c.Label) + ":"
		for i, m := range c.Means {
			s += fmt.Sprintf("%s %s %s towards %s", [2]string{"", ","}[min(i, 1)], spell.Name(m.Value), w.Length(m.Mean.Size()), spell.Hand(m.Mean.Clock()))
		}
		return s + ", each from the mean of all"
	}
	s := "keeps its place on the part, " + size + ": how the part is made can explain it"
	s += spell.If(!w.LaysDiffer, "; whether it is the part's or the fixture's this batch cannot tell, because how the parts lay is not known or was alike: lay some half a turn round")
	return s
}

// never is a chance, one in a million, below which its number tells nobody anything.
const never = 1e-6

// odds spells a small chance as one in so many.
func odds(p float64) string {
	if p < never {
		return "more than a million batches"
	}
	return spell.ThreeFigures(1/p) + " batches"
}

func (w words) numbers(page *paper.Page) {
	s := page.Section("numbers", "In numbers")
	s.Item("Mean of all: %s towards %s, give or take %s", w.Length(w.Mean.Size()), spell.Hand(w.Mean.Clock()), w.Length(w.Radius)).
		Tells("towards 3 o'clock", float64(w.Mean.X), "mm").Tells("towards 12 o'clock", float64(w.Mean.Y), "mm").Tells("give or take", float64(w.Radius), "mm")
	s.Item("Scatter, standard deviation: %s along %s, %s across", w.Length(w.Scatter[0]), spell.Hand(w.Along), w.Length(w.Scatter[1])).
		Tells("along", float64(w.Scatter[0]), "mm").Tells("across", float64(w.Scatter[1]), "mm").Tells("clock", w.Along.Degrees(), "deg")
	if len(w.Causes) > 0 {
		s.Item("Scatter without what has a cause: %s", w.Length(w.Rest)).Tells("rest", float64(w.Rest), "mm")
	}
	s.Item("Mean of the sizes: %s. It says nothing of a common direction", w.Length(w.Typical)).Tells("mean size", float64(w.Typical), "mm")
	s.Item("99 of 100 such parts are within %s (95 %% sure)", w.Length(w.Holds)).Tells("holds", float64(w.Holds), "mm")
}

func (w words) limit(page *paper.Page) {
	if !w.Greatest.Given {
		return
	}
	s := page.Section("limit", "Against the limit of "+w.Length(w.Greatest.Value))
	w.share(s.Item("Of a million such parts, %s are beyond it (%s to %s with 95 %% confidence)", million(w.Beyond.Value), million(w.Beyond.Low), million(w.Beyond.High)), w.Beyond)
	if len(w.Causes) > 0 {
		w.share(s.Item("Without what has a cause: %s (%s to %s)", million(w.BeyondRest.Value), million(w.BeyondRest.Low), million(w.BeyondRest.High)), w.BeyondRest)
	}
	s.Text("From the law of the size of a vector whose components are normal (Rice's, where they scatter alike): sizes are not normal, and an index made for normal numbers misleads near zero.")
}

// share tells a share in full.
func (words) share(i *paper.Item, v Share) {
	i.Tells("share", v.Value, "").Tells("low", v.Low, "").Tells("high", v.High, "")
}

// million spells a share as parts per million.
func million(p float64) string {
	return spell.Either(p < 1e-6, "fewer than 1", spell.ThreeFigures(p*1e6))
}

func (w words) charts(page *paper.Page) {
	if len(w.Charts) == 0 {
		return
	}
	s := page.Section("charts", "Charts")
	table := s.Table(paper.Words("chart", "of", "limits", "signals"))
	for i := range w.Charts {
		c := &w.Charts[i]
		signals := "none"
		if n := len(c.Signals); n > 0 {
			signals = fmt.Sprintf("part %d: %s", c.Signals[0].Part+1, c.Signals[0].Rule)
			signals += spell.If(n > 1, fmt.Sprintf("; %d more", n-1))
		}
		table.Row(nil, paper.Cells(c.Name, c.Of, c.Limits, signals)...)
	}
}

// Page says the split of a gauge study, by variance and by ranges, in the unit of its readings.
func (g GaugeStudy) Page() (*sheet.Page, error) {
	variance, err := g.ByVariance()
	if err != nil {
		return nil, err
	}
	ranges, err := g.ByRange()
	if err != nil {
		return nil, err
	}
	page := &paper.Page{Title: "Will the gauge do"}
	s := page.Section("split", "Standard deviations")
	table := s.Table(paper.Words("of"), paper.Numbers("by variance", "by ranges"))
	for _, row := range []struct {
		of   string
		take func(Spread) float64
	}{
		{"repeats", func(v Spread) float64 { return v.Repeat }},
		{"people", func(v Spread) float64 { return v.Person }},
		{"people by parts", func(v Spread) float64 { return v.Between }},
		{"gauge, all of these", Spread.Gauge},
		{"parts", func(v Spread) float64 { return v.Part }},
	} {
		cells := paper.Cells(row.of)
		for _, v := range []Spread{variance, ranges} {
			sd := math.Sqrt(row.take(v))
			cells = append(cells, paper.Number(fmt.Sprintf("%.3g", sd), sd, ""))
		}
		table.Row(nil, cells...)
	}
	share := variance.ShareOfSpread()
	s.Item("The gauge is %.0f %% of the spread of the readings: %s", 100*share, Verdict(share)).Tells("of spread", share, "")
	if g.Tolerance > 0 {
		of := variance.ShareOf(g.Tolerance)
		s.Item("Six standard deviations of the gauge are %.0f %% of what is allowed: %s", 100*of, Verdict(of)).Tells("of tolerance", of, "")
	}
	s.Item("It tells %d groups of parts apart; five are wanted", variance.Levels()).Tells("groups", float64(variance.Levels()), "")
	s.When(variance.Pooled, "People do not differ by part more than chance makes them, so that term went into the repeats")
	return sheet.New(page, "borestack-gauge/1", nil), nil
}

// Page says what a plan does.
func (p SamplingPlan) Page() (*sheet.Page, error) {
	page := &paper.Page{Title: fmt.Sprintf("A sample of %d, taken with up to %d bad", p.Sample, p.Accept)}
	s := page.Section("curve", "Chance that the lot is taken")
	table := s.Table(paper.Numbers("bad parts", "taken"))
	for _, bad := range []float64{0.001, 0.0025, 0.005, 0.01, 0.02, 0.05, 0.1, 0.2} {
		taken, err := p.Taken(bad)
		if err != nil {
			return nil, err
		}
		table.Row(nil, paper.Number(fmt.Sprintf("%.2g %%", 100*bad), bad, ""), paper.Number(fmt.Sprintf("%.1f %%", 100*taken), taken, ""))
	}
	for _, q := range []struct {
		chance float64
		said   string
	}{{0.95, "is taken 95 times in 100, which the maker can count on"}, {0.1, "still slips through 10 times in 100"}} {
		bad, err := p.ShareAt(q.chance)
		if err != nil {
			return nil, err
		}
		s.Item("A large lot with %.2g %% bad %s", 100*bad, q.said).Tells("bad", bad, "").Tells("taken", q.chance, "")
	}
	return sheet.New(page, "borestack-sampling/1", nil), nil
}
