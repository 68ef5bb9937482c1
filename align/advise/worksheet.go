package advise

import (
	"context"
	"fmt"
	"math"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/borestack/align"
	"example.com/borestack/tolerance"
)

// WorkSheet is what goes to the bench for one option: every order with its frame, its zero and its marks, and the reading to expect. Its amounts are those that the tools in hand can do, and what it promises is worked out from them. Lengths are in mm. The zero value is an empty sheet.
type WorkSheet struct {
	Title      string
	Orders     []WorkOrder
	Dial       *Dial // nil: the correction moves no bore that can be dialled
	Effects    []Effect
	Before     tolerance.Decision
	After      tolerance.Decision
	Margin     [2]tolerance.Optional[tolerance.Length] // at the worst float, before, and after with the amounts as printed
	Cost       tolerance.Length                        // of margin: what strips and dials as they are cost; negative where they gain
	Graduation tolerance.Length                        // of the dials
	Keep       []string                                // what the shop said must not be touched
}

// WorkOrder is one correction, spelt out for whoever carries it out: the file sheetgrammar.go says in what words.
type WorkOrder struct {
	Correction Correction
	Part       string // that is cut, marked or mounted; of joints the part in front
	Behind     string // of joints: the part behind
	Face       string // that is cut: "front" or "rear" as measured
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
	Marks     []Mark
	Circle    tolerance.Length                     // diameter that the marks are on; 0: each has its own radius
	Strip     *Strip                               // under the datum while the face is cut; nil: none can be said
	Gasket    Gasket                               // Shim, TaperShim: what is between the parts now
	Least     tolerance.Optional[tolerance.Length] // the part must nowhere be thinner
	Within    tolerance.Length                     // finish is held within ± this
	Candidate string                               // Swap: the part to fit
	Pins      []string                             // dowels concerned
	Bore      tolerance.Optional[tolerance.Length] // diameter of the bore that is moved
	Opened    tolerance.Optional[tolerance.Length] // Sleeve: diameter to bore to, so that the old bore cleans up and the sleeve keeps its wall
	Holds     []Hold                               // Push, Redowel: where parts are held on the dials
	Tapered   [2]string                            // Reclock: parts in front whose tapered gasket is in front of the part, and behind it
}

// Strip is what tilts a part under the cutter: a strip of that thickness under the datum face, From the edge opposite on which the part rests. A level cut makes the finished wedge Thickness across From, thin over the strip.
type Strip struct {
	Thickness tolerance.Length // 0: none; the part lies flat
	Clock     tolerance.Angle  // by the part's own marks
	From      tolerance.Length
}

// Gasket is what is in a joint before a shim is fitted.
type Gasket uint8

// What is in a joint, and what becomes of it.
const (
	NoGasket Gasket = iota
	GasketStays
	GasketReplaced
)

// Mark is one marked station on a part.
type Mark struct {
	Clock   tolerance.Angle  // seen from the tail end of the part as measured
	Radius  tolerance.Length // from the part's centre
	Amount  tolerance.Length // to take off, or thickness of the shim
	Before  tolerance.Length // thickness before; 0 for shims
	Finish  tolerance.Length // thickness to finish at
	Thinner tolerance.Length // limits of the finished thickness
	Thicker tolerance.Length
}

// FromNose is the mark's clock position seen from the nose end.
func (m Mark) FromNose() tolerance.Angle { return (-m.Clock).Normalized() }

// usualMarks is how many stations a part without readings is marked with.
const usualMarks = 8

// Sheet makes the work sheet of an option, with the amounts that the shop's tools can do. When ctx ends the error wraps its cause.
func (a *Advice) Sheet(ctx context.Context, o *Option) (*WorkSheet, error) {
	printed, err := a.asPrinted(ctx, o)
	if err != nil {
		return nil, err
	}
	w := &WorkSheet{Title: a.Box.Stack.Title, Effects: printed.Effects, Before: a.Before.Word, After: printed.After.Word, Graduation: a.Shop.Graduation, Keep: a.Shop.Keep}
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
		w.Orders = append(w.Orders, order)
		s = after
	}
	w.Dial, err = a.Expect(printed)
	return w, err
}

