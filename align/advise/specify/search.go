package specify

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"

	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// search is a question that is being answered.
type search struct {
	*Ask
	r            *responses
	boxes        *boxes
	weight, most []float64 // of each callout
	seen         []plane
}

// begin compiles a question that has no fault.
func (a *Ask) begin() (*search, error) {
	if err := a.check(); err != nil {
		return nil, err
	}
	r, err := newResponses(a.Stack, a.Limits, a.Callouts)
	if err != nil {
		return nil, err
	}
	s := &search{Ask: a, r: r, boxes: a.draw(r)}
	for k := range a.Callouts {
		c := &a.Callouts[k]
		s.weight, s.most = append(s.weight, c.Weight), append(s.most, widestOf(c.Kind, float64(c.Across)))
	}
	return s, nil
}

// plane is a response at its top within zones: its value, and its rise by each zone.
type plane struct {
	of int
	top
	zone []float64
	rise []float64 // by the size of the zone
}

// measure is how the tops of a response add: by worst case as they are, by yield as squares.
type measure struct {
	power float64
	sure  float64 // what a yield's standard deviation times so many has to leave
}

var worstCase = measure{1, 1}

// ofYield is the measure that a question asks for: in one direction a zone's standard deviation is a third
// of its radius.
func ofYield(y tolerance.Optional[float64]) measure {
	if !y.Given {
		return worstCase
	}
	return measure{2, distuv.UnitNormal.Quantile(y.Value) / sigmas}
}

// sigmas is how many standard deviations of a component a zone's radius is.
//
// Source: common practice: a process that just holds its zone.
const sigmas = 3

// radii are the radii of zones.
func (s *search) radii(zone []float64) []float64 {
	out := make([]float64, len(zone))
	for k := range zone {
		out[k] = s.Callouts[k].radius(zone[k])
	}
	return out
}

// general says whether the general tolerance holds a zone, so that it needs no callout.
func (s *search) general(k int, zone float64) bool {
	return s.Callouts[k].Kind.general() && zone >= roundDown(s.most[k])
}

// cost of zones that are called out.
func (s *search) cost(zone []float64) (sum float64) {
	for k, z := range zone {
		c := s.Callouts[k]
		if c.Zone = tolerance.Length(z); !s.general(k, z) {
			sum += c.Cost()
		}
	}
	return sum
}

// cut is the rule that a plane gives: Σ slope_k t_k^power ≤ room.
type cut struct {
	slope       []float64
	room, power float64
}

func (c *cut) used(zone []float64) (sum float64) {
	for k, t := range zone {
		sum += c.slope[k] * math.Pow(t, c.power)
	}
	return sum
}

// planes are the cuts of all planes that were seen.
func (s *search) planes(m measure) (out []cut) {
	for i := range s.seen {
		out = append(out, s.cut(&s.seen[i], m))
	}
	return out
}

func (s *search) cut(p *plane, m measure) cut {
	c, taken := cut{slope: slices.Clone(p.rise), power: m.power}, 0.0
	for k, t := range p.zone {
		taken += c.slope[k] * t
	}
	if m.power == 1 {
		c.room = taken - p.value
		return c
	}
	// What the tops take, to first order from the box as drawn, is left of the limit.
	scale := s.r.list[p.of].scale
	fixed := p.value + scale - taken // what maximum material adds without any zone
	c.room = math.Pow(max(0, scale-max(0, fixed))/m.sure, 2)
	for k := range c.slope {
		c.slope[k] *= c.slope[k]
	}
	return c
}

// rounds is how many rounds of cutting planes are made at most.
const rounds = 12

// zones finds sizes by worst case or by yield.
func (s *search) zones(ctx context.Context, yield tolerance.Optional[float64]) ([]float64, error) {
	zone, m := slices.Clone(s.most), ofYield(yield)
	s.seen = nil
	for range rounds {
		broken := false
		for of := range s.r.list {
			w, err := s.r.worst(ctx, of, s.radii(zone), false)
			if err != nil {
				return nil, err
			}
			p := plane{of: of, top: w, zone: zone, rise: slices.Clone(w.rise)}
			for k := range zone {
				p.rise[k] *= s.Callouts[k].perZone()
			}
			c := s.cut(&p, m)
			if broken = broken || c.used(zone) > c.room*(1+held); c.room <= 0 {
				return nil, fault.At("limits", s.r.list[of].name, "a limit that some size of the zones holds: what maximum material allows takes all that is left", fault.ErrConflict)
			}
			s.seen = append(s.seen, p)
		}
		if !broken {
			break
		}
		zone = s.leastCost(s.planes(m))
	}
	if yield.Given {
		s.boxes.guess(s.seen, s.radii(zone))
	}
	return s.settle(ctx, zone, yield)
}

// Of the search for the least cost.
const (
	held       = 1e-3  // share of a cut's room by which it may be used beyond: settling takes it back
	balancings = 4000  // rounds at most
	idle       = 1e-12 // multiplier below which a cut holds nothing, and its changes do not count
	asleep     = 1e-15 // multiplier at the least, from which a cut can wake again
	balanced   = 1e-9  // share by which multipliers that have arrived still change
)

