package specify

import (
	"fmt"
	"math"

	"example.com/borestack/align"
	"example.com/borestack/align/record"
	"example.com/borestack/fault"
)

// responses are the limits of a box as functions of deviations: each is how far its worst end is beyond,
// in the base unit of its output; below 0 it holds. Components of deviations are two a callout, X and Y.
type responses struct {
	groups []group
	names  []string
	n      int       // components
	scale  []float64 // what is left of each at the drawn box
}

// group is the limits that one plan evaluates.
type group struct {
	e       *align.Evaluator
	outputs int
	sides   []side
	dst     [][]float64
}

// side is one end of one limit.
type side struct {
	output int
	sign   float64 // 1: a greatest, -1: a least
	bound  float64
}

// newResponses compiles the limits. Those of one state and one way to lie go together.
func newResponses(s align.Stack, limits []record.Limit, callouts []Callout) (*responses, error) {
	s = prepared(s)
	for i := range callouts {
		if c := &callouts[i]; c.AtMaximum && c.widen != nil {
			c.widen(&s, c.Size)
		}
	}
	r := &responses{n: 2 * len(callouts)}
	type key struct {
		state string
		rest  bool
	}
	var keys []key
	by := map[key][]record.Limit{}
	for _, l := range limits {
		k := key{l.State, l.AtRest}
		if by[k] == nil {
			keys = append(keys, k)
		}
		by[k] = append(by[k], l)
	}
	for _, k := range keys {
		in := s
		var err error
		if k.state != "" {
			if in, err = s.InState(k.state); err != nil {
				return nil, err
			}
		}
		in.States = nil
		var lies []align.Lie
		for j := range in.Joints {
			l := in.Joints[j].Lies
			if k.rest && l == align.LiesAny {
				l = align.LiesRest
			}
			lies = append(lies, l)
		}
		g := group{}
		var asked []align.Output
		for _, l := range by[k] {
			for _, end := range []struct {
				given bool
				sign  float64
				bound float64
			}{{l.Greatest.Given, 1, l.Greatest.Value}, {l.Least.Given, -1, l.Least.Value}} {
				if end.given {
					g.sides = append(g.sides, side{len(asked), end.sign, end.bound})
					r.names = append(r.names, record.OutputKind(l.Output.What)+nameOf(l))
				}
			}
			asked = append(asked, l.Output)
		}
		var sources []align.Source
		for i := range callouts {
			m := callouts[i].moves(&in)
			for c, axis := range []string{" X", " Y"} {
				sources = append(sources, align.Source{Name: callouts[i].Name() + axis, Moves: m[c]})
			}
		}
		plan, err := in.Compile(sources, lies, asked)
		if err != nil {
			return nil, err
		}
		g.e, g.outputs = plan.NewEvaluator(), len(asked)
		r.groups = append(r.groups, g)
	}
	if len(r.names) == 0 {
		return nil, fault.At("limits", "", "a limit on a number", fault.ErrMissing)
	}
	zero := make([][]float64, r.n)
	for c := range zero {
		zero[c] = []float64{0}
	}
	at, err := r.at(zero, 1)
	if err != nil {
		return nil, err
	}
	for i := range at {
		if !(at[i][0] < 0) {
			return nil, fault.At("limits", r.names[i], fmt.Sprintf("a limit that the box as drawn holds: it is beyond by %.4g", at[i][0]), fault.ErrConflict)
		}
		r.scale = append(r.scale, -at[i][0])
	}
	return r, nil
}

func nameOf(l record.Limit) string {
	s := ""
	if l.Output.Of != "" {
		s += " of " + l.Output.Of
	}
	if l.State != "" {
		s += ", " + l.State
	}
	return s
}

// at evaluates every response for n columns of deviations: out[response][sample].
func (r *responses) at(x [][]float64, n int) ([][]float64, error) {
	var out [][]float64
	for i := range r.groups {
		g := &r.groups[i]
		for len(g.dst) < g.outputs {
			g.dst = append(g.dst, nil)
		}
		for o := range g.dst {
			if len(g.dst[o]) < n {
				g.dst[o] = make([]float64, n)
			}
		}
		if err := g.e.Evaluate(g.dst, x, n); err != nil {
			return nil, err
		}
		for _, q := range g.sides {
			row := make([]float64, n)
			for k := range row {
				if row[k] = q.sign * (g.dst[q.output][k] - q.bound); math.IsNaN(row[k]) {
					row[k] = math.Inf(1)
				}
			}
			out = append(out, row)
		}
	}
	return out, nil
}

// gradient is the value of a response at one deviation, and its derivatives by central differences; the
// steps are a share of each zone's radius.
func (r *responses) gradient(of int, x, radius []float64) (v float64, g []float64, err error) {
	const share = 1e-3
	n := 2*r.n + 1
	cols := make([][]float64, r.n)
	step := make([]float64, r.n)
	for c := range cols {
		cols[c] = make([]float64, n)
		for k := range cols[c] {
			cols[c][k] = x[c]
		}
		step[c] = share * math.Max(radius[c/2], 1e-9)
		cols[c][2*c+1] += step[c]
		cols[c][2*c+2] -= step[c]
	}
	y, err := r.at(cols, n)
	if err != nil {
		return 0, nil, err
	}
	g = make([]float64, r.n)
	for c := range g {
		g[c] = (y[of][2*c+1] - y[of][2*c+2]) / (2 * step[c])
	}
	return y[of][0], g, nil
}
