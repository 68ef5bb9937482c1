package specify

import (
	"context"
	"fmt"
	"math"
	"slices"

	"example.com/borestack/align"
	"example.com/borestack/align/record"
	"example.com/borestack/fault"
	"example.com/borestack/internal/rules"
	"example.com/borestack/tolerance"
)

// Ask is what is asked: a box as drawn (see [Drawn]), its limits, and what may be called out.
type Ask struct {
	Stack    align.Stack
	Limits   []record.Limit
	Callouts []Callout // as [Callouts] lists them, weights and conditions at will

	// Yield is the share of boxes that must hold every limit; absent: all within the zones, the worst case.
	Yield tolerance.Optional[float64]

	Samples int // boxes drawn for a yield; 0: 20,000
	Seed    uint64
}

// Result is callouts with their sizes, and what they give.
type Result struct {
	Title    string
	Callouts []Callout // with Zone
	General  []bool    // the general tolerance holds the zone: no callout is needed
	Cost     float64

	// Dearest is the callout that costs most, and Why the limit that makes it so; empty: none, or none needed.
	Dearest int
	Why     string

	Worst []Worst
	Yield Share
}

// Worst is what is left of one limit at the worst box within the zones.
type Worst struct {
	Limit string
	Of    align.Output
	Left  float64 // in the base unit of its output; below 0: beyond by so much
	// At is the deviation of each callout there: X and Y, millimetres or slopes.
	At [][2]float64
	// Takes is how much of what the box as drawn has left each callout takes there.
	Takes []float64
}

// Share is the share of boxes that hold every limit, with its 95 % interval.
type Share struct {
	Value, Low, High float64
	Boxes            int
}

// check names what is wrong with a question.
func (a *Ask) check() error {
	if err := a.Stack.Validate(); err != nil {
		return err
	}
	var wrong rules.List
	for i := range a.Stack.Parts {
		for _, f := range []*align.Face{a.Stack.Parts[i].Front, a.Stack.Parts[i].Rear} {
			wrong.Need(f == nil || f.Thickness == nil && f.Sweep == nil && len(f.Points) == 0, fmt.Sprintf("stack/parts/%d", i), a.Stack.Parts[i].Name, "a part as drawn, without readings: Drawn", fault.ErrConflict)
		}
	}
	wrong.Need(slices.ContainsFunc(a.Limits, func(l record.Limit) bool { return l.Least.Given || l.Greatest.Given }), "limits", nil, "at least one, on a number", fault.ErrMissing)
	wrong.Need(len(a.Callouts) > 0, "callouts", nil, "at least one", fault.ErrMissing)
	wrong.Need(!a.Yield.Given || a.Yield.Value > 0.5 && a.Yield.Value < 1, "yield", a.Yield.Value, "more than 0.5, less than 1", fault.ErrOutOfRange)
	wrong.Need(a.Samples >= 0 && a.Samples <= mostSamples, "samples", a.Samples, fmt.Sprintf("0 to %d", mostSamples), fault.ErrOutOfRange)
	// Even if all boxes hold, their interval ends at tail^(1/samples).
	if n := a.samples(); a.Yield.Given && len(wrong) == 0 {
		least := math.Ceil(math.Log(tail) / math.Log(a.Yield.Value))
		wrong.Need(lowest(n, n) >= a.Yield.Value, "samples", n, fmt.Sprintf("at least %.0f: fewer cannot show a yield of %g", least, a.Yield.Value), fault.ErrTooFew)
	}
	a.checkCallouts(&wrong)
	return wrong.First()
}

