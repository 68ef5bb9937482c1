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

// String names what changes.
func (c Change) String() string {
	switch c {
	case ChangeSpread:
		return "spread"
	case ChangeShift:
		return "shift"
	case ChangeLimits:
		return "limits"
	}
	return fmt.Sprintf("change %d", int(c))
}

// Question asks how far one input may go, or several together.
type Question struct {
	Input    string
	Change   Change
	From, To float64 // from a value at which the target is held, to the farthest that is of interest; To may be the lesser
	Angle    float64 // of the shift of a plane law, radians from x towards y
	With     []Along // what else changes with it
	Wanted   int     // the number whose limits are to be held
	Share    float64 // of the samples that must hold them; 1: every deviation within the inputs' limits must, as the worst case does
}

// Along is an input that changes as another does: where that has the value t, this has its own, which is away from
// what it is now (a spread of 1, a shift or a limit of 0) Weight times as far. With a weight of 1 everywhere several
// spreads grow by one factor.
type Along struct {
	Input  string
	Change Change
	Angle  float64
	Weight float64
}

// value is that of the input where the leading one has the value t.
func (a *Along) value(t float64) float64 {
	rest := 0.0
	if a.Change == ChangeSpread {
		rest = 1
	}
	return rest + a.Weight*(t-rest)
}

// parts are all inputs that a question changes, with a weight of 1 for the first.
func (ask *Question) parts() []Along {
	return append([]Along{{ask.Input, ask.Change, ask.Angle, 1}}, ask.With...)
}

// checkQuestion finds what is wrong with a question.
func (s *Study) checkQuestion(ask *Question) error {
	if ask.Wanted < 0 || ask.Wanted >= len(s.Wanted) {
		return &InputError{"question", fmt.Sprintf("wanted number %d", ask.Wanted), fmt.Sprintf("one of %d", len(s.Wanted))}
	}
	w := &s.Wanted[ask.Wanted]
	if !w.Limited() && w.Unless == 0 {
		return &InputError{w.Name, "no limits", "limits to hold"}
	}
	if !(ask.Share > 0 && ask.Share <= 1) {
		return &InputError{w.Name, "share " + numberOf(ask.Share), "more than 0, at most 1"}
	}
	if ask.From == ask.To {
		return &InputError{ask.Input, fmt.Sprintf("a range from %g to %g", ask.From, ask.To), "two values"}
	}
	seen := map[string]bool{}
	for _, p := range ask.parts() {
		if seen[p.Input] {
			return &InputError{p.Input, "changed twice", "each input once"}
		}
		seen[p.Input] = true
		for _, t := range []float64{ask.From, ask.To} {
			v := p.value(t)
			if p.Change != ask.Change && (p.Change == ChangeSpread || ask.Change == ChangeSpread) {
				return &InputError{p.Input, fmt.Sprintf("%s along with %s", p.Change, ask.Change), "a spread along with spreads, or none"}
			}
			if _, err := s.change(p.Input, p.Change, v, p.Angle); err != nil {
				return err
			}
		}
	}
	return nil
}

// changedInput is an input with its law changed, and its place.
type changedInput struct {
	Input
	at int
}

// change is an input, by its name, with its law changed.
func (s *Study) change(name string, c Change, t, angle float64) (changedInput, error) {
	for i := range s.Inputs {
		in := &s.Inputs[i]
		if in.Name != name {
			continue
		}
		switch {
		case in.Plane != nil && c == ChangeLimits:
			return changedInput{}, &InputError{in.Name, "limits of a plane law", "its spread or shift"}
		case in.Joint != nil && c != ChangeSpread:
			return changedInput{}, &InputError{in.Name, "limits or shift of a joint law", "its spread"}
		}
		out, err := in.changed(c, t, angle)
		return changedInput{out, i}, err
	}
	return changedInput{}, &InputError{name, "not an input", "one of the study's"}
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
		return out, &InputError{in.Name, fmt.Sprintf("change %d", int(c)), "spread, shift or limits"}
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
