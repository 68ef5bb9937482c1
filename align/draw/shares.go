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
	Errors []float64 // standard error of each share; nil: none is known
	Note   string    // how they came about: method, samples, seed
}

// Shares draws contributions as bars, each with its share and, where given, a whisker of one standard error each way. What the shares leave of the whole is drawn as a bar of its own. Options.Unit is not used.
//
// It returns [ErrNothingToDraw] without shares, an error that wraps [fault.ErrNotFinite] or [fault.ErrOutOfRange] with the place for a share outside 0 to 1, a negative error, or shares of more than 1 together, or a fault of the options.
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
	c.shareBars(bars, list.Errors, len(list.Shares))
	note := "Bars are drawn from 0 on one scale; together with what is not told apart they are the whole."
	c.notes(note, list.Note)
	sentences := []string{answer}
	for _, s := range bars {
		sentences = append(sentences, spell.Name(s.Name)+" "+spell.Percent(s.Share))
	}
	c.describe(append(sentences, note, list.Note)...)
	return write(w, c)
}

// shareBars draws a bar for every share on one scale; those from told on, hollow.
func (c *canvas) shareBars(bars []tolerance.Share, errors []float64, told int) {
	wide := 0.0
	for _, s := range bars {
		w, _ := textWidth(spell.Name(s.Name), smallSize, false)
		wide = math.Max(wide, w)
	}
	wide = math.Min(wide, (c.w-2*margin)*.42)
	x0, x1 := margin+wide+10, c.w-margin-110
	c.y += 4
	from := c.y
	for i, s := range bars {
		const pitch = 18.0
		c.put(text, margin+wide, c.y+pitch/2+.35*smallSize, smallSize, end, cut(spell.Name(s.Name), smallSize, wide))
		length := (x1 - x0) * s.Share
		class := bar
		if i >= told {
			class = hollow
		}
		label := spell.Percent(s.Share)
		reach := x0 + length
		c.titled("share", spell.Name(s.Name)+": "+label, func() {
			c.rect(class, x0, c.y+3, length, pitch-6)
			if i < len(errors) {
				e := errors[i]
				d := (x1 - x0) * e
				lo, hi := math.Max(x0+length-d, x0), math.Min(x0+length+d, x1)
				c.line(ink, lo, c.y+pitch/2, hi, c.y+pitch/2)
				c.line(ink, lo, c.y+pitch/2-3, lo, c.y+pitch/2+3)
				c.line(ink, hi, c.y+pitch/2-3, hi, c.y+pitch/2+3)
				label += " ± " + spell.Trimmed(100*e, 1) + " %"
				reach = hi
			}
		})
		c.put(text, reach+6, c.y+pitch/2+.35*smallSize, smallSize, start, cut(label, smallSize, c.w-margin/2-reach-6))
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
	if n := len(l.Errors); n != 0 && n != len(l.Shares) {
		return 0, fault.At("/errors", fmt.Sprint(n), "one for each share, or none", fault.ErrConflict)
	}
	for i, e := range l.Errors {
		at := fmt.Sprintf("/errors/%d", i)
		if err := finite(at, e); err != nil {
			return 0, err
		}
		if e < 0 {
			return 0, fault.At(at, fmt.Sprint(e), "a standard error of at least 0", fault.ErrOutOfRange)
		}
	}
	for i, s := range l.Shares {
		at := fmt.Sprintf("/shares/%d/", i)
		if err := finite(at+"share", s.Share); err != nil {
			return 0, err
		}
		if s.Share < 0 || s.Share > 1 {
			return 0, &fault.FieldError{Path: at + "share", Value: fmt.Sprint(s.Share), Want: "a share from 0 to 1", Err: fault.ErrOutOfRange}
		}
		sum += s.Share
	}
	// estimates may add up to a little more than the whole
	if sum > 1.02 {
		return 0, &fault.FieldError{Path: "/shares", Value: fmt.Sprint(sum), Want: "shares of at most 1 together", Err: fault.ErrOutOfRange}
	}
	return sum, nil
}
