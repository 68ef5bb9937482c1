package draw

import (
	"cmp"
	"fmt"
	"io"
	"math"
	"slices"

	"example.com/borestack/align/internal/spell"
	"example.com/borestack/fault"
	"example.com/borestack/internal/rules"
	"example.com/borestack/stackup"
	"example.com/borestack/tolerance"
)

// Bins are a distribution to draw: counts between edges, in the unit that they are labelled with.
type Bins struct {
	stackup.Histogram
	Quantity string // what it is of: "margin of the shaft line"
	Unit     string // of Edges, Limits and Nominal: "mm", "%"
	Note     string // how it came about: samples, seed
}

// BinsOf is a histogram of samples, to draw: of a quantity, in a unit of that size in the samples' own.
func BinsOf(h stackup.Histogram, quantity, unit string, size float64) Bins {
	h.Edges = slices.Clone(h.Edges)
	for i := range h.Edges {
		h.Edges[i] /= size
	}
	for _, v := range []*tolerance.Optional[float64]{&h.Nominal, &h.Limits.Least, &h.Limits.Greatest} {
		v.Value /= size
	}
	return Bins{Histogram: h, Quantity: quantity, Unit: unit}
}

// check refuses what is no distribution, and counts all of it.
func (b *Bins) check() (total int, err error) {
	var wrong rules.List
	wrong.Need(len(b.Counts) > 0 && len(b.Edges) == len(b.Counts)+1, "/edges", len(b.Edges), fmt.Sprintf("%d edges, one more than counts, and a count", len(b.Counts)+1), fault.ErrOutOfRange)
	for i, e := range b.Edges {
		at := fmt.Sprintf("/edges/%d", i)
		finite(&wrong, at, e)
		wrong.Need(i == 0 || e > b.Edges[max(i-1, 0)], at, e, "more than the edge before", fault.ErrOutOfRange)
	}
	if len(wrong) == 0 {
		finite(&wrong, "/edges", b.Edges[len(b.Edges)-1]-b.Edges[0])
	}
	add := func(path string, n int) {
		wrong.Need(n >= 0 && total <= math.MaxInt-n, path, n, "a count of at least 0, and of all a number", fault.ErrOutOfRange)
		total += n
	}
	add("/under", b.Under)
	add("/over", b.Over)
	for i, n := range b.Counts {
		add(fmt.Sprintf("/counts/%d", i), n)
	}
	finite(&wrong, "/nominal", b.Nominal.Value)
	switch limits := b.Limits.Validate(); {
	case len(wrong) > 0:
		return 0, wrong.First()
	case total == 0:
		return 0, nothing("histogram", "it counts nothing")
	case limits != nil:
		return 0, fmt.Errorf("draw: histogram: /limits: %w", limits)
	}
	return total, nil
}

// histogramHeight is that of the bars, in user units.
const histogramHeight = 190

// Histogram draws a distribution with its limits: a bar for every bin, its area as its share whatever the bin's width; bars or parts of bars outside the limits hatched; limits and nominal as lines named below. Options.Unit is not used: b says its own.
//
// It returns an error that wraps [fault.ErrOutOfRange] or [fault.ErrNotFinite] with the place, [ErrNothingToDraw] when nothing is counted, or a fault of the options.
func Histogram(w io.Writer, b Bins, o Options) error {
	o, err := o.check()
	if err != nil {
		return err
	}
	total, err := b.check()
	if err != nil {
		return err
	}
	c := newCanvas(o, "Distribution: "+spell.Name(b.Quantity), "")
	out := outsideWords(&b, total)
	c.head(out)
	c.histogram(&b)
	c.y = c.keys(margin, c.y+4)
	note := "Areas are shares of all " + count(total) + " counted; the fullest bar holds " + spell.Percent(float64(slices.Max(b.Counts))/float64(total)) + "; hatched lies outside a limit."
	beyond := ""
	if b.Under+b.Over > 0 {
		beyond = "Not drawn: " + count(b.Under) + " below and " + count(b.Over) + " above the bars."
	}
	c.notes(note, beyond, b.Note)
	return c.write(w, out, note, beyond, b.Note)
}

