package advise

import (
	"cmp"
	"fmt"
	"math"
	"strconv"
	"strings"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/paper"
	"example.com/borestack/align/internal/quantity"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/align/sheet"
	"example.com/borestack/tolerance"
)

// Page is the work sheet for printing, lengths in the unit.
func (w *WorkSheet) Page(unit tolerance.Unit) *sheet.Page {
	p := draftOf("Work sheet", w.title, unit)
	p.Division = w.shop.Graduation
	p.within = max(w.shop.Within, p.Division/2, p.Unit.Size()*tolerance.Length(0.5*math.Pow10(-p.Decimals())))
	if len(w.orders) == 0 {
		p.heading("leave", "Leave alone")
		p.Item("nothing to do: the box stays as it was measured, and its verdict is %s", w.After)
	}
	for i := range w.orders {
		o := &w.orders[i]
		p.heading("order", "%d. %s", i+1, spell.Upper(o.Correction.title()))
		p.frame(o)
		if words := o.Correction.Kind.trait().words; words != nil {
			words(p, o)
		}
	}
	p.heading("effects", "Before and after")
	p.Item("verdict before: %s; after, with the amounts as printed: %s", w.Before, w.After)
	if b, a := w.Margin[0], w.Margin[1]; b.Given && a.Given {
		p.Item("margin of the shaft line at the worst float, radial: %s before, %s after with the amounts as printed", p.Both(b.Value), p.Both(a.Value))
	}
	p.When(w.Cost > costsNothing, "strips and dials as they are cost %s of it", p.Both(w.Cost))
	if b, a := w.Margin[0].Value, w.Margin[1].Value; w.Cost > costsNothing && a < b-costsNothing && a+w.Cost > b {
		p.Item("not worth doing: they take more than it gives; leave it, or use finer ones")
	}
	p.dial(w)
	p.effects(w)
	p.When(len(w.shop.Keep) > 0, "do not touch: %s", strings.Join(w.shop.Keep, ", "))
	p.heading("cautions", "Cautions")
	p.Item("a direction on the wrong side doubles the fault: before you begin, check each arrow against the part's own marks or against the box as it stands, as the order says")
	p.Item("never draw it home with its bolts; isolate, block and turn by hand what is dialled; the maker's torques and least thicknesses go before this sheet")
	return p.done("borestack-worksheet/1")
}

// costsNothing is a cost that a sheet does not speak of.
const costsNothing = 5e-5 * tolerance.Millimetre

// inTheBox is the frame of everything that is done and read on the box.
const inTheBox = "in the box: clock positions are seen from the tail, as the box stands, 12 o'clock up; zero is %s"

// frame says where the clock positions of an order are, and from where its amounts count; of parts end for end first of all.
func (p *draft) frame(o *workOrder) {
	for i := range o.before.Parts {
		if q := &o.before.Parts[i]; q.Turned && (q.Name == o.Part || q.Name == o.Behind || o.Correction.Kind == Push) {
			p.Item("the %s is mounted end for end in the box: its rear face as measured looks forward there", q.Name)
		}
	}
	if !o.Bench {
		p.Item(inTheBox, o.Zero)
		return
	}
	p.Item("on the bench: clock positions are by the own marks of the %s as measured, seen from its tail end, its 12 o'clock mark up; zero is %s", o.Part, o.Zero)
	if off := math.Abs(math.Remainder(float64(o.Stands), 2*math.Pi)); off > float64(tolerance.Degree)/2 {
		p.Item("in the box its 12 o'clock mark stands at %s", spell.Direction(o.Stands))
	}
}

func (p *draft) swap(o *workOrder) {
	p.Item("fit %s in place of the %s that was measured, its 12 o'clock mark where that of the old one was", o.Correction.candidate(o.before), o.Part)
	p.Clocks(paper.Arrow("its 12 o'clock mark, in the box", o.Stands))
}

func (p *draft) turnOver(o *workOrder) {
	p.Item("turn the %s over about the line through its 12 and 6 o'clock marks: its 12 o'clock mark stays where it is, its 3 o'clock mark goes where its 9 o'clock mark was, and the face that looked forward looks to the tail", o.Part)
	before, after := paper.Arrow("its marks before", 0), paper.Crossed("its marks after")
	if o.before.Parts[partNamed(o.before, o.Part)].Turned {
		before, after = paper.Crossed("its marks before"), paper.Arrow("its marks after", 0)
	}
	p.Clocks(before, after)
}

