package advise

import (
	"fmt"
	"io"
	"strings"

	"example.com/borestack/align"
	"example.com/borestack/tolerance"
)

// Text writes the work sheet for printing, lengths in the unit.
func (w *WorkSheet) Text(out io.Writer, unit tolerance.Unit) error {
	return w.write(out, &sheet{unit: unit})
}

// Markdown writes the work sheet as Markdown, lengths in the unit.
func (w *WorkSheet) Markdown(out io.Writer, unit tolerance.Unit) error {
	return w.write(out, &sheet{unit: unit, markdown: true})
}

func (w *WorkSheet) write(out io.Writer, p *sheet) error {
	title := "Work sheet"
	if w.Title != "" {
		title += ": " + w.Title
	}
	p.title(title)
	if len(w.Orders) == 0 {
		p.heading("Leave alone")
		p.item("nothing to do: the box stays as it was measured, and its verdict is %s", w.After)
	}
	for i := range w.Orders {
		o := &w.Orders[i]
		p.heading("%d. %s", i+1, upper(o.String()))
		p.order(o)
	}
	p.heading("Before and after")
	p.item("verdict before: %s; as computed after: %s", w.Before, w.After)
	if b, a := w.Margin[0], w.Margin[1]; b.Given && a.Given {
		p.item("margin of the shaft line at the worst float, radial: %s before, %s after", p.length(b.Value), p.length(a.Value))
	}
	p.dial(w)
	p.effects(w)
	if len(w.Keep) > 0 {
		p.item("do not touch: %s", strings.Join(w.Keep, ", "))
	}
	p.heading("Cautions")
	p.item("clock positions are seen from the tail end looking forward, 12 o'clock up, unless a column says nose")
	p.item("never draw it home with its bolts; isolate, block and turn by hand what is dialled; the maker's torques and least thicknesses go before this sheet")
	return p.writeTo(out)
}

