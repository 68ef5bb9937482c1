package shaftline

import (
	"math"
	"slices"

	"example.com/borestack/align/internal/dense"
	"example.com/borestack/align/internal/tol"
	"example.com/borestack/fault"
)

// Of the search for a slack where no closed form gives it.
const (
	slackAims = 12   // directions tried at first
	slackFar  = 1e4  // share of the clearances beyond which a slack counts as unbounded
	slackSure = 1e-7 // rad: how well the rim's normal must meet the direction; the reach is then as good as the square of it

	slackMiss  = 2e-3 // share of the slack that a second least near the first may hide in an arc,
	slackFlat  = 1e-7 // and of the widest clearance: where every circle just touches, reaches are rounding
	slackTurns = 30   // from one such pair at most

	apart       = 1e-9 // share of the weights: a holder with less is not in the sum
	manyCircles = 24   // on one line: the slack is then less finely searched
)

// Slacks are the least distances, over directions, that each of the first holders alone may move
// before the utilisation of its shafts reaches 1, given the utilisation of all. A slack is infinite
// where any shaft lacks room already, or where the holder may move for ever.
//
// The moves that leave room are a convex set; the distance to its rim is the least of its reach
// over directions. The reach falls towards the side on which the rim's normal lies, so that a least
// lies between two directions whose normals lean to each other.
func (l *Solver) Slacks(holders int, use float64) ([]float64, error) {
	out := slices.Repeat([]float64{math.Inf(1)}, holders)
	if !(use < 1) {
		return out, nil
	}
	for _, group := range l.Groups {
		if _, err := l.Solve(group, ByUtilisation); err != nil {
			return nil, err
		}
		if l.Closed && l.Nullity(group) == 0 {
			continue
		}
		q := l.newSlackSearch(group)
		for _, m := range slices.Clone(l.Members) {
			i := l.Circles[m].Holder
			if i >= holders || i == q.holder {
				continue
			}
			q.holder = i
			var err error
			if l.Closed {
				out[i] = l.closedSlack(i)
			} else if out[i], err = q.slack(); err != nil {
				return nil, err
			}
		}
	}
	return out, nil
}

// newSlackSearch is a search in the group last solved.
func (l *Solver) newSlackSearch(group []int) *slackSearch {
	return &slackSearch{
		l: l, group: group, sure: tangentNear, centres: l.fast.p, rest: slices.Clone(l.Multipliers), holder: -1,
		cones: len(l.Members) > fastCircles || 2*len(group) > fastLines || l.LeastRadius() <= 0,
	}
}

// slack is that of the holder.
func (q *slackSearch) slack() (float64, error) {
	n := slackAims
	q.miss = slackMiss
	if len(q.l.Members) > manyCircles {
		n, q.miss = 4, 25*slackMiss
	}
	q.least, q.tangent, q.from = math.Inf(1), q.tangent[:0], q.l.widestRadius()
	q.hint = append(q.hint[:0], q.rest...)
	cones := q.cones
	defer func() { q.cones = cones }()
	var aims [slackAims + 1]rimAt
	for a := range n {
		m, err := q.rim(2 * math.Pi * float64(a) / float64(n))
		if err != nil {
			return 0, err
		}
		if math.IsInf(m.reach, 1) {
			return m.reach, nil // unbounded one way is unbounded every way
		}
		aims[a] = m
	}
	aims[n] = aims[0]
	aims[n].angle += 2 * math.Pi
	for a := range n {
		if err := q.arc(aims[a], aims[a+1]); err != nil {
			return 0, err
		}
	}
	return q.least, nil
}

// slackSearch looks for the least reach of a holder.
type slackSearch struct {
	l       *Solver
	group   []int
	holder  int
	least   float64                 // distance of the nearest tangent found
	miss    float64                 // share of it that an arc may hide
	sure    float64                 // by which the utilisation may differ from 1 at the rim
	centres [fastCircles][2]float64 // where nothing moved, for the fast method
	rest    [][2]float64            // the multipliers there,
	hint    [][2]float64            // and those last found
	tangent []tangent               // those found
	from    float64                 // a reach to begin with
	cones   bool                    // by the cone program instead of tangents
}

// tangent is one that no move with room crosses: x·dx + y·dy ≤ far.
type tangent struct{ x, y, far float64 }

// rimAt is where the rim is met in a direction, an angle from +y towards +x, and how far its normal
// leans on from there.
type rimAt struct{ angle, reach, lean float64 }