func (p *draft) sleeve(o *workOrder) {
	c := o.Correction
	p.Item("set up on the old bore %s, move %s towards %s, bore, sleeve, and bore the sleeve to size there", c.Place, p.Both(c.By), spell.Direction(o.Clock))
	if q, b := boreNamed(o.before, c.Place); q.Bores[b].Diameter.Given {
		old := q.Bores[b].Diameter.Value
		p.Item("bore to at least %s, so that the old bore of %s cleans up and the sleeve keeps a wall of %s", p.Drawn(old+2*c.By+2*c.Across), p.Drawn(old), p.Both(c.Across))
	}
	p.Item("leave a sound wall round it; stop when the casting is too thin")
	p.Clocks(paper.Arrow("the bore goes, by own marks", o.Clock))
}

func (p *draft) bush(o *workOrder) {
	c := o.Correction
	p.Item("fit a bush in %s that is bored off centre by %s (centre to centre), its bore towards %s; press first, then bore to size, concentric to nothing but this", c.Place, p.Size(c.By), spell.Direction(o.Clock))
	p.Clocks(paper.Arrow("the bore goes, by own marks", o.Clock))
}

func (p *draft) shim(o *workOrder) {
	size := p.Size(o.Correction.By)
	p.Item("fit a parallel shim or gasket of %s between the %s and the %s; measure the pack, not its marking", size, o.Part, o.Behind)
	p.gasket(o)
	p.Drawing([]string{"nose  " + spell.Name(o.Part) + " ]→| " + size + " |←[ " + spell.Name(o.Behind) + "  tail"})
}

func (p *draft) offsetDowels(o *workOrder) {
	c := o.Correction
	p.Item("fit offset dowels of %s (centre to centre, that is %s TIR) between the %s and the %s: %s, all pointing the same way", p.Size(c.By), p.Size(2*c.By), o.Part, o.Behind, strings.Join(o.pins(jointNamed(o.before, c.Place)), " and "))
	p.Item("their rear ends, and with them the %s, go towards %s", o.Behind, spell.Direction(o.Clock))
	p.Clocks(paper.Arrow("rear ends, in the box", o.Clock))
}

func (p *draft) reclock(o *workOrder) {
	c := o.Correction
	p.Item("turn the %s by %s clockwise; the parts behind it stay as they are", c.Place, spell.Around(c.Turn))
	i := partNamed(o.before, c.Place)
	for _, t := range []struct {
		joint int
		says  string
	}{{i, "the tapered gasket behind it turns with it: lay it by the marks of the %s"}, {i - 1, "the tapered gasket in front of it stays by the marks of the %s"}} {
		if t.joint >= 0 && t.joint < len(o.before.Joints) {
			if g := o.before.Joints[t.joint].Gasket; g != nil && g.Slope != (align.Slope{}) {
				p.Item(t.says, o.before.Parts[t.joint].Name)
			}
		}
	}
	if c.Redrill {
		pins := append(o.pins(i-1), o.pins(i)...)
		p.Item("set it in the middle of what its pilots let it move, and drill its dowel holes anew in place%s", spell.If(len(pins) > 0, ": those of "+strings.Join(pins, " and ")))
	}
	p.Clocks(paper.Arrow("its 12 o'clock mark before", o.Stands), paper.Arrow("and after, in the box", o.Stands+c.Turn))
}

func (p *draft) taperedShim(o *workOrder) {
	c := o.Correction
	p.Item("make a tapered shim for between the %s and the %s: %s at its thinnest, %s at its thickest, at %s; the rise is %s across %s", o.Part, o.Behind,
		p.Both(c.By), p.Both(c.By+c.Rise), spell.Direction(o.Clock), p.Both(c.Rise), p.Drawn(c.Across))
	p.Item("fit it by the marks of the %s: in the box its thickest side stands at %s", o.Part, spell.Direction(o.InBox))
	p.gasket(o)
	p.Item("thickness at the marks of the %s, within ± %s:", o.Part, p.Both(o.Within))
	p.marks(o, false)
	p.Clocks(paper.Arrow("thickest, by own marks", o.Clock), paper.Arrow("thickest, in the box", o.InBox))
}