// leastCost are the zones of least Σ weight_k / t_k under cuts, none wider than most. By the conditions of
// Karush, Kuhn and Tucker t_k = (weight_k / (p Σ μ slope_k))^(1/(p+1)); the multipliers μ are found by
// raising those of cuts that are broken and lowering the others in proportion.
func (s *search) leastCost(cuts []cut) []float64 {
	t, mu, p := make([]float64, len(s.weight)), make([]float64, len(cuts)), cuts[0].power
	for c := range mu {
		mu[c] = 1
	}
	zones := func() {
		for k := range t {
			sum := 0.0
			for c := range cuts {
				sum += mu[c] * cuts[c].slope[k]
			}
			t[k] = s.most[k]
			if sum > 0 {
				t[k] = min(s.most[k], math.Pow(s.weight[k]/(p*sum), 1/(p+1)))
			}
		}
	}
	for range balancings {
		zones()
		moved := 0.0
		for c := range cuts {
			f := max(0.5, min(2, math.Sqrt(cuts[c].used(t)/cuts[c].room)))
			if mu[c] *= f; mu[c] > idle {
				moved = max(moved, math.Abs(f-1))
			}
			mu[c] = max(mu[c], asleep)
		}
		if moved < balanced {
			break
		}
	}
	zones()
	// What the multipliers leave open is taken by all zones alike.
	over := 1.0
	for c := range cuts {
		over = max(over, math.Pow(cuts[c].used(t)/cuts[c].room, 1/p))
	}
	for k := range t {
		t[k] /= over
	}
	return t
}

// The scales that settle tries: some more than asked, because rounding down takes up to a fifth of every
// zone, and then less by about half a step of the series.
const (
	shrink   = 1.12
	widest   = shrink * shrink
	rounding = 1e-9 // of what is left, and still none
	looks    = 8    // as often widening begins again where the last look finds what it had missed
)

// settle scales zones, rounded down as they will be, until they hold what is asked: the worst case, or the
// yield with its interval.
func (s *search) settle(ctx context.Context, zone []float64, yield tolerance.Optional[float64]) ([]float64, error) {
	z := make([]float64, len(zone))
	for f := widest; !(slices.Max(z) == finest); f /= shrink {
		for k := range z {
			z[k] = max(finest, roundDown(f*zone[k]))
		}
		for range looks {
			wide, err := s.widen(ctx, z, yield)
			if err != nil {
				return nil, err
			}
			if wide == nil {
				break
			}
			if ok, err := s.holds(ctx, wide, yield, true); ok || err != nil {
				return wide, err
			}
		}
	}
	return nil, s.notHeld(ctx, z)
}

// notHeld names the limit that is farthest beyond at the finest zones.
func (s *search) notHeld(ctx context.Context, zone []float64) error {
	far, name := math.Inf(-1), ""
	for of := range s.r.list {
		w, err := s.r.worst(ctx, of, s.radii(zone), false)
		if err != nil {
			return err
		}
		if by := w.value / s.r.list[of].scale; by > far {
			far, name = by, s.r.list[of].name
		}
	}
	return fault.At("limits", name, fmt.Sprintf("a limit that zones of %g mm can hold, the finest that are called out", finest), fault.ErrConflict)
}

// holds says whether zones hold what is asked: by what the search knows, or afresh.
func (s *search) holds(ctx context.Context, zone []float64, yield tolerance.Optional[float64], afresh bool) (bool, error) {
	radius := s.radii(zone)
	switch {
	case yield.Given && afresh:
		share, err := s.boxes.count(ctx, radius)
		return share.Low >= yield.Value, err
	case yield.Given:
		return s.boxes.hold(ctx, radius, yield.Value)
	}
	for of := range s.r.list {
		w, err := s.r.worst(ctx, of, radius, afresh)
		if err != nil || w.value > rounding*s.r.list[of].scale {
			return false, err
		}
	}
	return true, nil
}

// widen takes back what rounding all zones together left: each in turn, the dearest first, gets the next
// preferred size where that still holds what is asked. It is nil where the zones themselves do not.
func (s *search) widen(ctx context.Context, zone []float64, yield tolerance.Optional[float64]) ([]float64, error) {
	if ok, err := s.holds(ctx, zone, yield, false); !ok || err != nil {
		return nil, err
	}
	z, order := slices.Clone(zone), make([]int, len(zone))
	for k := range order {
		order[k] = k
	}
	slices.SortStableFunc(order, func(i, k int) int { return -cmp.Compare(s.weight[i]/z[i], s.weight[k]/z[k]) })
	for _, k := range order {
		was, next := z[k], roundDown(nextStep*z[k])
		if next > s.most[k] {
			continue
		}
		z[k] = next
		ok, err := s.holds(ctx, z, yield, false)
		if err != nil {
			return nil, err
		}
		if !ok {
			z[k] = was
		}
	}
	return z, nil
}
