package advise

import (
	"cmp"
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

	// Bench: clocks are by the part's own marks as measured, seen from its tail end. Otherwise they are seen from
	// the tail, as the box stands.
	Bench  bool
	Zero   string          // from where the amounts count, in words
	Clock  tolerance.Angle // the direction of the order in that frame
	InBox  tolerance.Angle // the same direction in the box
	Stands tolerance.Angle // where the part's own 12 o'clock mark stands in the box

	Marks  []mark
	Circle tolerance.Length                     // diameter that the marks are on; 0: each has its own radius
	Strip  *strip                               // under the datum while the face is cut; nil: none can be said
	Least  tolerance.Optional[tolerance.Length] // the part must nowhere be thinner
	Within tolerance.Length                     // finish is held within ± this
	Holds  []hold                               // Push, Redowel: where parts are held on the dials

	before *align.Stack // that it is carried out on
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
		before := s
		if s, err = c.Apply(before); err != nil {
			return nil, err
		}
		order, err := a.order(c, &before, &s)
		if err != nil {
			return nil, err
		}
		w.orders = append(w.orders, order)
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
	o := workOrder{Correction: c, Within: cmp.Or(a.Shop.Within, a.Shop.Step), Bench: t.bench, Clock: c.Clock, InBox: c.Clock, before: before}
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
	return o, t.detail(a, &o, after)
}

// setFrame says in which frame the order is, and where its direction points in the box; measured: its clock is that of the part as measured.
func (o *workOrder) setFrame(s *align.Stack, measured bool) error {
	c := o.Correction
	at := partNamed(s, o.Part)
	if at < 0 {
		return nil
	}
	turned := s.Parts[at].Turned
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
	case turned && measured:
		mounted = -mounted
	case turned:
		own = -own
	}
	o.InBox = inBox(mounted)
	o.Clock = o.InBox
	if o.Bench {
		o.Clock = own.Normalized()
	}
	return nil
}

// orderAtJoint spells out what is done at a joint, or at all that can move.
func (a *Advice) orderAtJoint(o *workOrder, after *align.Stack) error {
	c, k := o.Correction, jointNamed(after, o.Correction.Place)
	switch c.Kind {
	case Push:
		return o.hold(c.Floats...)
	case TaperShim:
		o.marksOfShim(c, &o.before.Joints[k], o.before.Parts[k].Turned)
	case Redowel:
		return o.hold(JointFloat{c.Place, *after.Joints[k].Float})
	}
	return nil
}

// hold says where joints are held, on the dials.
func (o *workOrder) hold(list ...JointFloat) error {
	for _, f := range list {
		t, err := o.before.Travel(f.Joint)
		if err != nil {
			return err
		}
		o.Holds = append(o.Holds, holdOf(t, o.before, jointNamed(o.before, f.Joint), f.Float))
	}
	return nil
}

// orderCut lists what comes off at each station, and how thick the part is to be there; and how the part is set up.
func (a *Advice) orderCut(o *workOrder, _ *align.Stack) error {
	c := o.Correction
	if w := a.Shop.work(c, func(w *Work) bool { return w.Least.Given }); w != nil {
		o.Least = w.Least
	}
	p, rear, err := c.face(o.before)
	if err != nil {
		return err
	}
	old, err := thicknessOf(p)
	if err != nil {
		return err
	}
	across, cut := c.across(p, rear), c.depth()
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
func (o *workOrder) marksOfShim(c Correction, j *align.Joint, turned bool) {
	at := j.Bolts
	if len(at) < 3 {
		at, o.Circle = nil, c.Across
		for k := range usualMarks {
			at = append(at, towards(c.Across/2, tolerance.Angle(2*math.Pi*float64(k)/usualMarks)))
		}
	}
	for _, v := range at {
		thick, own := c.depth().at(v.X, v.Y), v.Clock()
		if turned {
			own = (-own).Normalized()
		}
		o.Marks = append(o.Marks, mark{Clock: own, Radius: v.Size(), Amount: thick, Finish: thick, Thinner: thick - o.Within, Thicker: thick + o.Within})
	}
}