func (p *draft) gasket(o *workOrder) {
	p.When(o.before.Joints[jointNamed(o.before, o.Correction.Place)].Gasket != nil, "%s the gasket that is there", spell.Either(o.Correction.Replace, "in place of", "beside"))
}

// pins are the dowels of joint k; none where there is no such joint.
func (o *workOrder) pins(k int) (out []string) {
	if k >= 0 && k < len(o.before.Joints) {
		out = spell.Mapped(o.before.Joints[k].Pins, func(q align.Pin) string { return q.Dowel })
	}
	return out
}

// cut writes a skim: which face, which is down, how it is set up, what comes off where, and when to stop.
func (p *draft) cut(o *workOrder) {
	c := o.Correction
	p.Item("cut the %s face of the %s. Datum: its %s face, down, clean and stoned; do not cut that one", o.Face, o.Part, spell.Either(o.Face == "rear", "front", "rear"))
	if c.Kind == SkimWedge {
		p.Item("take off %s at %s, and %s opposite at %s: a wedge of %s across %s", p.Both(c.By+c.Rise), spell.Direction(c.Clock), p.Both(c.By), spell.Direction(c.Clock+180*tolerance.Degree), p.Both(c.Rise), p.Drawn(c.Across))
	} else {
		p.Item("take off %s all over, parallel to the face as it is", p.Both(c.By))
	}
	p.setUp(o)
	eye := spell.Either(o.Face == "rear", "tail", "nose")
	on := spell.If(o.Circle > 0, "marks on a circle of "+p.Drawn(o.Circle)+"; ")
	p.Item("%swith that face up you look at it from the %s: take that column%s", on, eye, o.fromNose())
	p.marks(o, true)
	p.When(o.Least.Given, "nowhere thinner than %s; stop there whatever is left", p.Drawn(o.Least.Value))
	p.Item("let the clamps off before the last cut and let the part take its shape; pilots, bores and dowel holes are not to be touched")
	if c.Kind == Skim {
		p.Drawing([]string{spell.Either(o.Face == "rear", "nose  [ "+spell.Name(o.Part)+" ]← cut  tail", "nose  cut →[ "+spell.Name(o.Part)+" ]  tail")})
		return
	}
	arrows := []paper.Clock{paper.Arrow("most comes off, by own marks", c.Clock)}
	if o.stripped() {
		arrows = append(arrows, paper.Arrow("the strip, by own marks", o.Strip.Clock))
	}
	p.Clocks(arrows...)
}

// fromNose restates the directions of a cut for who looks at the part from its nose end; empty: nobody does.
func (o *workOrder) fromNose() string {
	if o.Face == "rear" {
		return ""
	}
	var out []string
	if o.Correction.Kind == SkimWedge {
		out = append(out, "most comes off at "+spell.Direction(-o.Correction.Clock))
	}
	if o.stripped() {
		out = append(out, "the strip is at "+spell.Direction(-o.Strip.Clock))
	}
	return spell.If(len(out) > 0, "; from there "+strings.Join(out, ", and "))
}

// noStrip is a strip too thin to be one.
const noStrip = 5e-4 * tolerance.Millimetre

func (o *workOrder) stripped() bool { return o.Strip != nil && o.Strip.Thickness > noStrip }

// setUp says how the part lies under the cutter. A level cut leaves it as thick as the datum face lies deep: the strip is the finished wedge, under the side that is to be thin, whatever the part was before.
func (p *draft) setUp(o *workOrder) {
	t := o.Strip
	strip := ""
	if o.stripped() {
		strip = fmt.Sprintf("a strip of %s under the datum face at %s, %s from the edge opposite on which the part rests", p.Size(t.Thickness), spell.Direction(t.Clock), p.Drawn(t.From))
	}
	switch {
	case o.Correction.Kind == Skim:
		near := spell.If(strip != "", "; "+strip+", brings it near")
		p.Item("set-up: hold the face parallel to itself: shim the datum face until a dial reads the same at every mark of the %s face, then cut level; laid flat it would lose its wedge%s", o.Face, near)
	case strip != "":
		p.Item("set-up: %s; cut level, the highest side first: when finished the part is thinnest over the strip", strip)
	case t != nil:
		p.Item("set-up: flat on the datum face, without a strip; cut level, the highest side first: when finished the faces are parallel")
	}
}

