package specify

import (
	"math"
	"slices"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/quantity"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/align/record"
	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// responses are the limits of a box as functions of deviations: each is how far its worst end is beyond,
// in the base unit of its output; below 0 it holds. Components of deviations are two a callout, X and Y.
type responses struct {
	list   []response
	groups []group // limits that one plan evaluates: for boxes of which all limits are asked
	n      int     // components

	// steep is the steepest rise of any response by each callout's deviation that was seen, in shares of what
	// the box as drawn has left of it.
	steep []float64
}

// response is one end of one limit.
type response struct {
	name  string
	of    align.Output
	sign  float64 // 1: a greatest, -1: a least
	bound float64
	scale float64 // what is left at the drawn box

	alone         *align.Evaluator // of this one only
	group, output int              // where it is among all
	tops          [][]float64      // where climbs ended, each deviation in shares of its zone's radius
	looks         uint64           // searches from many places so far
	whole         struct {         // the last search from many places
		radius []float64
		top    top
	}
}

// group is limits of one state and one way to lie.
type group struct {
	plan    *align.Plan
	outputs int
}

// beyond is how far a value of the output is beyond; what is no number is beyond everything.
func (r *response) beyond(value float64) float64 {
	if v := r.sign * (value - r.bound); !math.IsNaN(v) {
		return v
	}
	return math.Inf(1)
}

// newResponses compiles the limits, each alone and those of one state and one way to lie together.
func newResponses(s align.Stack, limits []record.Limit, callouts []Callout) (*responses, error) {
	s = s.Clone()
	s.Candidates = nil
	for i := range callouts {
		if c := &callouts[i]; c.AtMaximum && c.widen != nil {
			c.widen(&s, c.Size)
		}
	}
	r := &responses{n: 2 * len(callouts), steep: make([]float64, len(callouts))}
	type way struct {
		state string
		rest  bool
	}
	index, asked := map[way]int{}, [][]align.Output{}
	var ways []way
	for _, l := range withAssembly(&s, limits, callouts) {
		w := way{l.State, l.Rests()}
		g, known := index[w]
		if !known {
			g, index[w] = len(ways), len(ways)
			ways, asked = append(ways, w), append(asked, nil)
		}
		var alone *align.Evaluator
		for _, end := range []struct {
			word  string
			bound tolerance.Optional[float64]
			sign  float64
		}{{"greatest", l.Greatest, 1}, {"least", l.Least, -1}} {
			if !end.bound.Given {
				continue
			}
			if alone == nil {
				plan, err := compile(s, w.state, w.rest, true, callouts, []align.Output{l.Output})
				if err != nil {
					return nil, err
				}
				alone = plan.NewEvaluator()
			}
			r.list = append(r.list, response{name: nameOf(l, end.word), of: l.Output, sign: end.sign, bound: end.bound.Value, alone: alone, group: g, output: len(asked[g])})
		}
		asked[g] = append(asked[g], l.Output)
	}
	for g, w := range ways {
		plan, err := compile(s, w.state, w.rest, false, callouts, asked[g])
		if err != nil {
			return nil, err
		}
		r.groups = append(r.groups, group{plan, len(asked[g])})
	}
	return r, r.scales()
}

// nameOf names an end of a limit.
func nameOf(l record.Limit, end string) string {
	name := l.Name()
	if l.Output.What == align.AssemblyUse { // which records do not name
		name = "assembly" + name
	}
	if l.Least.Given && l.Greatest.Given {
		name += ", " + end
	}
	return name
}

// statesOf are cold and the states of limits.
func statesOf(limits []record.Limit) []string {
	states := []string{""}
	for _, l := range limits {
		if !slices.Contains(states, l.State) {
			states = append(states, l.State)
		}
	}
	return states
}

// inState is a copy of the stack in a state; empty: cold.
func inState(s align.Stack, state string) (align.Stack, error) {
	if state == "" {
		return s.Clone(), nil
	}
	return s.InState(state)
}

// withAssembly are the limits on numbers, and that joints with pins, or pilots that lean, assemble unstrained, cold
// and in the states of limits: a box that does not fails them all.
func withAssembly(s *align.Stack, limits []record.Limit, callouts []Callout) (out []record.Limit) {
	for _, l := range limits {
		if l.Output.What != align.Assembles {
			out = append(out, l)
		}
	}
	leans := func(joint int) bool {
		return slices.ContainsFunc(callouts, func(c Callout) bool { return c.axis != nil && c.axis.joint == joint })
	}
	for _, state := range statesOf(limits) {
		for k := range s.Joints {
			if len(s.Joints[k].Pins) > 0 || leans(k) {
				out = append(out, record.Limit{Output: align.Output{What: align.AssemblyUse, Of: s.JointName(k)}, State: state, AtRest: true, Limits: tolerance.AtMost(1)})
			}
		}
	}
	return out
}

// scales works out what is left of every limit at the box as drawn, which has to hold them.
func (r *responses) scales() error {
	for of := range r.list {
		q := &r.list[of]
		at, err := r.at(of, columns(r.n, 1), 1)
		if err != nil {
			return err
		}
		if q.scale = -at[0]; !(q.scale > 0) {
			by := quantity.Of(q.of.What).Measure.Tell(max(at[0], 0), spell.Lengths{}, spell.Lengths{}.Size)
			return fault.At("limits", q.name, "a limit that the box as drawn holds with something to spare: it is beyond by "+by, fault.ErrConflict)
		}
	}
	return nil
}

// compile makes a plan of outputs whose sources are the components of deviations. For the worst, pilots stay
// square in joints that lie anywhere, as a lean takes away of where they may lie and nothing is worse for it; the
// others close flush, so that past a strain, which is a limit of its own, what is left stays convex.
func compile(s align.Stack, state string, rest, worst bool, callouts []Callout, asked []align.Output) (*align.Plan, error) {
	s, err := inState(s, state)
	if err != nil {
		return nil, err
	}
	s.States = nil
	var lies []align.Lie
	for j := range s.Joints {
		l := s.Joints[j].Lies
		if rest && l == align.LiesAny {
			l = align.LiesRest
		}
		lies = append(lies, l)
	}
	var sources []align.Source
	for i := range callouts {
		m := callouts[i].moves
		if p := callouts[i].axis; p != nil && !(worst && lies[p.joint] == align.LiesAny) {
			m = p.along(&s, m)
			if worst {
				s.Joints[p.joint].Rules = align.RulesFlush
			}
		}
		for c, axis := range []string{" X", " Y"} {
			sources = append(sources, align.Source{Name: callouts[i].Name() + axis, Moves: m[c]})
		}
	}
	return s.Compile(sources, lies, asked)
}

// at is one response for n columns of deviations.
func (r *responses) at(of int, x [][]float64, n int) ([]float64, error) {
	out := make([]float64, n)
	if err := r.list[of].alone.Evaluate([][]float64{out}, x, n); err != nil {
		return nil, err
	}
	for i, v := range out {
		out[i] = r.list[of].beyond(v)
	}
	return out, nil
}

// gradient is the value of a response at one deviation, and its derivatives by central differences or, for
// half the work, by forward ones; the steps are a share of each zone's radius.
func (r *responses) gradient(of int, x, radius []float64, central bool) (v float64, g []float64, err error) {
	const share = 1e-3
	sides := []float64{1}
	if central {
		sides = []float64{1, -1}
	}
	n := 1 + len(sides)*r.n
	cols := columns(r.n, n)
	for c := range cols {
		for k := range cols[c] {
			cols[c][k] = x[c]
		}
		for k, side := range sides {
			cols[c][1+k*r.n+c] += side * share * radius[c/2]
		}
	}
	y, err := r.at(of, cols, n)
	if err != nil {
		return 0, nil, err
	}
	g = make([]float64, r.n)
	for c := range g {
		other := y[0]
		if central {
			other = y[1+r.n+c]
		}
		g[c] = (y[1+c] - other) / (float64(len(sides)) * share * radius[c/2])
	}
	return y[0], g, nil
}

// steepen notes how steep a response is at a place within zones.
func (r *responses) steepen(of int, g []float64) {
	for k, rise := range rises(g) {
		r.steep[k] = max(r.steep[k], rise/r.list[of].scale)
	}
}

// columns are n numbers for each component.
func columns(components, n int) [][]float64 {
	out := make([][]float64, components)
	for c := range out {
		out[c] = make([]float64, n)
	}
	return out
}
