package specify

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"

	"example.com/borestack/align"
	"example.com/borestack/align/record"
	"example.com/borestack/fault"
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

	// Dearest is the callout that costs most, and Why the limit that makes it so.
	Dearest int
	Why     string

	Worst []Worst
	Yield Share
}

// Worst is what is left of one limit at the worst box within the zones.
type Worst struct {
	Limit string
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
	if len(a.Callouts) == 0 {
		return fault.At("callouts", "", "at least one", fault.ErrMissing)
	}
	if a.Yield.Given && !(a.Yield.Value > 0.5 && a.Yield.Value < 1) {
		return fault.At("yield", fmt.Sprint(a.Yield.Value), "more than 0.5, less than 1", fault.ErrOutOfRange)
	}
	if a.Samples < 0 {
		return fault.At("samples", fmt.Sprint(a.Samples), "0 or more", fault.ErrOutOfRange)
	}
	// Even if all boxes hold, their interval ends at tail^(1/samples).
	if n := a.samples(); a.Yield.Given && lowest(n, n) < a.Yield.Value {
		least := math.Ceil(math.Log(tail) / math.Log(a.Yield.Value))
		return fault.At("samples", fmt.Sprint(n), fmt.Sprintf("at least %.0f: fewer cannot show a yield of %g", least, a.Yield.Value), fault.ErrTooFew)
	}
	for i := range a.Callouts {
		c := &a.Callouts[i]
		switch {
		case c.moves == nil:
			return fault.At(fmt.Sprintf("callouts/%d", i), c.Feature, "one that Callouts lists", fault.ErrUnknownName)
		case !(c.Weight > 0) || math.IsInf(c.Weight, 0):
			return fault.At(fmt.Sprintf("callouts/%d/weight", i), fmt.Sprint(c.Weight), "more than 0", fault.ErrOutOfRange)
		case c.AtMaximum && !(c.Size >= 0):
			return fault.At(fmt.Sprintf("callouts/%d/size", i), c.Size.String(), "0 or more", fault.ErrOutOfRange)
		}
	}
	return nil
}

// planes is how many rounds of cutting planes are made at most.
const planes = 12

// Specify finds sizes for the callouts. An error is a fault of the question, a box that cannot be worked
// out, a limit that no size holds, or the context's cause.
func (a Ask) Specify(ctx context.Context) (*Result, error) {
	if err := a.check(); err != nil {
		return nil, err
	}
	out, err := a.zones(ctx)
	if err != nil || !a.Yield.Given {
		return out, err
	}
	// Tops that add as squares are an estimate: where few of them matter the worst case can come out cheaper,
	// and it holds any yield.
	all := a
	all.Yield = tolerance.Optional[float64]{}
	if worst, err := all.zones(ctx); err == nil && worst.Cost < out.Cost {
		return worst, nil
	}
	return out, context.Cause(ctx)
}

// zones finds sizes by worst case or by yield.
func (a *Ask) zones(ctx context.Context) (*Result, error) {
	r, err := newResponses(a.Stack, a.Limits, a.Callouts)
	if err != nil {
		return nil, err
	}
	n := len(a.Callouts)
	weight, most, zone := make([]float64, n), make([]float64, n), make([]float64, n)
	for k := range a.Callouts {
		c := &a.Callouts[k]
		weight[k], most[k] = c.Weight, widestOf(c.Kind, float64(c.Across))
		zone[k] = most[k]
	}
	power, sure := 1.0, 1.0
	if a.Yield.Given {
		// In one direction a zone's standard deviation is a third of its radius; the tops then add as squares.
		power, sure = 2, distuv.UnitNormal.Quantile(a.Yield.Value)/sigmas
	}
	var cuts []cut
	tops := make([]*top, len(r.names))
	for range planes {
		broken := false
		for of := range r.names {
			w, err := r.worst(ctx, of, a.radii(zone), tops[of])
			if err != nil {
				return nil, err
			}
			tops[of] = &w
			c := a.cutAt(&w, zone, r.scale[of], power, sure)
			used := 0.0
			for k := range zone {
				used += c.slope[k] * math.Pow(zone[k], power)
			}
			if used > c.room*(1+1e-3) {
				broken = true
			}
			if c.room <= 0 {
				return nil, fault.At("limits", r.names[of], "a limit that some size of the zones holds: what maximum material allows takes all that is left", fault.ErrConflict)
			}
			cuts = append(cuts, c)
		}
		if !broken {
			break
		}
		zone = leastCost(weight, most, cuts, power)
	}
	if zone, err = a.settle(ctx, r, zone, tops); err != nil {
		return nil, err
	}
	out := a.sized(zone, most)
	return out, a.fill(ctx, r, out)
}

// sigmas is how many standard deviations of a component a zone's radius is.
//
// Source: common practice: a process that just holds its zone.
const sigmas = 3

// radii are the radii of zones.
func (a *Ask) radii(zone []float64) []float64 {
	out := make([]float64, len(zone))
	for k := range zone {
		out[k] = a.Callouts[k].radius(zone[k])
	}
	return out
}

// cutAt is the plane through a top: by worst case the response there and its rise by each zone, by yield
// the same for squares.
func (a *Ask) cutAt(w *top, zone []float64, scale, power, sure float64) cut {
	c := cut{slope: make([]float64, len(zone))}
	taken := 0.0
	for k := range zone {
		c.slope[k] = w.rise[k] * a.Callouts[k].perZone()
		taken += c.slope[k] * zone[k]
	}
	if power == 1 {
		c.room = taken - w.value
		return c
	}
	// What the tops take, to first order from the box as drawn, is left of the limit.
	fixed := w.value + scale - taken // what maximum material adds without any zone
	c.room = math.Pow(max(0, scale-max(0, fixed))/sure, 2)
	for k := range c.slope {
		c.slope[k] *= c.slope[k]
	}
	return c
}

