package study

import (
	"cmp"
	"math"
	"slices"

	"example.com/borestack/align"
	"example.com/borestack/tolerance"
)

// Standing is what boxes are ranked by, everywhere: in tables, in sentences, in JSON and in advice.
// The zero value is a box without a limit and without a number.
type Standing struct {
	Word tolerance.Decision
	// Left is what is left at the worst float, more is better: the margin in mm; without shafts the
	// slack of the limit that boxes are compared by, in its base unit. Absent: it cannot be said, and
	// ranks last.
	Left tolerance.Optional[float64]
}

// Compare is negative where s is the better, positive where o is, and 0 where they are alike, so
// that a stable sort leaves them in the record's order. It is a total order: first the verdict by
// its rank, then what is left.
func (s Standing) Compare(o Standing) int {
	return cmp.Or(cmp.Compare(s.Word.Rank(), o.Word.Rank()), cmp.Compare(o.left(), s.left()))
}

// ByVerdict reports whether the verdicts alone say which of the two is the better.
func (s Standing) ByVerdict(o Standing) bool { return s.Word.Rank() != o.Word.Rank() }

func (s Standing) left() float64 {
	if !s.Left.Given || math.IsNaN(s.Left.Value) {
		return math.Inf(-1)
	}
	return s.Left.Value
}

// Compared is the limit that boxes without shafts are compared by: the first on a number as
// measured, which whether the box assembles is not; -1: none.
func Compared(verdicts []Verdict) int {
	return slices.IndexFunc(verdicts, func(v Verdict) bool {
		l := &v.Limit
		return l.State == "" && l.Output.What != align.Assembles && (l.Least.Given || l.Greatest.Given)
	})
}

// Ranked are the parts for a place, best first: the one measured in place, which has no name, and
// the candidates; those that stand alike in the record's order.
func (r *Result) Ranked(place string) []CandidateResult {
	out := []CandidateResult{{Place: place, Assembly: r.Assembly, Verdicts: r.Verdicts, Word: r.Word, Doubts: r.Doubts}}
	for _, c := range r.Candidates {
		if c.Place == place {
			out = append(out, c)
		}
	}
	slices.SortStableFunc(out, func(a, b CandidateResult) int { return a.Standing().Compare(b.Standing()) })
	return out
}

// Standing is how the box with this candidate stands.
func (c *CandidateResult) Standing() Standing {
	s := Standing{Word: c.Word}
	switch {
	case c.Assembly == nil || c.Assembly.Line == nil:
		if i := Compared(c.Verdicts); i >= 0 {
			s.Left = c.Verdicts[i].Room
		}
	case c.Assembly.Line.OverFloat != nil:
		s.Left = tolerance.Given(float64(c.Assembly.Line.OverFloat.WorstMargin))
	default:
		s.Left = tolerance.Given(float64(c.Assembly.Line.Margin))
	}
	return s
}
