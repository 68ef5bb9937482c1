package advise

import (
	"fmt"
	"math"
	"strings"

	"example.com/borestack/align"
	"example.com/borestack/align/study"
	"example.com/borestack/tolerance"
)

// WorkSheet is what goes to the bench for one option: every order with its marks, and the reading to expect. Lengths are in mm. The zero value is an empty sheet.
type WorkSheet struct {
	Title   string
	Orders  []WorkOrder
	Dial    *Dial // nil: the correction moves no bore that can be dialled
	Effects []Effect
	Before  study.Word
	After   study.Word
	Margin  [2]tolerance.Optional[tolerance.Length] // at the worst float, before and after
	Keep    []string                                // what the shop said must not be touched
}

// WorkOrder is one correction, spelt out for whoever carries it out.
type WorkOrder struct {
	Correction Correction
	Part       string // that is cut, marked or mounted; of joints the part in front
	Behind     string // of joints: the part behind
	Face       string // that is cut: "front" or "rear" as measured
	Datum      string // that is down, and must not be cut
	Turned     bool   // the part is mounted end for end, or clocked: its marks are not where they are in the box
	Marks      []Mark
	Least      tolerance.Optional[tolerance.Length] // the part must nowhere be thinner
	Within     tolerance.Length                     // finish is held within ± this
	Candidate  string                               // Swap: the part to fit
	Pins       []string                             // dowels concerned
	Bore       tolerance.Optional[tolerance.Length] // diameter of the bore that is moved
	Opened     tolerance.Optional[tolerance.Length] // Sleeve: diameter to bore to, so that the old bore cleans up and the sleeve keeps its wall
}

// Mark is one marked station on a part.
type Mark struct {
	Clock   tolerance.Angle  // seen from the tail end of the part as measured
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

// Sheet makes the work sheet of an option.
func (a *Advice) Sheet(o *Option) (*WorkSheet, error) {
	w := &WorkSheet{Title: a.Box.Stack.Title, Effects: o.Effects, Before: a.Before.Word, After: o.After.Word, Keep: a.Shop.Keep}
	for i, j := range []*Judgement{a.Before, o.After} {
		if m, ok := j.WorstMargin(); ok {
			w.Margin[i] = tolerance.Given(m)
		}
	}
	s := a.Box.Stack
	for _, c := range o.Corrections {
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
	var err error
	w.Dial, err = a.Expect(o)
	return w, err
}

// order spells out one correction on the stack before it and after it.
func (a *Advice) order(c Correction, before, after *align.Stack) (WorkOrder, error) {
	w := WorkOrder{Correction: c, Within: a.Shop.Within}
	if w.Within == 0 {
		w.Within = a.Shop.Step
	}
	part, feature, _ := strings.Cut(c.Place, "/")
	switch c.Kind {
	case Skim, SkimWedge:
		w.Part, w.Face, w.Datum = part, feature, side(feature == "rear", "front", "rear")
		for _, k := range a.Shop.Skims {
			if k.Face == c.Place {
				w.Least = k.Least
			}
		}
		return w, w.marksOfCut(c, before, after)
	case Shim, TaperShim, OffsetDowels, Redowel:
		return w, c.onJoint(before, func(k int) error {
			w.Part, w.Behind = before.Parts[k].Name, before.Parts[k+1].Name
			for _, p := range after.Joints[k].Pins {
				w.Pins = append(w.Pins, p.Dowel)
			}
			if c.Kind == TaperShim {
				w.marksOfShim(c, &before.Joints[k])
			}
			return nil
		})
	case Sleeve, Bush:
		w.Part = part
		for i := range before.Parts {
			for _, b := range before.Parts[i].Bores {
				if before.Parts[i].Name == part && b.Name == feature {
					w.Bore = b.Diameter
				}
			}
		}
		if c.Kind == Sleeve && w.Bore.Given {
			w.Opened = tolerance.Given(w.Bore.Value + 2*c.By + 2*c.Across)
		}
	case Swap:
		w.Part = part
		for _, k := range before.Candidates {
			if k.Place == c.Place {
				w.Candidate = k.Parts[c.Part].Name
			}
		}
	default:
		w.Part = part
	}
	for i := range before.Parts {
		if before.Parts[i].Name == w.Part {
			w.Turned = before.Parts[i].Turned
		}
	}
	return w, nil
}

// marksOfCut lists what comes off at each station, and how thick the part is to be there.
func (w *WorkOrder) marksOfCut(c Correction, before, after *align.Stack) error {
	p, _, err := c.face(before)
	if err != nil {
		return err
	}
	q, _, err := c.face(after)
	if err != nil {
		return err
	}
	w.Turned = p.Turned
	old, err := thicknessOf(p)
	if err != nil {
		return err
	}
	radius := c.Across / 2
	cut := c.depth()
	if t := p.Rear.Thickness; t != nil {
		for k := range t.Values {
			if len(t.Values[k]) == 0 {
				continue
			}
			at := marked(&t.Readings, k).Normalized()
			w.add(at, cut.ring(at, t.Radius), mean(t.Values[k]), mean(q.Rear.Thickness.Values[k]))
		}
		return nil
	}
	if radius == 0 {
		radius = ringOf(p, c.Place == p.Name+"/rear") / 2
	}
	for k := range usualMarks {
		at := tolerance.Angle(2 * math.Pi * float64(k) / usualMarks)
		t := old.ring(at, radius)
		w.add(at, cut.ring(at, radius), t, t-cut.ring(at, radius))
	}
	return nil
}

func (w *WorkOrder) add(at tolerance.Angle, amount, before, finish tolerance.Length) {
	w.Marks = append(w.Marks, Mark{Clock: at, Amount: amount, Before: before, Finish: finish, Thinner: max(finish-w.Within, w.Least.Or(-1)), Thicker: finish + w.Within})
}

func mean(v []tolerance.Length) tolerance.Length {
	var sum tolerance.Length
	for _, x := range v {
		sum += x
	}
	return sum / tolerance.Length(len(v))
}

// marksOfShim lists the thickness of a tapered shim at the bolts, or at equal steps round its ring.
func (w *WorkOrder) marksOfShim(c Correction, j *align.Joint) {
	thick := c.depth()
	if len(j.Bolts) >= 3 {
		for _, b := range j.Bolts {
			t := thick.at(b.X, b.Y)
			w.Marks = append(w.Marks, Mark{Clock: clockOf(b), Amount: t, Finish: t, Thinner: t - w.Within, Thicker: t + w.Within})
		}
		return
	}
	for k := range usualMarks {
		at := tolerance.Angle(2 * math.Pi * float64(k) / usualMarks)
		t := thick.ring(at, c.Across/2)
		w.Marks = append(w.Marks, Mark{Clock: at, Amount: t, Finish: t, Thinner: t - w.Within, Thicker: t + w.Within})
	}
}

// String names the order: "skim by a wedge of plate/rear".
func (w *WorkOrder) String() string { return fmt.Sprint(describe([]Correction{w.Correction})) }