func (q *slackSearch) rim(angle float64) (rimAt, error) {
	s, c := math.Sincos(angle)
	var t, nx, ny float64
	var err error
	if !q.cones {
		if t, nx, ny, err = q.tangents(s, c); err != nil {
			return rimAt{}, err
		}
		q.cones = t < 0
	}
	if q.cones {
		if t, nx, ny, err = q.l.reach(q.group, q.holder, s, c); err != nil {
			return rimAt{}, err
		}
	}
	m := rimAt{angle, t, math.Atan2(nx*c-ny*s, nx*s+ny*c)}
	if !math.IsInf(t, 1) {
		q.from = t
		q.least = math.Min(q.least, t*math.Cos(m.lean))
	}
	return m, nil
}

// Of the tangents along one direction.
const (
	tangentSteps = 40
	tangentNear  = 1e-4         // by which the utilisation may differ from 1 at the rim while a least is looked for,
	tangentSure  = 10 * fastGap // and where one is
	tangentFlat  = 1e-12        // share of the multipliers by which they move with the holder by rounding alone
)

// tangents is how far the holder may move along (ux, uy) with room left, and the normal of the rim
// there; infinite where nothing holds it, and negative where that does not settle.
//
// Derivation: by the multipliers y of the utilisation with the holder moved, no move d leaves room
// unless Σ y·p + Y·d ≤ 1, p where nothing moved and Y the sum of y over the holder's circles: a
// tangent of the moves that do. The utilisation is convex in the move, so that each tangent meets
// the direction beyond the rim, and nearer to it than the last. The first move is to the nearest of
// the tangents that other directions found.
//
// Source: J. E. Kelley, The cutting-plane method for solving convex programs, 1960; hand
// calculation.
func (q *slackSearch) tangents(ux, uy float64) (t, nx, ny float64, err error) {
	l := q.l
	l.Many = true
	defer func() { l.Hint = nil }()
	t = q.nearest(ux, uy)
	for range tangentSteps {
		l.Hint = q.hint
		use, err := q.moved(t*ux, t*uy)
		if err != nil {
			return 0, 0, 0, err
		}
		q.hint = append(q.hint[:0], l.Multipliers...)
		var all float64
		nx, ny, all = q.normal()
		along := nx*ux + ny*uy
		over := use - 1
		held := along > tangentFlat*all && t-over/along > 0
		if held {
			q.tangent = append(q.tangent, tangent{nx, ny, t*along - over})
		}
		switch {
		case math.Abs(over) <= q.sure && along > 0:
			return t - over/along, nx, ny, nil
		case held:
			t -= over / along
		case over < 0 && t > slackFar*l.widestRadius():
			return math.Inf(1), 0, 0, nil
		case over < 0: // the tangent leads nowhere: farther out
			t = 4*t + l.widestRadius()
		default:
			return -1, 0, 0, nil
		}
	}
	return -1, 0, 0, nil
}

// nearest is where the first of the tangents found crosses a direction, or a reach to begin with.
func (q *slackSearch) nearest(ux, uy float64) float64 {
	t := math.Inf(1)
	for _, c := range q.tangent {
		if along := c.x*ux + c.y*uy; along > 0 {
			t = math.Min(t, c.far/along)
		}
	}
	if math.IsInf(t, 1) {
		return q.from
	}
	return t
}

// normal is the sum of the multipliers of the holder's circles, and the sum of the sizes of all.
func (q *slackSearch) normal() (nx, ny, all float64) {
	for c, m := range q.l.Members {
		y := q.l.Multipliers[c]
		all += dense.Length(y[0], y[1])
		if q.l.Circles[m].Holder == q.holder {
			nx, ny = nx+y[0], ny+y[1]
		}
	}
	return nx, ny, all
}

// moved is the utilisation of the group with the holder's circles moved by (x, y), and the
// multipliers, beginning with the hint.
func (q *slackSearch) moved(x, y float64) (float64, error) {
	l := q.l
	l.fast.p, l.fast.gap = q.centres, q.sure/10
	for c, m := range l.Members {
		if l.Circles[m].Holder == q.holder {
			p := &l.fast.p[c]
			p[0], p[1] = p[0]+x, p[1]+y
		}
	}
	if use, proved := l.fastUtilisation(); proved {
		return use, nil
	}
	l.kept = append(l.kept[:0], l.Circles...)
	for i := range l.Circles {
		if c := &l.Circles[i]; c.Holder == q.holder {
			c.X, c.Y = c.X+x, c.Y+y
		}
	}
	l.Gather(q.group)
	use, err := l.byCones(q.group, ByUtilisation)
	copy(l.Circles, l.kept)
	return use, err
}