func (a *Ask) checkCallouts(wrong *rules.List) {
	for i := range a.Callouts {
		c, at := &a.Callouts[i], fmt.Sprintf("callouts/%d", i)
		wrong.Need(c.moves[0] != nil || c.axis != nil, at, c.Feature, "one that Callouts lists", fault.ErrUnknownName)
		wrong.Need(rules.Positive(c.Weight), at+"/weight", c.Weight, "more than 0", fault.ErrOutOfRange)
		wrong.Need(!c.AtMaximum || c.Kind == Position, at+"/at_maximum", c.Name(), "a position: nothing else is held at maximum material here", fault.ErrConflict)
		wrong.Need(!c.AtMaximum || c.Size == 0 || rules.Positive(float64(c.Size)), at+"/size", c.Size, "0 or more", fault.ErrOutOfRange)
	}
}

// Specify finds sizes for the callouts. An error is a fault of the question, a box that cannot be worked
// out, a limit that no size holds, or the context's cause.
func (a Ask) Specify(ctx context.Context) (*Result, error) {
	s, err := a.begin()
	if err != nil {
		return nil, err
	}
	zone, err := s.zones(ctx, a.Yield)
	if err != nil {
		return nil, err
	}
	// Tops that add as squares are an estimate: where few of them matter the worst case can come out cheaper,
	// and it holds any yield.
	if a.Yield.Given && s.cost(s.leastCost(s.planes(worstCase))) < s.cost(zone) {
		if worst, err := s.zones(ctx, tolerance.Optional[float64]{}); err == nil && s.cost(worst) < s.cost(zone) {
			zone = worst
		}
	}
	if ctx.Err() != nil {
		return nil, context.Cause(ctx)
	}
	return s.result(ctx, zone)
}

// Check answers the question backwards: what callouts with their sizes give.
func (a Ask) Check(ctx context.Context) (*Result, error) {
	s, err := a.begin()
	if err != nil {
		return nil, err
	}
	zone := make([]float64, len(a.Callouts))
	var wrong rules.List
	for k := range a.Callouts {
		c := &a.Callouts[k]
		wrong.Need(rules.Positive(c.Zone), fmt.Sprintf("callouts/%d/zone", k), fmt.Sprintf("%v of %s", c.Zone, c.Name()), "more than 0, of every callout", fault.ErrOutOfRange)
		zone[k] = float64(c.Zone)
	}
	if err := wrong.Err(); err != nil {
		return nil, err
	}
	return s.result(ctx, zone)
}

// result is what sizes give.
func (s *search) result(ctx context.Context, zone []float64) (*Result, error) {
	out := &Result{Title: s.Stack.Title, Callouts: append([]Callout(nil), s.Callouts...), Cost: s.cost(zone)}
	for k := range out.Callouts {
		c := &out.Callouts[k]
		c.Zone = tolerance.Length(zone[k])
		out.General = append(out.General, s.general(k, zone[k]))
		if d := &out.Callouts[out.Dearest]; !out.General[k] && (out.General[out.Dearest] || c.Cost() > d.Cost()) {
			out.Dearest = k
		}
	}
	radius, tightest := s.radii(zone), -1
	for of := range s.r.list {
		w, err := s.r.worst(ctx, of, radius, true)
		if err != nil {
			return nil, err
		}
		q := Worst{Limit: s.r.list[of].name, Of: s.r.list[of].of, Left: -w.value}
		for k := range zone {
			q.At = append(q.At, [2]float64{w.at[2*k], w.at[2*k+1]})
			q.Takes = append(q.Takes, w.rise[k]*radius[k]/s.r.list[of].scale)
		}
		out.Worst = append(out.Worst, q)
		if d := out.Dearest; tightest < 0 || q.Takes[d] > out.Worst[tightest].Takes[d] {
			tightest = of
		}
	}
	if w := &out.Worst[tightest]; !out.General[out.Dearest] && w.Takes[out.Dearest] >= felt {
		out.Why = fmt.Sprintf("it takes %.0f %% of what the box as drawn leaves of %s", 100*w.Takes[out.Dearest], w.Limit)
	}
	var err error
	out.Yield, err = s.boxes.count(ctx, radius)
	return out, err
}
