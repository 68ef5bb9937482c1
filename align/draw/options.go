package draw

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"example.com/borestack/align"
	"example.com/borestack/fault"
	"example.com/borestack/internal/ieee"
	"example.com/borestack/internal/rules"
	"example.com/borestack/tolerance"
)

// ErrNothingToDraw says that the results hold nothing that the picture could show: a shaft line of a stack without shafts, a plate without thickness.
var ErrNothingToDraw = errors.New("nothing to draw")

// Options are how a picture is made. The zero value is usable: 180 mm wide, which fits A4 upright with margins, in millimetres.
type Options struct {
	ID    string           // starts every id and class: a letter, then letters, digits, "-" and "_"; empty: "borestack"
	Width tolerance.Length // on paper, from 80 mm, which a telephone shows without shrinking it, to 400 mm; 0: 180 mm. On screen the picture shrinks to fit.
	Unit  tolerance.Unit   // of the lengths that it prints
}

// unitsPerMM is how many user units of the picture a millimetre of paper has: a text of 12 units is 3 mm high, 8.5 points.
const unitsPerMM = 4

const (
	defaultID    = "borestack"
	defaultWidth = 180 * tolerance.Millimetre
	leastWidth   = 80 * tolerance.Millimetre
	mostWidth    = 400 * tolerance.Millimetre
)

// check fills in what was left out, and refuses what cannot be drawn.
func (o Options) check() (Options, error) {
	o.ID, o.Width = cmp.Or(o.ID, defaultID), cmp.Or(o.Width, defaultWidth)
	var wrong rules.List
	wrong.Need(anID.MatchString(o.ID), "/id", strconv.Quote(o.ID), "a letter, then letters, digits, \"-\" or \"_\", at most 64", fault.ErrOutOfRange)
	wrong.Need(o.Width >= leastWidth && o.Width <= mostWidth, "/width", o.Width, fmt.Sprintf("%v to %v", leastWidth, mostWidth), fault.ErrOutOfRange)
	wrong.Need(o.Unit <= tolerance.Thousandths, "/unit", uint8(o.Unit), "a unit of length", fault.ErrOutOfRange)
	return o, wrong.First()
}

// anID is what starts ids and classes.
var anID = regexp.MustCompile(`^[a-zA-Z][a-zA-Z0-9_-]{0,63}$`)

// unknown is the fault of a name that the stack does not have.
func unknown(path, got, kind string, known []string) error {
	want := "the name of a " + kind
	if near, ok := tolerance.Nearest(got, known); ok {
		want = fmt.Sprintf("%q, or another %s of the stack", near, kind)
	} else if slices.Contains(known, got) {
		want = "a " + kind + " that can be drawn"
	}
	return fault.At(path, strconv.Quote(got), want, fault.ErrUnknownName)
}

// nothing says why there is no picture.
func nothing(picture, because string) error {
	return fmt.Errorf("draw: %s: %w: %s", picture, ErrNothingToDraw, because)
}

// finite notes a number that no picture can show.
func finite(wrong *rules.List, path string, v float64) {
	wrong.Need(ieee.Finite(v), path, v, "a finite number", fault.ErrNotFinite)
}

// opened is an empty picture of results, and the stack that they are of; the options are checked.
func opened(a *align.Assembly, o Options, title string) (*canvas, align.Stack, error) {
	o, err := o.check()
	if err != nil {
		return nil, align.Stack{}, err
	}
	if a == nil {
		return nil, align.Stack{}, fault.At("/assembly", "", "the result of a stack", fault.ErrMissing)
	}
	return newCanvas(o, title, a.Title), a.Stack(), nil
}

// write sends a finished picture in one piece, so that a fault leaves nothing half written, with sentences that describe it to
// screen readers.
func (c *canvas) write(w io.Writer, sentences ...string) error {
	var out []string
	for _, s := range sentences {
		if s = strings.TrimSpace(s); s != "" {
			out = append(out, strings.TrimRight(s, ".")+".")
		}
	}
	c.desc = strings.Join(out, " ")
	if _, err := io.WriteString(w, c.finish()); err != nil {
		return fmt.Errorf("draw: %w", err)
	}
	return nil
}
