package advise

import (
	"context"
	"math"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/borestack/align"
	"example.com/borestack/tolerance"
)

// WorkSheet is what goes to the bench for one option: every order with its frame, its zero and its marks, and the reading to expect. Its amounts are those that the tools in hand can do, and what it promises is worked out from them. Lengths are in mm. The zero value is an empty sheet.
type WorkSheet struct {
	Before  tolerance.Decision
	After   tolerance.Decision
	Margin  [2]tolerance.Optional[tolerance.Length] // at the worst float, before, and after with the amounts as printed
	Cost    tolerance.Length                        // of margin: what strips and dials as they are cost; negative where they gain
	Dial    *Dial                                   // nil: the correction moves no bore that can be dialled
	Effects []Effect

	title  string
	orders []workOrder
	shop   Shop
}

// workOrder is one correction, spelt out for whoever carries it out: the file sheetgrammar.go says in what words.
type workOrder struct {
	Correction Correction
	Part       string // that is cut, marked or mounted; of joints the part in front
	Behind     string // of joints: the part behind
	Face       string // that is cut: "front" or "rear" as measured; of bores their name
	Datum      string // that is down, and must not be cut

	// Bench: clocks are by the part's own marks as measured, seen from its tail end. Otherwise they are seen from
	// the tail, as the box stands.
	Bench  bool
	Zero   string          // from where the amounts count, in words
	Clock  tolerance.Angle // the direction of the order in that frame
	InBox  tolerance.Angle // the same direction in the box
	Stands tolerance.Angle // where the part's own 12 o'clock mark stands in the box

	Turned    bool     // the part is mounted end for end
	EndForEnd []string // parts concerned that are, the part itself first
	Marks     []mark
	Circle    tolerance.Length                     // diameter that the marks are on; 0: each has its own radius
	Strip     *strip                               // under the datum while the face is cut; nil: none can be said
	Gasket    string                               // Shim, TaperShim: what becomes of the one that is there: "beside" or "in place of" it; empty: there is none
	Least     tolerance.Optional[tolerance.Length] // the part must nowhere be thinner
	Within    tolerance.Length                     // finish is held within ± this
	Candidate string                               // Swap: the part to fit
	Pins      []string                             // dowels concerned
	Bore      tolerance.Optional[tolerance.Length] // diameter of the bore that is moved
	Opened    tolerance.Optional[tolerance.Length] // Sleeve: diameter to bore to, so that the old bore cleans up and the sleeve keeps its wall
	Holds     []hold                               // Push, Redowel: where parts are held on the dials
	Tapered   [2]string                            // Reclock: parts in front whose tapered gasket is in front of the part, and behind it
}

// strip is what tilts a part under the cutter: a strip of that thickness under the datum face, From the edge opposite on which the part rests. A level cut makes the finished wedge Thickness across From, thin over the strip.
type strip struct {
	Thickness tolerance.Length // 0: none; the part lies flat
	Clock     tolerance.Angle  // by the part's own marks
	From      tolerance.Length
}

// mark is one marked station on a part.
type mark struct {
	Clock   tolerance.Angle  // seen from the tail end of the part as measured
	Radius  tolerance.Length // from the part's centre
	Amount  tolerance.Length // to take off, or thickness of the shim
	Before  tolerance.Length // thickness before; 0 for shims
	Finish  tolerance.Length // thickness to finish at
	Thinner tolerance.Length // limits of the finished thickness
	Thicker tolerance.Length
}

// usualMarks is how many stations a part without readings is marked with.
const usualMarks = 8

// Sheet makes the work sheet of an option, with the amounts that the shop's tools can do. When ctx ends the error wraps its cause.
func (a *Advice) Sheet(ctx context.Context, o *Option) (*WorkSheet, error) {
	if err := stopped(ctx); err != nil {
		return nil, err
	}
	printed, err := a.asPrinted(ctx, o)
	if err != nil {
		return nil, err
	}
	w := &WorkSheet{title: a.Box.Stack.Title, Effects: printed.Effects, Before: a.Before.Word, After: printed.After.Word, shop: a.Shop}
	for i, j := range []*Judgement{a.Before, printed.After} {
		if m, ok := j.WorstMargin(); ok {
			w.Margin[i] = tolerance.Given(m)
		}
	}
	if m, ok := o.After.WorstMargin(); ok && w.Margin[1].Given {
		w.Cost = m - w.Margin[1].Value
	}
	s := a.Box.Stack
	for _, c := range printed.Corrections {
		after, err := c.Apply(s)
		if err != nil {
			return nil, err
		}
		order, err := a.order(c, &s, &after)
		if err != nil {
			return nil, err
		}
		w.orders = append(w.orders, order)
		s = after
	}
	if err := stopped(ctx); err != nil {
		return nil, err
	}
	if w.Dial, err = a.expect(printed); err != nil {
		return nil, err
	}
	return w, nil
}

