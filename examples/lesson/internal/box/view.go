package box

import (
	"io"
	"math"

	"example.com/borestack/align"
	"example.com/borestack/align/draw"
	"example.com/borestack/tolerance"
)

// View is one box seen: what the library says of it.
type View struct {
	Knobs    Knobs
	Verdict  tolerance.Decision // whether straight shafts have room, however the plate lies: pass, depends or fail
	GoesOn   bool               // the plate goes on at all; where it does not, the verdict is fail
	Rest     tolerance.Length   // margin where the plate rests, radial
	Worst    tolerance.Length   // margin over its float
	Best     tolerance.Length
	Main     align.Vec2 // bore centres from the input shaft's line
	Tail     align.Vec2
	Gap      tolerance.Length // what a feeler finds between case and plate
	Shake    tolerance.Length // the greatest total movement of the plate in the case
	Stack    align.Stack
	Assembly *align.Assembly
	Width    tolerance.Length // of the library's pictures on paper; 0: their own. [Narrow] suits a telephone
}

// Narrow is the width of pictures that a telephone shows whole, its texts at full size.
const Narrow = 80 * tolerance.Millimetre

// See works out the box that the knobs make. It returns the first fault of the knobs, or what the library finds wrong.
func See(k Knobs) (*View, error) {
	if err := k.Validate(); err != nil {
		return nil, err
	}
	s := k.Stack()
	a, err := s.Solve()
	if err != nil {
		return nil, err
	}
	return newView(k, s, a), nil
}

// Glance is [See] without the use of clearance over the float, and without the push to the best: what a box in motion has no time to say. It takes about half as long.
func Glance(k Knobs) (*View, error) {
	if err := k.Validate(); err != nil {
		return nil, err
	}
	s := k.Stack()
	plan, err := s.Compile(nil, nil, []align.Output{{What: align.Margin}, {What: align.Margin, Best: true}})
	if err != nil {
		return nil, err
	}
	margins := [][]float64{{0}, {0}}
	if err := plan.NewEvaluator().Evaluate(margins, nil, 1); err != nil {
		return nil, err
	}
	s.Joints[1].Lies = align.LiesRest
	a, err := s.Solve()
	if err != nil {
		return nil, err
	}
	a.Line.OverFloat = &align.LineRange{WorstMargin: tolerance.Length(margins[0][0]), BestMargin: tolerance.Length(margins[1][0])}
	return newView(k, s, a), nil
}

func newView(k Knobs, s align.Stack, a *align.Assembly) *View {
	v := &View{Knobs: k, Stack: s, Assembly: a}
	v.Rest, v.Worst, v.Best = a.Line.Margin, a.Line.Margin, a.Line.Margin
	if o := a.Line.OverFloat; o != nil {
		v.Worst, v.Best = o.WorstMargin, o.BestMargin
	}
	for i := range a.Supports {
		switch a.Supports[i].Bore {
		case MainBearing:
			v.Main = a.Supports[i].Offset
		case TailBush:
			v.Tail = a.Supports[i].Offset
		}
	}
	j := v.plateJoint()
	v.Gap = j.Gap.Greatest
	v.GoesOn = j.Assembles
	v.Shake = max(j.ReachX[1]-j.ReachX[0], j.ReachY[1]-j.ReachY[0])
	switch {
	case !v.GoesOn:
		v.Verdict = tolerance.Fail
	case v.Worst >= 0:
		v.Verdict = tolerance.Pass
	case v.Best >= 0:
		v.Verdict = tolerance.Depends
	default:
		v.Verdict = tolerance.Fail
	}
	return v
}

// Headline is the verdict in the page's words.
func (v *View) Headline() string {
	switch {
	case !v.GoesOn:
		return "Does not go together"
	case v.Verdict == tolerance.Pass:
		return "Runs free"
	case v.Verdict == tolerance.Depends:
		return "Depends on the push"
	}
	return "No room"
}

func (v *View) plateJoint() *align.SeatedJoint { return &v.Assembly.Joints[1] }

// ShaftLine draws shaft line and room with the library's picture.
func (v *View) ShaftLine(w io.Writer, unit tolerance.Unit) error {
	return draw.ShaftLine(w, v.Assembly, draw.Options{ID: "line", Unit: unit, Width: v.Width})
}

// Seat draws the joint of case and plate with the library's picture.
func (v *View) Seat(w io.Writer, unit tolerance.Unit) error {
	return draw.Joint(w, v.Assembly, PlateJoint, draw.Options{ID: "seat", Unit: unit, Width: v.Width})
}

// size is the length of an offset.
func size(v align.Vec2) tolerance.Length {
	return tolerance.Length(math.Hypot(float64(v.X), float64(v.Y)))
}