// marks writes the table of stations.
func (p *draft) marks(o *workOrder, cut bool) {
	heads := []string{"from centre", "shim", "from", "to"}
	if cut {
		heads = []string{"is", "take off", "finish", "from", "to"}
	}
	for i := range heads {
		heads[i] += " " + p.Unit.String()
	}
	table := p.Table(paper.Words("mark", "from tail", "from nose"), paper.Numbers(heads...))
	for i, m := range o.Marks {
		row := paper.Cells(strconv.Itoa(i+1), spell.Direction(m.Clock), spell.Direction(-m.Clock))
		lengths := []tolerance.Length{m.Radius, m.Finish, m.Thinner, m.Thicker}
		if cut {
			lengths = []tolerance.Length{m.Before, m.Amount, m.Finish, m.Thinner, m.Thicker}
		}
		cells := spell.Mapped(lengths, func(l tolerance.Length) paper.Cell { return paper.Number(p.Column(l), float64(l), "mm") })
		table.Row(nil, append(row, cells...)...)
	}
}

// zeroing is where two dials are set and how their zero is found, which a fitter can do and a drawing cannot say.
func (p *draft) zeroing(h *hold) string {
	return fmt.Sprintf("set a dial at 3 o'clock and one at 12 o'clock on the rim of the %s, plungers towards its centre, plus as they go in; push it both ways along each dial and set zero halfway: it travels %s along the one, %s along the other",
		h.Behind, p.Read(h.Travel[0]), p.Read(h.Travel[1]))
}

// dials is what two dials read where a part is held.
func (p *draft) dials(h *hold) string {
	sum := "in the middle both ways"
	if h.At.Size() > noStrip {
		sum = p.Read(h.At.Size()) + " towards " + spell.Direction(h.At.Clock()) + " from zero"
	}
	return fmt.Sprintf("the dial at 3 o'clock reads %s and the dial at 12 o'clock %s: %s", p.Held(h.At.X), p.Held(h.At.Y), sum)
}

// right is within how much a part is held right, and what its dials read when its bolts are tight.
func (p *draft) right(h *hold) string {
	return fmt.Sprintf("right when both are within ± %s of that; tighten the bolts nearest the dowels first; tight, the dial at 3 o'clock must read %s and the dial at 12 o'clock %s, within ± %s",
		p.Size(p.within), p.Held(h.At.X), p.Held(h.At.Y), p.Size(p.within))
}

// stuck is what to do with a part that does not come to its place, or does not stay there.
//
// Source: common practice, no published source.
func (p *draft) stuck() {
	p.Item("if it does not come, or creeps as it is tightened: never draw it there with the bolts; slacken them all, free the dowels, clean burrs and dirt off, find zero again, and go past by what it crept")
	p.Item("if it travels less than said above by more than %s, or does not come then: stop, measure its register and its dowels again, and make a new sheet", p.Size(2*p.within))
}

func (p *draft) redowel(o *workOrder) {
	for i := range o.Holds {
		h := &o.Holds[i]
		p.Item("leave the dowels in (%s), bolts snug; %s", strings.Join(o.pins(jointNamed(o.before, o.Correction.Place)), ", "), p.zeroing(h))
		p.Item("take the dowels out and move the %s on the %s, without turning it, until %s", o.Behind, o.Part, p.dials(h))
		p.Item("%s", p.right(h))
		p.Clocks(paper.Arrow("from zero, in the box", h.At.Clock()))
	}
	p.stuck()
	across := o.Correction.Across
	p.Item("dial it as below, ream the holes through both parts and fit new pins%s", spell.If(across > 0, " of "+p.Drawn(across)))
	p.Item("the two parts are then a matched set: mark both")
}