// order spells out one correction on the stack before it and after it.
func (a *Advice) order(c Correction, before, after *align.Stack) (workOrder, error) {
	t := c.Kind.trait()
	o := workOrder{Correction: c, Within: a.Shop.Within, Bench: t.bench, Clock: c.Clock, InBox: c.Clock}
	if o.Within == 0 {
		o.Within = a.Shop.Step
	}
	o.Part, o.Face, _ = strings.Cut(c.Place, "/")
	if k := jointNamed(before, c.Place); k >= 0 && c.Kind >= Shim {
		o.Part, o.Behind = before.Parts[k].Name, before.Parts[k+1].Name
	}
	if err := o.setFrame(before, t.measured); err != nil {
		return o, err
	}
	o.Zero = strings.NewReplacer("PART", o.Part, "BEHIND", o.Behind, "FACE", o.Face).Replace(t.zero)
	if t.detail == nil {
		return o, nil
	}
	return o, t.detail(a, &o, before, after)
}

// setFrame says in which frame the order is, where its direction points in the box, and which parts are end for end; measured: its clock is that of the part as measured.
func (o *workOrder) setFrame(s *align.Stack, measured bool) error {
	c := o.Correction
	for i := range s.Parts {
		if p := &s.Parts[i]; p.Turned && (p.Name == o.Part || p.Name == o.Behind || c.Kind == Push) {
			o.EndForEnd = append(o.EndForEnd, p.Name)
		}
	}
	at := partNamed(s, o.Part)
	if at < 0 {
		return nil
	}
	o.Turned = s.Parts[at].Turned
	solved, err := placed(*s)
	if err != nil {
		return err
	}
	inBox := func(mounted tolerance.Angle) tolerance.Angle {
		sn, cs := math.Sincos(float64(mounted))
		d := solved.Placed[at].BaseFromPart.Rotate(r3.Vec{X: sn, Y: cs})
		return tolerance.Clock(d.X, d.Y)
	}
	o.Stands = inBox(0)
	mounted, own := c.Clock, c.Clock
	switch { // its own marks are mirrored as it is mounted
	case o.Turned && measured:
		mounted = -mounted
	case o.Turned:
		own = -own
	}
	o.InBox = inBox(mounted)
	o.Clock = o.InBox
	if o.Bench {
		o.Clock = own.Normalized()
	}
	return nil
}

// orderSwap names the part to fit.
func (a *Advice) orderSwap(o *workOrder, before, _ *align.Stack) error {
	for _, k := range before.Candidates {
		if k.Place == o.Correction.Place {
			o.Candidate = k.Parts[o.Correction.Part].Name
		}
	}
	return nil
}

// orderAtJoint spells out what is done at a joint.
func (a *Advice) orderAtJoint(o *workOrder, before, after *align.Stack) error {
	c, k := o.Correction, jointNamed(before, o.Correction.Place)
	for _, p := range after.Joints[k].Pins {
		o.Pins = append(o.Pins, p.Dowel)
	}
	if before.Joints[k].Gasket != nil {
		o.Gasket = side(c.Replace, "in place of", "beside")
	}
	switch c.Kind {
	case TaperShim:
		o.marksOfShim(c, &before.Joints[k])
	case Redowel:
		t, err := before.Travel(c.Place)
		if err != nil {
			return err
		}
		o.Holds = []hold{holdOf(t, before, k, *after.Joints[k].Float)}
	}
	return nil
}