// The scales that settle tries: some more than asked, because rounding down takes up to a fifth of every
// zone, and then less by about half a step of the series.
const (
	shrink    = 1.12
	widest    = shrink * shrink
	narrowest = 0.05
	rounding  = 1e-9 // of what is left, and still none
)

// settle scales zones, rounded down as they will be, until they hold what is asked: the worst case, or the
// yield with its interval.
func (a *Ask) settle(ctx context.Context, r *responses, zone []float64, tops []*top) ([]float64, error) {
	held := func(z []float64, tops []*top) (bool, error) {
		if a.Yield.Given {
			s, err := a.sample(ctx, r, z, a.Yield.Value)
			return err == nil && s.Low >= a.Yield.Value, err
		}
		for of := range r.names {
			w, err := r.worst(ctx, of, a.radii(z), tops[of])
			if err != nil || w.value > rounding*r.scale[of] {
				return false, err
			}
		}
		return true, nil
	}
	holds := func(z []float64) (bool, error) { return held(z, tops) }
	surely := func(z []float64) (bool, error) { return held(z, make([]*top, len(tops))) }
	for f := widest; f > narrowest; f /= shrink {
		z := make([]float64, len(zone))
		for k := range z {
			z[k] = roundDown(f * zone[k])
		}
		if slices.Min(z) == 0 {
			break
		}
		ok, err := holds(z)
		if ok {
			ok, err = surely(z)
		}
		if err != nil {
			return nil, err
		}
		if !ok {
			continue
		}
		wide := slices.Clone(z)
		if err := a.widen(wide, holds); err != nil {
			return nil, err
		}
		if ok, err = surely(wide); ok {
			z = wide
		}
		return z, err
	}
	return nil, fault.At("limits", "", fmt.Sprintf("limits that zones of %g mm and more can hold", finest), fault.ErrConflict)
}

// widen takes back what rounding all zones together left: each in turn, the dearest first, gets the next
// preferred size where that still holds what is asked.
func (a *Ask) widen(z []float64, holds func([]float64) (bool, error)) error {
	order := make([]int, len(z))
	for k := range order {
		order[k] = k
	}
	slices.SortStableFunc(order, func(i, k int) int { return -cmp.Compare(a.Callouts[i].Weight/z[i], a.Callouts[k].Weight/z[k]) })
	for _, k := range order {
		c := &a.Callouts[k]
		was, next := z[k], roundDown(nextStep*z[k])
		if next > widestOf(c.Kind, float64(c.Across)) {
			continue
		}
		z[k] = next
		ok, err := holds(z)
		if err != nil {
			return err
		}
		if !ok {
			z[k] = was
		}
	}
	return nil
}

// sized puts sizes on the callouts.
func (a *Ask) sized(zone, most []float64) *Result {
	out := &Result{Title: a.Stack.Title, Callouts: append([]Callout(nil), a.Callouts...)}
	for k := range out.Callouts {
		c := &out.Callouts[k]
		c.Zone = tolerance.Length(zone[k])
		general := c.Kind.general() && zone[k] >= roundDown(most[k])
		out.General = append(out.General, general)
		if general {
			continue
		}
		out.Cost += c.Cost()
		if d := &out.Callouts[out.Dearest]; out.General[out.Dearest] || c.Cost() > d.Cost() {
			out.Dearest = k
		}
	}
	return out
}

// fill works out what sizes give.
func (a *Ask) fill(ctx context.Context, r *responses, out *Result) error {
	zone := make([]float64, len(out.Callouts))
	for k := range zone {
		zone[k] = float64(out.Callouts[k].Zone)
	}
	tightest := -1
	for of, name := range r.names {
		w, err := r.worst(ctx, of, a.radii(zone), nil)
		if err != nil {
			return err
		}
		q := Worst{Limit: name, Left: -w.value}
		for k := range zone {
			q.At = append(q.At, [2]float64{w.at[2*k], w.at[2*k+1]})
			q.Takes = append(q.Takes, w.rise[k]*a.Callouts[k].radius(zone[k])/r.scale[of])
		}
		out.Worst = append(out.Worst, q)
		if d := out.Dearest; tightest < 0 || q.Takes[d] > out.Worst[tightest].Takes[d] {
			tightest = of
		}
	}
	out.Why = fmt.Sprintf("it takes %.0f %% of what the box as drawn leaves of %s", 100*out.Worst[tightest].Takes[out.Dearest], r.names[tightest])
	var err error
	out.Yield, err = a.sample(ctx, r, zone, 0)
	return err
}

// Check answers the question backwards: what callouts with their sizes give.
func (a Ask) Check(ctx context.Context) (*Result, error) {
	if err := a.check(); err != nil {
		return nil, err
	}
	most, zone := make([]float64, len(a.Callouts)), make([]float64, len(a.Callouts))
	for k := range a.Callouts {
		c := &a.Callouts[k]
		if !(c.Zone > 0) || math.IsInf(float64(c.Zone), 0) {
			return nil, fault.At(fmt.Sprintf("callouts/%d/zone", k), c.Zone.String(), "more than 0", fault.ErrOutOfRange)
		}
		zone[k], most[k] = float64(c.Zone), widestOf(c.Kind, float64(c.Across))
	}
	r, err := newResponses(a.Stack, a.Limits, a.Callouts)
	if err != nil {
		return nil, err
	}
	out := a.sized(zone, most)
	return out, a.fill(ctx, r, out)
}
