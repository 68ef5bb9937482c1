package draw

import (
	"fmt"
	"io"
	"math"
	"slices"

	"example.com/borestack/align/internal/spell"
	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

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
	first := 0
	for i, s := range list.Shares {
		if s.Share > list.Shares[first].Share {
			first = i
		}
	}
	answer := "Largest: " + spell.Name(list.Shares[first].Name) + ", " + spell.Percent(list.Shares[first].Share) + "."
	c.head(answer)
	bars := slices.Clip(list.Shares)
	// a rest below half a percent would read as nothing
	if rest := 1 - sum; rest >= .005 {
		bars = append(bars, tolerance.Share{Name: "not told apart", Share: rest})
	}
	c.shareBars(bars, first, len(list.Shares))
	note := "Bars are drawn from 0 on one scale; together with what is not told apart they are the whole."
	c.notes(note, list.Note)
	sentences := []string{answer}
	for _, s := range bars {
		sentences = append(sentences, spell.Name(s.Name)+" "+spell.Percent(s.Share))
	}
	c.describe(append(sentences, note, list.Note)...)
	return write(w, c)
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
	for i, s := range l.Shares {
		at := fmt.Sprintf("/shares/%d/", i)
		if err := finite(at+"share", s.Share); err != nil {
			return 0, err
		}
		if s.Share < 0 || s.Share > 1 {
			return 0, fault.At(at+"share", fmt.Sprint(s.Share), "a share from 0 to 1", fault.ErrOutOfRange)
		}
		sum += s.Share
	}
	// estimates may add up to a little more than the whole
	if sum > 1.02 {
		return 0, fault.At("/shares", fmt.Sprint(sum), "shares of at most 1 together", fault.ErrOutOfRange)
	}
	return sum, nil
}
