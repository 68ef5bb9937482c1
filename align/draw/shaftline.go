package draw

import (
	"cmp"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"unicode/utf8"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/tolerance"
)

// ShaftLine draws the shaft line in side and top view: the bore centres where they lie, as deviations from the main reference line; the room that each leaves the axis of its shaft; the best straight shafts; pockets and joints; what governs, and where a shaft leaves its room.
//
// It returns [ErrNothingToDraw] for a stack without shafts, an error that wraps [fault.ErrMissing] without a, or a fault of the options.
func ShaftLine(w io.Writer, a *align.Assembly, o Options) error {
	c, sc, err := sceneOf("shaft line", a, o, "Shaft line")
	if err != nil {
		return err
	}
	answer, governs, floats := lineWords(c.p, a)
	c.head(append([]string{answer, floats}, warnings(a)...)...)

	c.outside(sc)
	f := newFrame(c, sc)
	flags, numbered := flagged(sc.spots, f.px, c.w-margin)
	c.flagsAbove(flags, c.w-margin)
	from := c.y
	for _, v := range [2]view{side, top} {
		foot := f.open(c, v)
		c.line(chain, f.x0, f.zero, f.x1, f.zero)
		c.bars(f, sc, v)
		c.shafts(f, sc, v)
		c.y = foot
		if v == side {
			c.line(faint, f.x0, c.y, f.x1, c.y)
		}
	}
	c.guides(flags, f, sc, from, c.y)
	c.flagsBelow(jointFlags(f, sc, a, c.p), c.w-margin)
	c.scales(f)
	c.explainSpots(sc, numbered)
	c.explain(c.stroke(chain), sc.reference)
	for i, g := range sc.shafts {
		c.explain(func(x, y float64) { c.dashed(accent, i, x-10, y, x+10, y) }, "straight shaft "+spell.Name(g.name))
	}
	c.y = c.keys(margin, c.y+4)
	key := "Marks: dot, bearing; square, bush, barred at both mouths; diamond, pocket; upright bar, the room of the shaft's axis; triangle, what governs; cross, the shaft leaves its room; dotted line, joint."
	c.notes(viewWords, f.scaleWords()+".", key)
	return c.write(w, slices.Concat([]string{viewWords, answer, governs, floats, outsideSpots(c.p, sc), f.scaleWords()}, supportWords(c.p, a), warnings(a))...)
}

// outsideSpots says where a straight shaft leaves its room; empty: nowhere.
func outsideSpots(p speller, sc *scene) string {
	var out []string
	for _, q := range sc.spots {
		if q.out > 0 {
			out = append(out, spell.Name(q.name)+" by "+p.Length(tolerance.Length(q.out)))
		}
	}
	if len(out) == 0 {
		return ""
	}
	return "THE SHAFT LEAVES ITS ROOM at " + spell.Listed(out, 6) + "."
}

// outside writes the same under the title.
func (c *canvas) outside(sc *scene) {
	if s := outsideSpots(c.p, sc); s != "" {
		c.paragraph(warn, bodySize, bodyPitch, s)
		c.y += 6
	}
}

// sceneOf checks options and results, and reads the scene of a picture.
func sceneOf(picture string, a *align.Assembly, o Options, title string) (*canvas, *scene, error) {
	c, s, err := opened(a, o, title)
	if err != nil {
		return nil, nil, err
	}
	if a.Line == nil {
		return nil, nil, nothing(picture, "the stack has no shafts")
	}
	sc, err := newScene(&s, a)
	return c, sc, err
}