// order spells out one correction on the stack before it and after it.
func (a *Advice) order(c Correction, before, after *align.Stack) (WorkOrder, error) {
	w := WorkOrder{Correction: c, Within: a.Shop.Within, Clock: c.Clock, InBox: c.Clock}
	if w.Within == 0 {
		w.Within = a.Shop.Step
	}
	place, feature, _ := strings.Cut(c.Place, "/")
	w.Part = place
	for k := range before.Joints {
		if before.JointName(k) == c.Place && c.Kind >= Shim && c.Kind != Push {
			w.Part, w.Behind = before.Parts[k].Name, before.Parts[k+1].Name
		}
	}
	if err := w.setFrame(before); err != nil {
		return w, err
	}
	w.Face = side(c.Kind == Skim || c.Kind == SkimWedge, feature, "")
	w.Zero = w.zero()
	switch c.Kind {
	case Skim, SkimWedge:
		w.Datum = side(feature == "rear", "front", "rear")
		for _, k := range a.Shop.Skims {
			if k.Face == c.Place {
				w.Least = k.Least
			}
		}
		err := w.marksOfCut(c, before)
		if w.Strip != nil && c.Kind == Skim { // a start: the dial says when the face is level
			w.Strip.Thickness = a.strips(w.Strip.Thickness)[0]
		}
		return w, err
	case Shim, TaperShim, OffsetDowels, Redowel:
		return w, w.atJoint(c, before, after)
	case Sleeve, Bush:
		w.boreOf(c, before, feature)
	case Swap:
		for _, k := range before.Candidates {
			if k.Place == c.Place {
				w.Candidate = k.Parts[c.Part].Name
			}
		}
	case Reclock:
		w.aboutReclock(before, c)
	case Push:
		w.Part = ""
		return w, w.holds(c, before)
	}
	return w, nil
}

// setFrame says in which frame the order is, where its direction points in the box, and which parts are end for end.
func (w *WorkOrder) setFrame(s *align.Stack) error {
	c := w.Correction
	switch c.Kind {
	case Skim, SkimWedge, Sleeve, Bush, TaperShim:
		w.Bench = true
	}
	at := -1
	for i := range s.Parts {
		p := &s.Parts[i]
		if p.Name == w.Part {
			at, w.Turned = i, p.Turned
		}
		if p.Turned && (p.Name == w.Part || p.Name == w.Behind || c.Kind == Push) {
			w.EndForEnd = append(w.EndForEnd, p.Name)
		}
	}
	if at < 0 {
		return nil
	}
	bare := atRest(*s) // where the parts are does not ask for shafts
	bare.Shafts, bare.Pockets, bare.References, bare.Meshes, bare.Chains, bare.Candidates, bare.States = nil, nil, nil, nil, nil, nil, nil
	solved, err := bare.Solve()
	if err != nil {
		return err
	}
	inBox := func(mounted tolerance.Angle) tolerance.Angle {
		sn, cs := math.Sincos(float64(mounted))
		d := solved.Placed[at].BaseFromPart.Rotate(r3.Vec{X: sn, Y: cs})
		return tolerance.Clock(d.X, d.Y)
	}
	w.Stands = inBox(0)
	mounted := c.Clock // of shims and dowels: the front part as mounted
	own := mounted
	if w.Turned { // its own marks are mirrored as it is mounted
		switch own = -mounted; c.Kind {
		case Skim, SkimWedge, Sleeve, Bush:
			own, mounted = mounted, own
		}
	}
	w.InBox = inBox(mounted)
	w.Clock = w.InBox
	if w.Bench {
		w.Clock = own.Normalized()
	}
	return nil
}

// atJoint spells out what is done at a joint.
func (w *WorkOrder) atJoint(c Correction, before, after *align.Stack) error {
	return c.onJoint(before, func(k int) error {
		for _, p := range after.Joints[k].Pins {
			w.Pins = append(w.Pins, p.Dowel)
		}
		if before.Joints[k].Gasket != nil {
			w.Gasket = GasketStays
			if c.Replace {
				w.Gasket = GasketReplaced
			}
		}
		switch c.Kind {
		case TaperShim:
			w.marksOfShim(c, &before.Joints[k])
		case Redowel:
			t, err := before.Travel(c.Place)
			if err != nil {
				return err
			}
			w.Holds = []Hold{holdOf(t, before, k, *after.Joints[k].Float)}
		}
		return nil
	})
}