// histogram draws the field of a distribution: its bars, the limits, and the foot with its numbers and what they are of.
func (c *canvas) histogram(b *Bins) {
	lo, hi := b.Edges[0], b.Edges[len(b.Edges)-1]
	shown, x0, x1 := span{lo, hi}, margin+44, c.w-margin-16
	marks := []struct {
		class, what string
		at          tolerance.Optional[float64]
	}{{heavy, "at least", b.Limits.Least}, {chain, "nominal", b.Nominal}, {heavy, "at most", b.Limits.Greatest}}
	for _, m := range marks {
		// a limit further away than the distribution is wide is named at the margin instead
		if v := m.at; v.Given && v.Value > lo-(hi-lo) && v.Value < hi+(hi-lo) {
			shown.add(v.Value)
		}
	}
	scale := (x1 - x0) / (shown.size() * 1.04)
	px := func(v float64) float64 { return x0 + (v-shown.lo+.02*shown.size())*scale }
	top, foot := c.y, c.y+histogramHeight
	c.bins(b, px, foot)
	for _, m := range marks {
		s := m.what + " " + spell.Trimmed(m.at.Value, 6) + " " + spell.Clean(b.Unit)
		switch x := px(m.at.Value); {
		case !m.at.Given:
		case m.at.Value < shown.lo || m.at.Value > shown.hi:
			c.explain(nil, s+": beyond the picture")
		default:
			c.explain(c.stroke(m.class), s)
			c.titled("limit", s, func() { c.line(m.class, x, top, x, foot) })
		}
	}
	c.line(ink, x0, foot, x1, foot)
	decimals := tickDecimals(shown, 6)
	for _, v := range ticks(shown.lo, shown.hi, 6) {
		c.line(thin, px(v), foot, px(v), foot+4)
		c.try(muted, px(v), foot+4+smallSize, smallSize, middle, spell.Trimmed(v, decimals))
	}
	c.footWords(x0, x1, foot, spell.Name(b.Quantity)+", "+spell.Clean(b.Unit))
}

// footWords writes what the numbers at a foot are of, under them.
func (c *canvas) footWords(x0, x1, foot float64, words string) {
	c.y = foot + 4 + 1.25*smallSize + smallPitch
	c.put(text, (x0+x1)/2, c.y-.25*smallSize, smallSize, middle, cut(words, smallSize, x1-x0))
}

// bins draws the bars: height is share over width, so that bins of unequal width compare; a bin that a limit divides is divided there.
func (c *canvas) bins(b *Bins, px func(float64) float64, foot float64) {
	tallest := 0.0
	height := func(i int) float64 { return float64(b.Counts[i]) / (b.Edges[i+1] - b.Edges[i]) }
	for i := range b.Counts {
		tallest = math.Max(tallest, height(i))
	}
	for i, n := range b.Counts {
		if n == 0 {
			continue
		}
		h := height(i) / tallest * (histogramHeight - 8)
		lo, hi := b.Edges[i], b.Edges[i+1]
		cuts := []float64{lo}
		for _, l := range [2]tolerance.Optional[float64]{b.Limits.Least, b.Limits.Greatest} {
			if l.Given && l.Value > lo && l.Value < hi {
				cuts = append(cuts, l.Value)
			}
		}
		cuts = append(cuts, hi)
		c.titled("bin", fmt.Sprintf("%s to %s: %d", spell.Trimmed(lo, 6), spell.Trimmed(hi, 6), n), func() {
			for k := 0; k+1 < len(cuts); k++ {
				class := bar
				mid := (cuts[k] + cuts[k+1]) / 2
				if b.Limits.Least.Given && mid < b.Limits.Least.Value || b.Limits.Greatest.Given && mid > b.Limits.Greatest.Value {
					class = hatch
				}
				c.rect(class, px(cuts[k]), foot-h, px(cuts[k+1])-px(cuts[k]), h)
			}
		})
	}
}

// outsideWords says how many lie outside the limits, as far as the bins tell.
func outsideWords(b *Bins, total int) string {
	least, greatest := b.Limits.Least, b.Limits.Greatest
	if !least.Given && !greatest.Given {
		return "No limit is given."
	}
	// a bin across a limit, or what lies beyond the bars on a limit's side, leaves a range
	surely, perhaps := 0, 0
	judge := func(lo, hi float64, n int) {
		switch {
		case least.Given && hi <= least.Value, greatest.Given && lo >= greatest.Value:
			surely += n
		case least.Given && lo < least.Value, greatest.Given && hi > greatest.Value:
			perhaps += n
		}
	}
	judge(math.Inf(-1), b.Edges[0], b.Under)
	judge(b.Edges[len(b.Edges)-1], math.Inf(1), b.Over)
	for i, n := range b.Counts {
		judge(b.Edges[i], b.Edges[i+1], n)
	}
	if perhaps > 0 {
		return "Between " + count(surely) + " and " + count(surely+perhaps) + " of " + count(total) + " lie outside the limits, as far as the bars tell."
	}
	return count(surely) + " of " + count(total) + " lie outside the limits."
}