// lineWords says whether straight shafts have room, what governs, and the range over the float; nothing of room where a joint does not
// assemble.
func lineWords(p speller, a *align.Assembly) (answer, governs, floats string) {
	if len(warnings(a)) > 0 {
		return "It does not assemble, so nothing can be said of its shafts.", "", ""
	}
	l := a.Line
	switch {
	case !l.Use.Given:
		answer = "Straight shafts have no room: no straight line passes through the supports that leave none"
	case l.RunsFree:
		answer = "Straight shafts have room: margin " + p.Length(l.Margin) + " (radial), " + spell.Percent(l.Use.Value) + " of every clearance needed"
	default:
		answer = "Straight shafts have no room: the clearances lack " + p.Length(-l.Margin) + " (radial), " + spell.Percent(l.Use.Value) + " of every clearance needed"
	}
	answer += "."
	if by := governors(l.Governs); len(by) > 0 {
		governs = "What uses up the clearance: " + spell.Listed(by, 4) + "."
	}
	if by := governors(l.MarginGoverns); len(by) > 0 {
		governs += " What caps the margin: " + spell.Listed(by, 4) + "."
	}
	if r := l.OverFloat; r != nil {
		floats = "Drawn where the parts rest. As they are pushed before tightening, the margin is " + p.Plain(r.WorstMargin) + " to " + p.Length(r.BestMargin) + "."
	}
	return answer, governs, floats
}

func governors(list []tolerance.Share) []string {
	return spell.Mapped(list, func(g tolerance.Share) string { return spell.Name(g.Name) })
}

// warnings says of every joint that does not assemble that what is drawn could not be.
func warnings(a *align.Assembly) []string {
	var out []string
	for _, j := range a.Joints {
		if !j.Assembles {
			out = append(out, "DOES NOT ASSEMBLE: "+spell.Name(j.Name)+"; drawn as if its clearances were opened by what they lack.")
		}
	}
	return out
}

// supportWords is a sentence for every support, for those who cannot see the picture.
func supportWords(p speller, a *align.Assembly) []string {
	return spell.Mapped(a.Supports, func(b align.SupportedBore) string {
		return spell.Name(b.Bore) + ": z " + p.Place(b.Z) + ", offset " + p.offset(b.Offset) + ", clearance " + p.Length(b.Clearance.Length()) + " diametral"
	})
}

// Widths of a picture in characters.
const (
	rowName = 30
	rowBar  = 20
)

// Rows draws in characters how much of its room the best straight shaft uses at every support and pocket: a bar each, in the
// order along the shafts. Of more than most the ones that use most are drawn, and the rest counted. The first row says what they are.
//
// It returns [ErrNothingToDraw] for a stack without shafts or one that does not assemble, an error that wraps [fault.ErrMissing]
// without a, or a fault of the options.
func Rows(a *align.Assembly, most int, o Options) ([]string, error) {
	c, sc, err := sceneOf("rows", a, o, "")
	if err != nil {
		return nil, err
	}
	if len(warnings(a)) > 0 {
		return nil, nothing("rows", "it does not assemble")
	}
	order := slices.Clone(sc.spots)
	if len(order) > most {
		slices.SortStableFunc(order, func(x, y spot) int { return -cmp.Compare(x.used, y.used) })
		order = order[:most-1]
	}
	slices.SortStableFunc(order, func(x, y spot) int { return cmp.Compare(x.z, y.z) })
	out := []string{"Room that the straight shaft uses at each support (* uses up the clearance, ^ caps the margin):"}
	out = append(out, spell.Mapped(order, func(q spot) string { return q.row(c.p) })...)
	if n := len(sc.spots) - len(order); n > 0 {
		out = append(out, fmt.Sprintf("and %d more, which use less", n))
	}
	return out, nil
}

func (q *spot) row(p speller) string {
	mark := spell.If(q.drives, "*") + spell.If(q.caps, "^")
	full := int(math.Round(rowBar * math.Min(q.used, 1)))
	bar, says := strings.Repeat("#", full)+strings.Repeat(".", rowBar-full)+"|", spell.Percent(q.used)
	if q.out > 0 {
		bar = strings.Repeat("#", rowBar) + ">"
		says = "THE SHAFT LEAVES ITS ROOM by " + p.Length(tolerance.Length(q.out))
	}
	name := spell.Name(q.name)
	return name + strings.Repeat(" ", max(rowName-utf8.RuneCountInString(name), 1)) + fmt.Sprintf("%-2s |%s ", mark, bar) + says
}
