package stackup

import (
	"fmt"
	"math"

	"example.com/borestack/stackup/law"
)

// Change is what of an input is to change.
type Change int

// The changes of a law.
const (
	ChangeSpread Change = iota + 1 // deviations from the mean, times the value: 1 as it is
	ChangeShift                    // the law moved by the value: 0 as it is; a plane law along Angle; not of a joint law
	ChangeLimits                   // the law cut to the value either side of its mean; not of a plane or joint law
)

// Question asks how far one input may go.
type Question struct {
	Input    string
	Change   Change
	From, To float64 // from a value at which the target is held, to the farthest that is of interest; To may be the lesser
	Angle    float64 // of the shift of a plane law, radians from x towards y
	Wanted   int     // the number whose limits are to be held
	Share    float64 // of the samples that must hold them; 1: every deviation within the inputs' limits must, as the worst case does
}

// checkQuestion finds the input.
func (s *Study) checkQuestion(ask *Question) (int, error) {
	if ask.Wanted < 0 || ask.Wanted >= len(s.Wanted) {
		return 0, &InputError{"question", fmt.Sprintf("wanted number %d", ask.Wanted), fmt.Sprintf("one of %d", len(s.Wanted))}
	}
	w := &s.Wanted[ask.Wanted]
	if !w.Limited() && w.Unless == 0 {
		return 0, &InputError{w.Name, "no limits", "limits to hold"}
	}
	if !(ask.Share > 0 && ask.Share <= 1) {
		return 0, &InputError{w.Name, "share " + numberOf(ask.Share), "more than 0, at most 1"}
	}
	for i := range s.Inputs {
		in := &s.Inputs[i]
		if in.Name != ask.Input {
			continue
		}
		switch {
		case in.Plane != nil && ask.Change == ChangeLimits:
			return 0, &InputError{in.Name, "limits of a plane law", "its spread or shift"}
		case in.Joint != nil && ask.Change != ChangeSpread:
			return 0, &InputError{in.Name, "limits or shift of a joint law", "its spread"}
		}
		for _, t := range []float64{ask.From, ask.To} {
			if _, err := in.changed(ask.Change, t, ask.Angle); err != nil {
				return 0, err
			}
		}
		if ask.From == ask.To {
			return 0, &InputError{in.Name, fmt.Sprintf("a range from %g to %g", ask.From, ask.To), "two values"}
		}
		return i, nil
	}
	return 0, &InputError{ask.Input, "not an input", "one of the study's"}
}

// changed is the input with its law changed.
func (in *Input) changed(c Change, t, angle float64) (Input, error) {
	out := Input{Name: in.Name}
	var err error
	switch {
	case c == ChangeSpread && in.Joint != nil:
		out.Joint, err = ScaledJoint(in.Joint, t)
	case c == ChangeSpread && in.Plane != nil:
		out.Plane, err = ScaledPlane(in.Plane, t)
	case c == ChangeSpread:
		out.Law, err = Scaled(in.Law, t)
	case c == ChangeShift && in.Plane != nil:
		sin, cos := math.Sincos(angle)
		out.Plane, err = ShiftedPlane(in.Plane, t*cos, t*sin)
	case c == ChangeShift:
		out.Law, err = Shifted(in.Law, t)
	case c == ChangeLimits:
		if !(t > 0) {
			return out, &InputError{in.Name, "limits " + numberOf(t), "more than 0"}
		}
		middle := in.Law.Moments().Mean
		if middle-middle != 0 {
			middle = in.Law.Quantile(0.5)
		}
		var cut *law.Truncated
		if cut, err = law.Truncate(in.Law, middle-t, middle+t); err == nil {
			out.Law = byRank{cut}
		}
	default:
		return out, &InputError{in.Name, fmt.Sprintf("change %d", c), "spread, shift or limits"}
	}
	return out, err
}

// byRank is a law drawn by its quantiles, so that laws of one family have draws of the same rank.
type byRank struct{ law.Law }

// Draw fills dst with the next values of a stream.
func (l byRank) Draw(dst []float64, s *law.Stream) {
	s.Normals(dst)
	law.FromNormals(l.Law, dst, dst)
}
