package study

import (
	"context"
	"fmt"
	"math"

	"example.com/borestack/align"
	"example.com/borestack/align/record"
	"example.com/borestack/stackup"
	"example.com/borestack/stackup/law"
	"example.com/borestack/tolerance"
)

// Vary studies how a record's outputs vary: worst case, root sum of squares and Monte Carlo side by side, for the process and for the gauge apart. The outputs are those of the record's limits, or, when there are none, margin and use. It returns nothing when nothing varies. The same seed gives the same answer on any number of workers.
//
// A source that no output's state depends on is an error that names it.
func Vary(ctx context.Context, rec *record.Record, set stackup.Settings) ([]*Variation, error) {
	var out []*Variation
	floats := false
	kinds := map[string]bool{}
	for i := range rec.Vary {
		if rec.Vary[i].Float != "" {
			floats = true
		} else {
			kinds[becauseOf(&rec.Vary[i])] = true
		}
	}
	if floats && len(kinds) == 0 {
		kinds["process"] = true
	}
	for _, because := range []string{"process", "gauge"} {
		if !kinds[because] {
			continue
		}
		v, err := vary(ctx, rec, because, set)
		if err != nil {
			return nil, err
		}
		out = append(out, v)
	}
	return out, nil
}

// wanted lists the outputs to study: those that have limits, or margin and use.
func wanted(rec *record.Record) []record.Limit {
	limits := rec.Limits()
	if len(limits) == 0 && len(rec.Shafts) > 0 {
		return []record.Limit{{Output: align.Output{What: align.Margin}}, {Output: align.Output{What: align.Use}}}
	}
	return limits
}

// vary studies one kind of source.
func vary(ctx context.Context, rec *record.Record, because string, set stackup.Settings) (*Variation, error) {
	stack, err := rec.Stack()
	if err != nil {
		return nil, err
	}
	out := &Variation{Because: because, Samples: set.Samples, Seed: set.Seed}
	limits := wanted(rec)
	out.Outputs = make([]Varied, len(limits))
	done := make([]bool, len(limits))
	for i := range limits {
		if done[i] {
			continue
		}
		// limits of one state, judged alike, share their samples
		var own []int
		for k := i; k < len(limits); k++ {
			if limits[k].State == limits[i].State && limits[k].AtRest == limits[i].AtRest {
				own, done[k] = append(own, k), true
			}
		}
		g, err := newGroup(rec, stack, because, limits, own)
		if err != nil {
			return nil, err
		}
		if err := g.run(ctx, set, out); err != nil {
			return nil, err
		}
		if i == 0 {
			out.Floats = g.loose()
		}
	}
	return out, nil
}

// group is the outputs of one state of the box, judged alike.
type group struct {
	limits []record.Limit
	own    []int
	stack  align.Stack
	lies   []align.Lie
	varies varies
}

func newGroup(rec *record.Record, stack align.Stack, because string, limits []record.Limit, own []int) (*group, error) {
	g := &group{limits: limits, own: own, stack: stack}
	var in func(align.Stack) (align.Stack, error)
	if name := limits[own[0]].State; name != "" {
		in = func(s align.Stack) (align.Stack, error) { return s.InState(name) }
		var err error
		if g.stack, err = in(stack); err != nil {
			return nil, err
		}
	}
	var err error
	if g.varies, err = sources(rec, because, in); err != nil {
		return nil, err
	}
	g.lies = lies(rec, &g.stack)
	for i := range g.lies {
		if g.stack.Joints[i].Float != nil || (limits[own[0]].AtRest && g.lies[i] != align.LiesHang) {
			g.lies[i] = align.LiesRest
		}
	}
	return g, nil
}

// loose names the joints of which every sample takes the worst of the float.
func (g *group) loose() (out []string) {
	for i, l := range g.lies {
		if l == align.LiesAny {
			out = append(out, g.stack.JointName(i))
		}
	}
	return out
}

// run fills in the group's outputs.
func (g *group) run(ctx context.Context, set stackup.Settings, out *Variation) error {
	st, err := g.study(g.lies, false, g.own)
	if err != nil {
		return err
	}
	lin, err := g.linear()
	if err != nil {
		return err
	}
	worst, err := g.worst(lin)
	if err != nil {
		return err
	}
	tally, err := st.Run(ctx, set)
	if err != nil {
		return g.explain(err)
	}
	for n, k := range g.own {
		v := &out.Outputs[k]
		v.Limit = g.limits[k]
		v.Sampled = tally.Summary(n)
		v.Nominal = finite(lin.rest[n])
		v.RSS, v.Shares = lin.estimate(n)
		v.Worst, v.Unbounded = worst[n].Worst, worst[n].Unbounded
	}
	out.study = st
	return nil
}

// explain puts the record's words to a sample that could not be evaluated.
func (g *group) explain(err error) error {
	return fmt.Errorf("study: %w", err)
}

func finite(v float64) tolerance.Optional[float64] {
	if math.IsInf(v, 0) || math.IsNaN(v) {
		return tolerance.Optional[float64]{}
	}
	return tolerance.Given(v)
}

// study is the engine's study of some of the group's outputs with its joints lying so: one wanted number an output, the worst or the best over the floats of joints that lie anywhere, and whether the box assembles.
func (g *group) study(lies []align.Lie, best bool, own []int) (*stackup.Study, error) {
	var outputs []align.Output
	st := &stackup.Study{Inputs: append([]stackup.Input(nil), g.varies.inputs...)}
	last := len(own)
	for n, k := range own {
		l := &g.limits[k]
		o := l.Output
		o.Best = best
		outputs = append(outputs, o)
		w := stackup.NoLimits(fmt.Sprintf("output %d", k), n)
		w.Unless = last + 1
		if l.Least.Given {
			w.Least = l.Least.Value
		}
		if l.Greatest.Given {
			w.Greatest = l.Greatest.Value
		}
		if l.Output.What == align.Assembles && !l.Least.Given && !l.Greatest.Given {
			w.Least = 1
		}
		st.Wanted = append(st.Wanted, w)
	}
	outputs = append(outputs, align.Output{What: align.Assembles})
	p, err := g.stack.Compile(g.varies.sources, lies, outputs)
	if err != nil {
		return nil, err
	}
	for _, joint := range p.Drawn() {
		one, err := law.NewUniform(0, 1)
		if err != nil {
			return nil, err
		}
		st.Inputs = append(st.Inputs, stackup.Input{Name: "float of " + g.stack.JointName(joint), Law: one})
	}
	st.Model = model{p}
	return st, nil
}
