package report

import (
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"example.com/borestack/align"
	"example.com/borestack/align/draw"
	"example.com/borestack/align/internal/paper"
	"example.com/borestack/align/internal/quantity"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/align/study"
	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// mostPictures of one kind keep the page of a large record readable; the numbers of all are in the tables.
const mostPictures = 12

// pictureWidth is that of every picture: its smallest type is 11 px high on a telephone 390 px wide, and two or three stand
// side by side on a screen.
const pictureWidth = 88 * tolerance.Millimetre

// album draws the pictures of one page: each id once.
type album struct {
	t    *teller
	n    int
	err  error
	lost []string // captions of what cannot be drawn
}

// draw adds a picture, unless there is nothing to draw. One whose numbers cannot be drawn is left out, and the section says so: they stand in its tables. The first other fault is kept, and ends the page.
func (a *album) draw(to *[]paper.Picture, caption string, draws func(w io.Writer, o draw.Options) error) {
	if a.err != nil {
		return
	}
	var b strings.Builder
	err := draws(&b, draw.Options{ID: fmt.Sprintf("pic%d", a.n+1), Width: pictureWidth, Unit: a.t.p.Unit})
	switch {
	case errors.Is(err, draw.ErrNothingToDraw):
		return
	case errors.Is(err, fault.ErrOutOfRange), errors.Is(err, fault.ErrNotFinite), errors.Is(err, fault.ErrNotConverging):
		a.lost = append(a.lost, caption)
		return
	case err != nil:
		a.err = fmt.Errorf("report: %w", err)
		return
	}
	a.n++
	// a page has no need of the namespace, and holds no address
	svg := strings.Replace(b.String(), ` xmlns="http://www.w3.org/2000/svg"`, "", 1)
	*to = append(*to, paper.Picture{Caption: fmt.Sprintf("Figure %d. %s", a.n, caption), SVG: svg})
}

// gallery draws a section's pictures, and notes in the section when not all are drawn.
func gallery[T any](c *paper.Section, list []T, draw func(T)) {
	if n := len(list); n > mostPictures {
		c.Text("Pictures of the first %d of %d.", mostPictures, n)
	}
	for _, v := range list[:min(len(list), mostPictures)] {
		draw(v)
	}
}

func (t *teller) illustrate() error {
	a := &album{t: t}
	a.first()
	studies := t.res.Variations
	for _, c := range t.page.Sections {
		switch id, _, _ := strings.Cut(c.ID, "-"); id {
		case "stack":
			a.whole(&c.Beside)
		case "supports": // every bore that carries a shaft as seen from the tail
			gallery(c, a.t.res.Assembly.Supports, func(b align.SupportedBore) {
				aim := a.aim(b.Bore)
				a.draw(&c.Gallery, "Bore "+spell.Clean(aim.Bore)+", as seen from the tail.", func(w io.Writer, o draw.Options) error { return draw.Target(w, a.t.res.Assembly, aim, o) })
			})
		case "joints":
			gallery(c, a.t.res.Assembly.Joints, func(j align.SeatedJoint) { a.joint(&c.Gallery, j.Name) })
		case "parts": // those that were read with a micrometer
			read := slices.DeleteFunc(slices.Clone(a.t.res.Assembly.Parts), func(s align.PartShape) bool { return !s.ThicknessVariation.Given })
			gallery(c, read, func(s align.PartShape) {
				a.draw(&c.Gallery, "Thickness of "+spell.Clean(s.Name)+" round the clock, as mounted, seen from the tail.", func(w io.Writer, o draw.Options) error {
					return draw.Thickness(w, a.t.res.Assembly, s.Name, o)
				})
			})
		case "variation":
			a.variation(c, studies[0])
			studies = studies[1:]
		}
		for _, caption := range a.lost {
			c.Text("No picture, because its numbers are too large or too small to draw: %s", caption)
		}
		a.lost = nil
	}
	return a.err
}

// first draws the picture of the first screen: what is in the way of a box that does not go together, the shaft line, or where
// there is none the stack.
func (a *album) first() {
	res := a.t.res.Assembly
	if list := fouls(res); len(list) > 0 {
		a.joint(&a.t.page.Picture, list[0].Name)
		return
	}
	if res.Line == nil {
		a.whole(&a.t.page.Picture)
		return
	}
	a.draw(&a.t.page.Picture, "The shaft line in side and top view, from the main reference.", func(w io.Writer, o draw.Options) error { return draw.ShaftLine(w, res, o) })
}

// aim is a bore with the first greatest offset, or TIR, that the record accepts for it from the main reference as measured.
func (a *album) aim(bore string) draw.Aim {
	refs := a.t.rec.References
	for _, l := range a.t.rec.Limits() {
		o, e := l.Output, quantity.Of(l.Output.What)
		main := o.From == "" || len(refs) > 0 && o.From == refs[0].Name
		if o.Of == bore && l.State == "" && main && l.Greatest.Given && l.Greatest.Value >= 0 && e.Size() && e.Measure == quantity.Length {
			return draw.Aim{Bore: bore, Limit: tolerance.Given(tolerance.Offset(tolerance.Length(l.Greatest.Value / e.Scale))), Because: l.Because}
		}
	}
	return draw.Aim{Bore: bore}
}

func (a *album) joint(to *[]paper.Picture, joint string) {
	a.draw(to, "Joint "+spell.Clean(joint)+", as seen from the tail.", func(w io.Writer, o draw.Options) error { return draw.Joint(w, a.t.res.Assembly, joint, o) })
}

func (a *album) whole(to *[]paper.Picture) {
	a.draw(to, "The stack as understood from the record, to scale: hold it against the machine before believing a number.", func(w io.Writer, o draw.Options) error { return draw.Stack(w, a.t.res.Assembly, o) })
}

// bars is how many bars a histogram has: of ten thousand samples the fullest hold some hundreds.
const bars = 40

// variation draws, for every output of a study, its distribution and what contributes to it.
func (a *album) variation(c *paper.Section, q *study.Variation) {
	note := fmt.Sprintf("%d samples, seed %d (%s).", q.Samples, q.Seed, q.Because)
	gallery(c, q.Outputs, func(o study.Varied) {
		what := outputShort(o.Limit.Output)
		if b, ok := a.t.bins(&o); ok {
			b.Note = note
			a.draw(&c.Gallery, "How the samples of "+what+" lie.", func(w io.Writer, opt draw.Options) error { return draw.Histogram(w, b, opt) })
		}
		s := contributions(&o)
		a.draw(&c.Gallery, "What contributes to "+what+".", func(w io.Writer, opt draw.Options) error { return draw.Shares(w, s, opt) })
	})
}

// bins is an output's distribution, between its least and its greatest sample. False: there is nothing to see.
func (t *teller) bins(o *study.Varied) (draw.Bins, bool) {
	s := o.Sampled
	unit, size := quantity.Of(o.Limit.Output.What).Measure.Unit(t.p.Unit)
	// what rounding alone spreads is no distribution
	const rounding = 1e-9
	if size == 0 || s.Infinite >= s.Samples || !(s.Most-s.Least > rounding*size) {
		return draw.Bins{}, false
	}
	h, ok := s.Histogram(o.Limit.Limits, bars)
	if !ok {
		return draw.Bins{}, false
	}
	h.Nominal = o.Nominal
	return draw.BinsOf(h, outputShort(o.Limit.Output), unit, size), true
}

// mostShares is how many contributions a picture names; the rest it draws as not told apart.
const mostShares = 12

// contributions are the shares of an output's variance, the largest first.
func contributions(o *study.Varied) draw.Contributions {
	c := draw.Contributions{Of: outputShort(o.Limit.Output), Note: "Shares of the variance, to first order.", Shares: largestFirst(o.Shares, math.SmallestNonzeroFloat64)}
	for i := range c.Shares {
		c.Shares[i].Share = min(c.Shares[i].Share, 1)
	}
	c.Shares = c.Shares[:min(len(c.Shares), mostShares)]
	return c
}