// boreOf says how large the bore is, and how large it becomes for its sleeve.
func (w *WorkOrder) boreOf(c Correction, s *align.Stack, name string) {
	for i := range s.Parts {
		for _, b := range s.Parts[i].Bores {
			if s.Parts[i].Name == w.Part && b.Name == name {
				w.Bore = b.Diameter
			}
		}
	}
	if c.Kind == Sleeve && w.Bore.Given {
		w.Opened = tolerance.Given(w.Bore.Value + 2*c.By + 2*c.Across)
	}
}

// aboutReclock names the dowels to be drilled for anew, and the tapered gaskets on both sides: the one behind lies on the part and turns with it.
func (w *WorkOrder) aboutReclock(s *align.Stack, c Correction) {
	for k := range s.Joints {
		front, behind := s.Parts[k+1].Name == w.Part, s.Parts[k].Name == w.Part
		if !front && !behind {
			continue
		}
		if g := s.Joints[k].Gasket; g != nil && g.Slope != (align.Slope{}) {
			w.Tapered[map[bool]int{true: 0, false: 1}[front]] = s.Parts[k].Name
		}
		for _, p := range s.Joints[k].Pins {
			if c.Redrill {
				w.Pins = append(w.Pins, p.Dowel)
			}
		}
	}
}

// holds says where every joint that can move is held.
func (w *WorkOrder) holds(c Correction, s *align.Stack) error {
	for _, f := range c.Floats {
		t, err := s.Travel(f.Joint)
		if err != nil {
			return err
		}
		w.Holds = append(w.Holds, holdOf(t, s, jointNamed(s, f.Joint), f.Float))
	}
	return nil
}

// marksOfCut lists what comes off at each station, and how thick the part is to be there; and how the part is set up.
func (w *WorkOrder) marksOfCut(c Correction, before *align.Stack) error {
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
		w.Strip = &Strip{Thickness: v.Size(), Clock: v.Clock(), From: across}
	}
	if t := p.Rear.Thickness; t != nil {
		w.Circle = 2 * t.Radius
		for k := range t.Values {
			if len(t.Values[k]) == 0 {
				continue
			}
			at := marked(&t.Readings, k).Normalized()
			w.add(at, t.Radius, cut.ring(at, t.Radius), mean(t.Values[k]))
		}
		return nil
	}
	w.Circle = across
	for k := range usualMarks {
		at := tolerance.Angle(2 * math.Pi * float64(k) / usualMarks)
		w.add(at, across/2, cut.ring(at, across/2), old.ring(at, across/2))
	}
	return nil
}

func (w *WorkOrder) add(at tolerance.Angle, radius, amount, before tolerance.Length) {
	finish := before - amount
	w.Marks = append(w.Marks, Mark{Clock: at, Radius: radius, Amount: amount, Before: before, Finish: finish, Thinner: max(finish-w.Within, w.Least.Or(-1)), Thicker: finish + w.Within})
}

func mean(v []tolerance.Length) tolerance.Length {
	var sum tolerance.Length
	for _, x := range v {
		sum += x
	}
	return sum / tolerance.Length(len(v))
}

// marksOfShim lists the thickness of a tapered shim at the bolts, or at equal steps round its ring, by the front part's own marks.
func (w *WorkOrder) marksOfShim(c Correction, j *align.Joint) {
	thick := c.depth()
	add := func(v align.Vec2) {
		t := thick.at(v.X, v.Y)
		at := v.Clock()
		if w.Turned {
			at = (-at).Normalized()
		}
		w.Marks = append(w.Marks, Mark{Clock: at, Radius: v.Size(), Amount: t, Finish: t, Thinner: t - w.Within, Thicker: t + w.Within})
	}
	if len(j.Bolts) >= 3 {
		for _, b := range j.Bolts {
			add(b)
		}
		return
	}
	w.Circle = c.Across
	for k := range usualMarks {
		add(towards(c.Across/2, tolerance.Angle(2*math.Pi*float64(k)/usualMarks)))
	}
}

// String names the order: "skim by a wedge of plate/rear".
func (w *WorkOrder) String() string { return fmt.Sprint(describe([]Correction{w.Correction})) }
