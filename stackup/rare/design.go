package rare

import (
	"context"
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"

	"example.com/borestack/stackup"
)

// Side is which limit of a response.
type Side int

// The limits that a sample may break.
const (
	SideGreatest Side = iota + 1
	SideLeast
	SideUnless // what must hold besides
)

// DesignPoint is a set of deviations at which a limit is just reached and which, among its neighbours, is the likeliest: the nearest to the medians, in standard normal numbers. By symmetry it may be a saddle between likelier ones, which are listed before it.
type DesignPoint struct {
	Side        Side
	Beta        float64   // its distance, the reliability index; negative when the medians fail
	Probability float64   // Φ(−Beta): the chance of failing there to first order
	X           []float64 // the deviations, column by column
	Shares      []float64 // by input: of the squared distance, adding up to 1; what each input is to failing there
	z           []float64
	out         []float64 // the way across the limit there, of length 1
	steep       float64   // how fast the limit comes nearer that way; 0: not known
	settled     bool      // not only the last of too many steps
	speck       bool      // what fails beyond it is no deeper than some hundredths of a standard deviation
}

// Bounds of the search.
const (
	startsMost   = 256  // exploring samples that fail from which searches may start, for each limit
	climbsKnown  = 6    // searches in a row that find nothing new, after which there is no other
	pointsMost   = 64   // design points kept
	pointApart   = 0.8  // design points nearer than this are one
	pointBeyond  = 2.0  // design points this much farther than the nearest do not matter,
	pointShare   = 1e-3 // but for those of this share of its chance, which near the medians are farther
	farthest     = 12.0 // no design point is looked for beyond
	newtonSteps  = 40
	newtonEnd    = 1e-3 // standard deviations from the limit
	newtonStill  = 0.01 // standard deviations that a last step may have
	nudge        = 0.1  // standard deviations
	normalStep   = 0.01 // of a difference, in standard deviations
	lineSearches = 6
	beyondSteps  = 30 // halvings of a standard deviation, to a billionth, at which a limit may be broken beyond a point of it
	speckSteps   = 5  // of them, at none of which it is broken beyond a speck
)

// pathfinder looks for design points of one response.
type pathfinder struct {
	*stackup.Sampler
	study       *stackup.Study
	q           *stackup.Response
	points      []DesignPoint
	full        bool // there was no place for one that matters
	evaluations int
}

// newPathfinder looks for the failures of a response. Inputs that cannot be searched stay at their means.
func newPathfinder(ctx context.Context, s *stackup.Study, q *stackup.Response) *pathfinder {
	w := &pathfinder{Sampler: stackup.NewNormalSampler(ctx, s), study: s, q: q}
	w.AtMeans()
	return w
}

// sides lists the limits there are.
func sides(q *stackup.Response) (out []Side) {
	if q.Limits.Greatest.Given {
		out = append(out, SideGreatest)
	}
	if q.Limits.Least.Given {
		out = append(out, SideLeast)
	}
	if q.Unless > 0 {
		out = append(out, SideUnless)
	}
	return out
}

// within is how far sample i is within a limit; negative beyond it.
func within(q *stackup.Response, side Side, y [][]float64, i int) float64 {
	switch side {
	case SideGreatest:
		return q.Limits.Greatest.Value - y[q.Output][i]
	case SideLeast:
		return y[q.Output][i] - q.Limits.Least.Value
	}
	return y[q.Unless-1][i] - 1
}

// evaluate works out the first n rows of Z.
func (w *pathfinder) evaluate(n int) error {
	w.Fill(n)
	w.evaluations += n
	return w.Rows("design point", n)
}

// put sets row i of z.
func (w *pathfinder) put(i int, z []float64) {
	for c, v := range z {
		w.Z[c][i] = v
	}
}

// climbAll searches from the first start, then from others that the points known so far do not explain, until several in a row find nothing new.
func (w *pathfinder) climbAll(side Side, starts [][]float64) error {
	for at, known := 0, 0; known < climbsKnown; {
		p, ok, err := w.climb(side, starts[at])
		if err != nil {
			return err
		}
		if known++; ok && w.keep(p) {
			known = 0
		}
		if starts = slices.Delete(starts, at, at+1); len(starts) == 0 {
			return nil
		}
		at = newMixture(w.points).strange(starts)
	}
	return nil
}

// normals fills Z with the next normal numbers, spread wider.
func (w *pathfinder) normals(spread float64) {
	for i := range w.study.Inputs {
		from, to := w.Numbers(i)
		for c := from; c < to; c++ {
			w.Stream(i).Normals(w.Z[c])
			for k := range w.Z[c] {
				w.Z[c][k] *= spread
			}
		}
	}
}

func (w *pathfinder) row(i int) []float64 {
	out := make([]float64, len(w.Z))
	for c := range out {
		out[c] = w.Z[c][i]
	}
	return out
}

// keep adds a point that is not yet known.
func (w *pathfinder) keep(p DesignPoint) bool {
	for i := range w.points {
		if w.points[i].Side == p.Side && floats.Distance(w.points[i].z, p.z, 2) < pointApart {
			if better := math.Abs(p.Beta) < math.Abs(w.points[i].Beta)-newtonEnd; p.settled && (better || !w.points[i].settled) {
				w.points[i] = p
			}
			return false
		}
	}
	if len(w.points) >= pointsMost {
		w.full = w.full || w.leftOut(&p)
		return false
	}
	w.points = append(w.points, p)
	return true
}

// leftOut reports whether a point that there is no place for is a way of its own: likely enough to matter, and not
// about as likely to be drawn as those that are kept.
func (w *pathfinder) leftOut(p *DesignPoint) bool {
	m := newMixture(w.points)
	return p.Probability >= pointShare*math.Erfc(w.nearest()[p.Side]/math.Sqrt2)/2 && m.weightOf(p.z) > betweenLeast*m.weightOf(m.z[0])
}

// prune drops points that are so far that they do not matter beside others of the same limit. One limit's
// points say nothing of another's: failures may fill half the space beyond one and a speck beyond another.
func (w *pathfinder) prune() {
	nearest := w.nearest()
	kept := w.points[:0]
	for _, p := range w.points {
		if p.Beta <= nearest[p.Side]+pointBeyond || p.Probability >= pointShare*math.Erfc(nearest[p.Side]/math.Sqrt2)/2 {
			kept = append(kept, p)
		}
	}
	w.points = kept
}

// nearest is the least index of every limit's points; infinite for one without.
func (w *pathfinder) nearest() (out [SideUnless + 1]float64) {
	for side := range out {
		out[side] = math.Inf(1)
	}
	for i := range w.points {
		p := &w.points[i]
		out[p.Side] = math.Min(out[p.Side], p.Beta)
	}
	return out
}