// pushes says how every joint is pushed, on dials.
func (p *draft) pushes(o *workOrder) {
	var arrows []paper.Clock
	for i := range o.Holds {
		h := &o.Holds[i]
		turn := ""
		if h.Turns {
			turn = ", in the middle of what it turns"
			if t := p.Read(max(h.Turn, -h.Turn)); strings.Trim(strings.Fields(t)[0], "0.") != "" {
				turn = fmt.Sprintf(", turned %s %s at %s from its centre, from the middle of what it turns", t, spell.Either(h.Turn > 0, "clockwise", "anticlockwise"), p.Drawn(h.Radius))
			}
		}
		push, arrow := "leave it where ", paper.Middle("leave "+spell.Name(h.Behind))
		if h.At.Size() > noStrip {
			push, arrow = "push it towards "+spell.Direction(h.At.Clock())+" until ", paper.Arrow("push "+spell.Name(h.Behind), h.At.Clock())
		}
		p.Item("joint %s: bolts snug; %s", h.Joint, p.zeroing(h))
		p.Item("joint %s: %s%s%s", h.Joint, push, p.dials(h), turn)
		p.Item("joint %s: %s", h.Joint, p.right(h))
		arrows = append(arrows, arrow)
	}
	p.stuck()
	p.Clocks(arrows...)
}

// dialRange is the range of a reading over the float from which a sheet speaks of it: the last figure that it prints.
const dialRange = 1e-4

// dial says what to dial, what it read, what it should read, and when to stop.
func (p *draft) dial(w *WorkSheet) {
	d := w.Dial
	if d == nil {
		p.Item("no bore moves that a dial could show: check the amounts themselves")
		return
	}
	from := cmp.Or(d.From, "the line of the first shaft's first two supports")
	before, after := d.TIRs()
	p.Item(inTheBox, from)
	p.Item("error before: %s stands off %s by %s towards %s, a TIR of %s", d.Bore, from, p.Read(d.Before.Size()), spell.Direction(d.Before.Clock()), p.Read(before.Length()))
	p.Item("move: %s towards %s", p.Read(d.move().Size()), spell.Direction(d.move().Clock()))
	x, y := d.After.X, d.After.Y
	p.Item("fit, dial again at %s, zero at 12 o'clock, plus as the plunger goes in: expect %s at 3 o'clock, %s at 6 o'clock and %s at 9 o'clock, a TIR of %s ± %s, its centre towards %s; if it moves the other way, stop",
		d.Bore, p.Signed(y-x), p.Signed(2*y), p.Signed(y+x), p.Read(after.Length()), p.Both(max(d.U, w.shop.Graduation/2)), spell.Direction(d.After.Clock()))
	p.When(d.Greatest-d.Least > dialRange, "that is with the joints where they rest; as they may lie, it reads %s to %s", p.Read(d.Least.Length()), p.Read(d.Greatest.Length()))
	p.Clocks(paper.Arrow("error before", d.Before.Clock()), paper.Arrow("move", d.move().Clock()), paper.Arrow("what is left", d.After.Clock()))
}

// effects says what else changes.
func (p *draft) effects(w *WorkSheet) {
	for _, e := range w.Effects {
		what := outputWords(e)
		switch {
		case e.Strained:
			p.Item("WORSE: %s becomes strained by %s", e.Output.Of, p.Both(tolerance.Length(e.After.Value)))
		case e.WordAfter > e.WordBefore:
			p.Item("WORSE: %s goes from %s (%s) to %s (%s)", what, e.WordBefore, p.value(e, e.Before), e.WordAfter, p.value(e, e.After))
		case e.Limited:
			p.Item("%s: from %s (%s) to %s (%s)", what, p.value(e, e.Before), e.WordBefore, p.value(e, e.After), e.WordAfter)
		default:
			p.Item("%s: from %s to %s; it has no limit", what, p.value(e, e.Before), p.value(e, e.After))
		}
	}
}

// value is an output's number with its unit.
func (p *draft) value(e Effect, v tolerance.Optional[float64]) string {
	if !v.Given {
		return "cannot be said"
	}
	return quantity.Of(e.Output.What).Measure.Tell(v.Value, p.Lengths, p.Both)
}

// outputWords names an output, and the state it is in.
func outputWords(e Effect) string {
	s := quantity.Say(e.Output, func(name string) string { return name })
	s += spell.If(e.State != "", " in state "+e.State)
	return s
}
