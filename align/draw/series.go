package draw

import (
	"fmt"
	"io"
	"math"
	"slices"

	"example.com/borestack/align/internal/spell"
	"example.com/borestack/fault"
	"example.com/borestack/internal/rules"
	"example.com/borestack/tolerance"
)

// Series is one number a part in order of making, with the limits of a chart, or one a place along a line. The zero value of what is optional leaves it out.
type Series struct {
	Of      string   // what it is of: "individuals, towards 3 o'clock"
	Unit    string   // of all numbers; empty for ratios
	Places  []string // names of the places, one a point; nil: parts in order of making
	Points  []float64
	Centre  float64
	Limits  tolerance.Limits
	Signals []int // points at which the chart signals
	Because string
}

// seriesHeight is that of the field, in user units.
const seriesHeight = 170

// Line draws a chart: points joined in order, its centre and limits, points that signal marked. A point that is not a number is
// left out. Options.Unit is not used.
//
// It returns [ErrNothingToDraw] without a point, an error that wraps [fault.ErrNotFinite] with the place, or a fault of the
// options.
func Line(w io.Writer, s Series, o Options) error {
	o, err := o.check()
	if err != nil {
		return err
	}
	var wrong rules.List
	shown := nowhere()
	for i, v := range s.Points {
		if !math.IsNaN(v) {
			finite(&wrong, fmt.Sprintf("/points/%d", i), v)
			shown.add(v)
		}
	}
	if shown.lo > shown.hi {
		return nothing("line", "it has no point")
	}
	for _, v := range []tolerance.Optional[float64]{s.Limits.Least, s.Limits.Greatest, tolerance.Given(s.Centre)} {
		finite(&wrong, "/limits", v.Value)
		if v.Given {
			shown.add(v.Value)
		}
	}
	wrong.Need(s.Places == nil || len(s.Places) == len(s.Points), "/places", len(s.Places), fmt.Sprintf("one a point, %d", len(s.Points)), fault.ErrMissing)
	if err := wrong.First(); err != nil {
		return err
	}
	if shown.size() == 0 {
		shown.add(shown.lo-1, shown.hi+1)
	}
	c := newCanvas(o, "Chart: "+spell.Name(s.Of), "")
	answer := "No point signals."
	if n := len(s.Signals); n > 0 {
		answer = fmt.Sprintf("%s of %s points signal; the first is part %d.", count(n), count(len(s.Points)), s.Signals[0]+1)
	}
	if s.Places != nil {
		far, most := 0, -1.0
		for i, v := range s.Points {
			if d := math.Abs(v - s.Centre); d > most {
				far, most = i, d
			}
		}
		answer = "Farthest from the centre: " + s.name(far) + ", " + spell.Trimmed(s.Points[far]-s.Centre, tickDecimals(shown, 5)+1) + " " + spell.Clean(s.Unit) + "."
	}
	c.head(answer)
	c.series(&s, shown)
	c.y = c.keys(margin, c.y+4)
	c.notes(s.Because)
	return c.write(w, answer, c.keyWords(), s.Because)
}

// name is that of a point.
func (s *Series) name(i int) string {
	if s.Places != nil {
		return spell.Name(s.Places[i])
	}
	return fmt.Sprintf("part %d", i+1)
}

// series draws the field of a chart, and explains it.
func (c *canvas) series(s *Series, shown span) {
	x0, x1, top := margin+44, c.w-margin-16, c.y+4
	foot := top + seriesHeight
	px := func(i int) float64 { return x0 + (float64(i)+.5)*(x1-x0)/float64(len(s.Points)) }
	py := func(v float64) float64 { return foot - 6 - (v-shown.lo)/shown.size()*(seriesHeight-12) }
	decimals := tickDecimals(shown, 5)
	for _, v := range ticks(shown.lo, shown.hi, 5) {
		c.line(faint, x0, py(v), x1, py(v))
		c.try(muted, x0-6, py(v)+.35*smallSize, smallSize, end, spell.Trimmed(v, decimals))
	}
	level := func(class, what string, at tolerance.Optional[float64]) {
		if v, ok := at.Get(); ok {
			c.titled("limit", what, func() { c.line(class, x0, py(v), x1, py(v)) })
			c.explain(c.stroke(class), what+" "+spell.Trimmed(v, decimals+1)+" "+spell.Clean(s.Unit))
		}
	}
	level(chain, "centre", tolerance.Given(s.Centre))
	level(heavy, "lower limit", s.Limits.Least)
	level(heavy, "upper limit", s.Limits.Greatest)
	last := -1
	for i, v := range s.Points {
		if math.IsNaN(v) {
			continue
		}
		if last >= 0 {
			c.line(thin, px(last), py(s.Points[last]), px(i), py(v))
		}
		last = i
	}
	for i, v := range s.Points {
		if math.IsNaN(v) {
			continue
		}
		said := s.name(i) + ": " + spell.Trimmed(v, decimals+1)
		if slices.Contains(s.Signals, i) {
			c.titled("signal", said+", a signal", func() { c.diamond(mark, px(i), py(v), 5) })
			continue
		}
		c.titled("part", said, func() { c.circle(solid, px(i), py(v), 2.2) })
	}
	if len(s.Signals) > 0 {
		c.explain(func(x, y float64) { c.diamond(mark, x, y, 5) }, "a point that signals: look at the process there")
	}
	c.line(ink, x0, foot, x1, foot)
	order := "parts in order of making"
	if s.Places != nil {
		order = "places in their order along the line"
		for i := range s.Places {
			c.try(muted, px(i), foot+4+smallSize, smallSize, middle, cut(s.name(i), smallSize, (x1-x0)/float64(len(s.Points))))
		}
	} else {
		c.numbers(s, px, foot)
	}
	c.footWords(x0, x1, foot, order)
}

// numbers writes the numbers of parts under the field.
func (c *canvas) numbers(s *Series, px func(int) float64, foot float64) {
	for _, v := range ticks(1, float64(len(s.Points)), 8) {
		if i := int(v) - 1; float64(i+1) == v && i >= 0 && i < len(s.Points) {
			c.try(muted, px(i), foot+4+smallSize, smallSize, middle, fmt.Sprint(i+1))
		}
	}
}