// arc looks between two directions. What leaves room is convex, so that the rim between is no
// nearer than its chord; where that could hide more than a little, in two halves.
func (q *slackSearch) arc(lo, hi rimAt) error {
	if hi.angle-lo.angle > slackSure && chordReach(lo, hi) < q.least*(1-q.miss)-slackFlat*q.l.widestRadius() {
		mid, err := q.rim((lo.angle + hi.angle) / 2)
		if err != nil {
			return err
		}
		if err := q.arc(lo, mid); err != nil {
			return err
		}
		return q.arc(mid, hi)
	}
	if lo.lean > 0 && hi.lean < 0 {
		return q.between(lo, hi)
	}
	return nil
}

// chordReach is the distance of the chord between two rim points.
func chordReach(a, b rimAt) float64 {
	s, c := math.Sincos(b.angle - a.angle)
	long := math.Sqrt(a.reach*a.reach + b.reach*b.reach - 2*a.reach*b.reach*c)
	if a.reach*c >= b.reach || b.reach*c >= a.reach || long == 0 {
		return math.Min(a.reach, b.reach)
	}
	return a.reach * b.reach * s / long
}

// between goes to a least between two directions whose normals lean to each other: regula falsi on
// the lean, the weight of an end that stays halved (Illinois).
func (q *slackSearch) between(lo, hi rimAt) error {
	q.sure = tangentSure
	defer func() { q.sure = tangentNear }()
	wlo, whi, kept := lo.lean, hi.lean, 0
	for range slackTurns {
		m, err := q.rim(lo.angle + (hi.angle-lo.angle)*wlo/(wlo-whi))
		if err != nil {
			return err
		}
		switch {
		case math.Abs(m.lean) <= slackSure || hi.angle-lo.angle <= slackSure:
			return nil
		case m.lean > 0:
			if lo, wlo = m, m.lean; kept == 1 {
				whi /= 2
			}
			kept = 1
		default:
			if hi, whi = m, m.lean; kept == -1 {
				wlo /= 2
			}
			kept = -1
		}
	}
	return nil
}

// closedSlack is (Σ |w| r - |Σ w p|) / |w_i|, with w_i the sum over the holder's circles.
func (l *Solver) closedSlack(i int) float64 {
	x, y, rooms, all := l.weighed()
	var own float64
	for c, n := range l.Members {
		if w := l.Weights[c]; l.Circles[n].Holder == i {
			own += w
		}
	}
	if math.Abs(own) <= apart*all {
		return math.Inf(1)
	}
	return math.Max(0, rooms-math.Hypot(x, y)) / math.Abs(own)
}

// reach is how far holder i may move along (ux, uy) with room left, and the normal of the rim
// there.
func (l *Solver) reach(group []int, i int, ux, uy float64) (t, nx, ny float64, err error) {
	l.Gather(group)
	f := l.Frame(group)
	p := &l.problem
	n := f.N + 1
	p.Reset(n)
	p.Cost()[n-1] = -1
	far := p.Cone(1)
	far.Row(0)[n] = slackFar
	far.Row(1)[n-1] = 1
	u := [2]float64{ux, uy}
	l.Cones(p, &f, func(m int) bool { return l.Circles[m].Radius == 0 }, func(room []float64, m int) {
		room[n] = l.Circles[m].Radius / f.Unit
	}, func(row []float64, c, component int) {
		if l.Circles[l.Members[c]].Holder == i {
			row[n-1] = u[component]
		}
	})
	res, err := l.solver.Solve(p, tol.Meet/f.Unit)
	if err != nil {
		return 0, 0, 0, fault.Unsolved("the room of a support", "/shafts", err)
	}
	t = f.Unit * res.X[n-1]
	if res.X[n-1] > slackFar/2 {
		return math.Inf(1), 0, 0, nil
	}
	at := 0
	for _, m := range l.Members {
		if l.Circles[m].Radius == 0 {
			continue
		}
		at++ // the first cone is the farthest that is looked at
		if l.Circles[m].Holder == i {
			d := l.solver.Dual(at)
			nx -= d[1]
			ny -= d[2]
		}
	}
	return t, nx, ny, nil
}