// tickDecimals are the decimals that tell the ticks of a span apart.
func tickDecimals(s span, n int) int {
	list := ticks(s.lo, s.hi, n)
	if len(list) < 2 {
		return 6
	}
	return min(max(0, int(math.Ceil(-math.Log10(list[1]-list[0])-sameStep))), 12)
}

// Contributions are the shares of one output, in the order in which they are drawn.
type Contributions struct {
	Of     string // what they are shares of: "variance of the margin"
	Shares []tolerance.Share
	Note   string // how they came about: method, samples, seed
}

// Shares draws contributions as bars, each with its share, the largest in full colour. What the shares leave of the whole is drawn as a bar of its own. Options.Unit is not used.
//
// It returns [ErrNothingToDraw] without shares, an error that wraps [fault.ErrNotFinite] or [fault.ErrOutOfRange] with the place for a share outside 0 to 1, or shares of more than 1 together, or a fault of the options.
func Shares(w io.Writer, list Contributions, o Options) error {
	o, err := o.check()
	if err != nil {
		return err
	}
	sum, err := list.check()
	if err != nil {
		return err
	}
	c := newCanvas(o, "Shares: "+spell.Name(list.Of), "")
	largest := slices.MaxFunc(list.Shares, func(a, b tolerance.Share) int { return cmp.Compare(a.Share, b.Share) })
	first := slices.Index(list.Shares, largest)
	answer := "Largest: " + spell.Name(largest.Name) + ", " + spell.Percent(largest.Share) + "."
	c.head(answer)
	bars := slices.Clip(list.Shares)
	// a rest below half a percent would read as nothing
	if rest := 1 - sum; rest >= .005 {
		bars = append(bars, tolerance.Share{Name: "not told apart", Share: rest})
	}
	c.shareBars(bars, first, len(list.Shares))
	note := "Bars are drawn from 0 on one scale; together with what is not told apart they are the whole."
	c.notes(note, list.Note)
	told := spell.Mapped(bars, func(s tolerance.Share) string { return spell.Name(s.Name) + " " + spell.Percent(s.Share) })
	return c.write(w, slices.Concat([]string{answer}, told, []string{note, list.Note})...)
}

// shareBars draws a bar for every share on one scale: the largest marked, those from told on hollow.
func (c *canvas) shareBars(bars []tolerance.Share, largest, told int) {
	wide := 0.0
	for _, s := range bars {
		w, _ := textWidth(spell.Name(s.Name), smallSize, false)
		wide = math.Max(wide, w)
	}
	wide = math.Min(wide, (c.w-2*margin)*.42)
	x0, x1 := margin+wide+10, c.w-margin-60
	c.y += 4
	from := c.y
	for i, s := range bars {
		const pitch = 18.0
		c.put(text, margin+wide, c.y+pitch/2+.35*smallSize, smallSize, end, cut(spell.Name(s.Name), smallSize, wide))
		length := (x1 - x0) * s.Share
		class := bar
		switch {
		case i >= told:
			class = hollow
		case i == largest:
			class = mark
		}
		label := spell.Percent(s.Share)
		c.titled("share", spell.Name(s.Name)+": "+label, func() { c.rect(class, x0, c.y+3, length, pitch-6) })
		c.put(text, x0+length+6, c.y+pitch/2+.35*smallSize, smallSize, start, label)
		c.y += pitch
	}
	c.behind(func() {
		for _, q := range [...]float64{.25, .5, .75, 1} {
			c.line(faint, x0+q*(x1-x0), from, x0+q*(x1-x0), c.y)
		}
	})
	c.line(ink, x0, from, x0, c.y)
	c.y += smallPitch
	for _, q := range [...]float64{0, .25, .5, .75, 1} {
		c.try(muted, x0+q*(x1-x0), c.y-.25*smallSize, smallSize, middle, spell.Percent(q))
	}
}

// check returns the sum of the shares.
func (l *Contributions) check() (sum float64, err error) {
	if len(l.Shares) == 0 {
		return 0, nothing("shares", "no source contributes")
	}
	var wrong rules.List
	for i, s := range l.Shares {
		at := fmt.Sprintf("/shares/%d/share", i)
		finite(&wrong, at, s.Share)
		wrong.Need(s.Share >= 0 && s.Share <= 1, at, s.Share, "a share from 0 to 1", fault.ErrOutOfRange)
		sum += s.Share
	}
	// estimates may add up to a little more than the whole
	wrong.Need(sum <= 1.02, "/shares", sum, "shares of at most 1 together", fault.ErrOutOfRange)
	return sum, wrong.First()
}