// orderBore says how large the bore is, and how large it becomes for its sleeve.
func (a *Advice) orderBore(o *workOrder, before, _ *align.Stack) error {
	for _, b := range before.Parts[partNamed(before, o.Part)].Bores {
		if b.Name == o.Face {
			o.Bore = b.Diameter
		}
	}
	if c := o.Correction; c.Kind == Sleeve && o.Bore.Given {
		o.Opened = tolerance.Given(o.Bore.Value + 2*c.By + 2*c.Across)
	}
	return nil
}

// orderReclock names the dowels to be drilled for anew, and the tapered gaskets on both sides: the one behind lies on the part and turns with it.
func (a *Advice) orderReclock(o *workOrder, before, _ *align.Stack) error {
	i := partNamed(before, o.Part)
	for n, k := range []int{i - 1, i} {
		if k < 0 || k == len(before.Joints) {
			continue
		}
		j := &before.Joints[k]
		if g := j.Gasket; g != nil && g.Slope != (align.Slope{}) {
			o.Tapered[n] = before.Parts[k].Name
		}
		for _, p := range j.Pins {
			if o.Correction.Redrill {
				o.Pins = append(o.Pins, p.Dowel)
			}
		}
	}
	return nil
}

// orderPush says where every joint that can move is held.
func (a *Advice) orderPush(o *workOrder, before, _ *align.Stack) error {
	for _, f := range o.Correction.Floats {
		t, err := before.Travel(f.Joint)
		if err != nil {
			return err
		}
		o.Holds = append(o.Holds, holdOf(t, before, jointNamed(before, f.Joint), f.Float))
	}
	return nil
}

// orderCut lists what comes off at each station, and how thick the part is to be there; and how the part is set up.
func (a *Advice) orderCut(o *workOrder, before, _ *align.Stack) error {
	c := o.Correction
	o.Datum = side(o.Face == "rear", "front", "rear")
	if w := a.Shop.work(c, func(w *Work) bool { return w.Least.Given }); w != nil {
		o.Least = w.Least
	}
	p, rear, err := c.face(before)
	if err != nil {
		return err
	}
	old, err := thicknessOf(p)
	if err != nil {
		return err
	}
	across := c.Across
	if across == 0 {
		across = ringOf(p, rear)
	}
	cut := c.depth()
	if across > 0 { // the strip is under the side that is thin when the cut is done
		v := align.Vec2{X: across * tolerance.Length(cut.s.X-old.s.X), Y: across * tolerance.Length(cut.s.Y-old.s.Y)}
		o.Strip = &strip{Thickness: v.Size(), Clock: v.Clock(), From: across}
		if c.Kind == Skim { // a start: the dial says when the face is level
			o.Strip.Thickness = a.strips(o.Strip.Thickness)[0]
		}
	}
	o.Circle = across
	add := func(at tolerance.Angle, before tolerance.Length) {
		amount := cut.ring(at, o.Circle/2)
		finish := before - amount
		o.Marks = append(o.Marks, mark{Clock: at, Radius: o.Circle / 2, Amount: amount, Before: before, Finish: finish, Thinner: max(finish-o.Within, o.Least.Or(-1)), Thicker: finish + o.Within})
	}
	if t := p.Rear.Thickness; t != nil {
		o.Circle = 2 * t.Radius
		for k := range t.Values {
			if len(t.Values[k]) > 0 {
				add(marked(&t.Readings, k).Normalized(), mean(t.Values[k]))
			}
		}
		return nil
	}
	for k := range usualMarks {
		at := tolerance.Angle(2 * math.Pi * float64(k) / usualMarks)
		add(at, old.ring(at, across/2))
	}
	return nil
}

// marksOfShim lists the thickness of a tapered shim at the bolts, or at equal steps round its ring, by the front part's own marks.
func (o *workOrder) marksOfShim(c Correction, j *align.Joint) {
	at := j.Bolts
	if len(at) < 3 {
		at, o.Circle = nil, c.Across
		for k := range usualMarks {
			at = append(at, towards(c.Across/2, tolerance.Angle(2*math.Pi*float64(k)/usualMarks)))
		}
	}
	for _, v := range at {
		thick, own := c.depth().at(v.X, v.Y), v.Clock()
		if o.Turned {
			own = (-own).Normalized()
		}
		o.Marks = append(o.Marks, mark{Clock: own, Radius: v.Size(), Amount: thick, Finish: thick, Thinner: thick - o.Within, Thicker: thick + o.Within})
	}
}