func upper(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

// order writes one order.
func (p *sheet) order(o *WorkOrder) {
	c := o.Correction
	switch c.Kind {
	case Skim, SkimWedge:
		p.cut(o)
	case TaperShim:
		p.item("make a tapered shim for between %s and %s: %s at its thinnest, %s at its thickest, at %s of the %s; across %s", o.Part, o.Behind,
			p.length(c.By), p.length(c.By+c.Rise), clock(c.Clock), o.Part, p.size(c.Across))
		p.item("the rise is %s over that diameter; thickness at the marks of the %s, within ± %s:", p.length(c.Rise), o.Part, p.length(o.Within))
		p.marks(o, false)
		p.gasket(c)
	case Shim:
		p.item("fit a parallel shim or gasket of %s between %s and %s; measure the pack, not its marking", p.length(c.By), o.Part, o.Behind)
		p.gasket(c)
	case OffsetDowels:
		p.item("fit offset dowels of %s (centre to centre, that is %s TIR) between %s and %s: %s, all pointing the same way", p.length(c.By), p.length(2*c.By), o.Part, o.Behind, strings.Join(o.Pins, " and "))
		p.item("their rear ends, and with them the %s, go towards %s of the %s", o.Behind, clock(c.Clock), o.Part)
	case Redowel:
		p.item("take the dowels out (%s); set the %s on the %s with the bolts snug, and move it %s towards %s from where it rests", strings.Join(o.Pins, ", "), o.Behind, o.Part, p.length(c.By), clock(c.Clock))
		p.item("dial it as below; when it reads right, tighten, dial again, ream the holes through both parts and fit new pins%s", p.pin(c))
		p.item("the two parts are then a matched set: mark both")
	case Sleeve:
		p.item("set up on the old bore %s, move %s towards %s of the part as measured, bore, sleeve, and bore the sleeve to size there", c.Place, p.length(c.By), clock(c.Clock))
		if o.Opened.Given {
			p.item("bore to at least %s, so that the old bore of %s cleans up and the sleeve keeps a wall of %s", p.size(o.Opened.Value), p.size(o.Bore.Value), p.length(c.Across))
		}
		p.item("leave a sound wall round it; stop when the casting is too thin")
	case Bush:
		p.item("fit a bush in %s that is bored off centre by %s (centre to centre), its bore towards %s of the part as measured; press first, then bore to size, concentric to nothing but this", c.Place, p.length(c.By), clock(c.Clock))
	case Swap:
		p.item("fit %s in place of the %s that was measured", o.Candidate, c.Place)
	case TurnOver:
		p.item("mount the %s end for end: the face that looked forward looks to the tail", c.Place)
	case Reclock:
		p.item("turn the %s by %s clockwise seen from the tail; the parts behind it stay as they are", c.Place, degreesOf(c.Turn))
		if c.Redrill {
			p.item("set it by its pilots, and drill its dowel holes anew in place")
		}
	case Push:
		p.pushes(o)
	}
}

func (p *sheet) gasket(c Correction) {
	if c.Replace {
		p.item("in place of the gasket that is there")
	}
}

func (p *sheet) pin(c Correction) string {
	if c.Across == 0 {
		return ""
	}
	return " of " + p.size(c.Across)
}

// cut writes a skim: which face, which is down, what comes off where, and when to stop.
func (p *sheet) cut(o *WorkOrder) {
	c := o.Correction
	p.item("cut the %s face of the %s. Datum: its %s face, down, clean and stoned; do not cut that one", o.Face, o.Part, o.Datum)
	if c.Kind == SkimWedge {
		p.item("take off %s at %s, and %s opposite at %s: a wedge of %s across %s", p.length(c.By+c.Rise), clock(c.Clock), p.length(c.By), clock(c.Clock+180*tolerance.Degree), p.length(c.Rise), p.size(c.Across))
		p.item("set-up: a parallel strip of %s under the datum face at %s, at a diameter of %s, brings the high side up; take off the highest side first", p.length(c.Rise), clock(c.Clock), p.size(c.Across))
	} else {
		p.item("take off %s all over, parallel to the face as it is", p.length(c.By))
	}
	if o.Turned {
		p.item("in the box this part is mounted end for end: the marks are those of the part as it was measured")
	}
	eye := "nose"
	if o.Face == "rear" {
		eye = "tail"
	}
	p.item("with that face up you look at it from the %s: take that column", eye)
	p.marks(o, true)
	if o.Least.Given {
		p.item("nowhere thinner than %s; stop there whatever is left", p.size(o.Least.Value))
	}
	p.item("let the clamps off before the last cut and let the part take its shape; pilots, bores and dowel holes are not to be touched")
}

// marks writes the table of stations.
func (p *sheet) marks(o *WorkOrder, cut bool) {
	u := p.unit.String()
	head := []string{"mark", "from tail", "from nose", "shim " + u, "from " + u, "to " + u}
	if cut {
		head = []string{"mark", "from tail", "from nose", "is " + u, "take off " + u, "finish " + u, "from " + u, "to " + u}
	}
	rows := [][]string{head}
	for i, m := range o.Marks {
		row := []string{fmt.Sprint(i + 1), clock(m.Clock), clock(m.FromNose())}
		if cut {
			row = append(row, p.fixed(m.Before), p.fixed(m.Amount))
		}
		rows = append(rows, append(row, p.fixed(m.Finish), p.fixed(m.Thinner), p.fixed(m.Thicker)))
	}
	p.table(rows)
}

// pushes says where every joint is held.
func (p *sheet) pushes(o *WorkOrder) {
	for _, f := range o.Correction.Floats {
		v := align.Vec2{X: f.Float.X, Y: f.Float.Y}
		s := fmt.Sprintf("joint %s: bolts snug, hold it %s off the middle of its float towards %s", f.Joint, p.length(lengthOf(v)), clock(clockOf(v)))
		if f.Float.Turn != 0 {
			s += fmt.Sprintf(", turned %.3f° clockwise", f.Float.Turn.Degrees())
		}
		p.item("%s; tighten the bolts nearest the dowels first", s)
	}
}

// dial says what to dial, what it read, what it should read, and when to stop.
func (p *sheet) dial(w *WorkSheet) {
	d := w.Dial
	if d == nil {
		p.item("no bore moves that a dial could show: check the amounts themselves")
		return
	}
	from := d.From
	if from == "" {
		from = "the line of the first shaft's first two supports"
	}
	before, after := d.TIRs()
	p.item("error before: %s stands off %s by %s towards %s, a TIR of %s", d.Bore, from, p.length(lengthOf(d.Before)), clock(clockOf(d.Before)), p.length(before.Length()))
	p.item("move: %s towards %s", p.length(lengthOf(d.Move())), clock(clockOf(d.Move())))
	p.item("fit, dial again at %s, expect a TIR of %s ± %s, its centre towards %s; if it moves the other way, stop", d.Bore, p.length(after.Length()), p.length(d.U), clock(clockOf(d.After)))
	if float64(d.Greatest-d.Least) > 1e-4 {
		p.item("that is with the joints where they rest; as they may lie, it reads %s to %s", p.length(d.Least.Length()), p.length(d.Greatest.Length()))
	}
}

// effects says what else changes.
func (p *sheet) effects(w *WorkSheet) {
	for _, e := range w.Effects {
		what := outputWords(e)
		switch {
		case e.Strained:
			p.item("WORSE: %s becomes strained by %s", e.Output.Of, p.length(tolerance.Length(e.After.Value)))
		case e.WordAfter > e.WordBefore:
			p.item("WORSE: %s goes from %s (%s) to %s (%s)", what, e.WordBefore, p.value(e, e.Before), e.WordAfter, p.value(e, e.After))
		case e.Limited:
			p.item("%s: from %s (%s) to %s (%s)", what, p.value(e, e.Before), e.WordBefore, p.value(e, e.After), e.WordAfter)
		default:
			p.item("%s: from %s to %s; it has no limit", what, p.value(e, e.Before), p.value(e, e.After))
		}
	}
}

// value is an output's number with its unit.
func (p *sheet) value(e Effect, v tolerance.Optional[float64]) string {
	if !v.Given {
		return "cannot be said"
	}
	switch e.Output.What {
	case align.Use:
		return fmt.Sprintf("%.0f %%", 100*v.Value)
	case align.TiltSize, align.TiltX, align.TiltY:
		return fmt.Sprintf("%.3f mrad", 1000*v.Value)
	case align.TurnAngle:
		return fmt.Sprintf("%.3f°", tolerance.Angle(v.Value).Degrees())
	case align.SideForce:
		return fmt.Sprintf("%.0f N", v.Value)
	case align.Assembles:
		if v.Value == 1 {
			return "yes"
		}
		return "no"
	}
	return p.length(tolerance.Length(v.Value))
}

// outputWords names an output, with the convention that it is read in.
func outputWords(e Effect) string {
	o := e.Output
	s := ""
	switch o.What {
	case align.Margin:
		s = "margin of the shaft line"
	case align.Use:
		s = "use of clearance"
	case align.OffsetSize:
		s = "offset of " + o.Of
	case align.TIRSize:
		s = "TIR of " + o.Of
	case align.TiltSize:
		s = "tilt of " + o.Of
	case align.OffsetX:
		s = "offset to the right of " + o.Of
	case align.OffsetY:
		s = "offset upwards of " + o.Of
	case align.TiltX:
		s = "tilt to the right of " + o.Of
	case align.TiltY:
		s = "tilt upwards of " + o.Of
	case align.RunningClearance:
		s = "running clearance of " + o.Of
	case align.GapSize:
		s = "greatest gap at " + o.Of
	case align.TurnAngle:
		s = "turn at " + o.Of
	case align.ThicknessVariation:
		s = "thickness variation of " + o.Of
	case align.InPlane:
		s = "in-plane deviation of " + o.Of
	case align.OutOfPlane:
		s = "out-of-plane deviation of " + o.Of
	case align.ChainLength:
		s = "gap of chain " + o.Of
	case align.SideForce:
		s = "side load at " + o.Of
	case align.Assembles:
		s = "assembly of " + o.Of
	}
	if o.From != "" {
		s += " from " + o.From
	}
	if e.State != "" {
		s += " in state " + e.State
	}
	return s
}
