package study

import (
	"context"
	"fmt"
	"slices"

	"example.com/borestack/align"
	"example.com/borestack/align/record"
	"example.com/borestack/internal/ieee"
	"example.com/borestack/stackup"
	"example.com/borestack/tolerance"
)

// Vary studies how a record's outputs vary: worst case, root sum of squares and Monte Carlo side by
// side, for the process and for the gauge apart. The outputs are those of the record's limits, or,
// when there are none, margin and use. It returns nothing when nothing varies. The same seed gives
// the same answer on any number of workers.
//
// Progress says which study is under way (because of process or gauge, in which state), and counts the samples of
// all the record's studies together: it only grows.
//
// A source that moves nothing in the box is an error that names it. When ctx ends, the error wraps
// its cause, and beside it stands what was sampled before, in whole blocks: those variations say
// that they were stopped.
func Vary(ctx context.Context, rec *record.Record, set stackup.Settings) ([]*Variation, error) {
	made, err := digestOf(rec)
	if err != nil {
		return nil, err
	}
	return varyBy(ctx, rec, made, func(g *group, st *stackup.Study) (*stackup.Accumulator, error) {
		return g.sample(ctx, st, set)
	})
}

// groupKey tells the studies of one record apart.
type groupKey struct {
	Because string `json:"because"`
	State   string `json:"state,omitempty"`
	AtRest  bool   `json:"at_rest,omitempty"`
}

// sampler finds the samples of one study.
type sampler func(g *group, st *stackup.Study) (*stackup.Accumulator, error)

// because lists what a record's sources vary because of.
func because(rec *record.Record) (out []string) {
	for _, kind := range []string{"process", "gauge"} {
		if slices.ContainsFunc(rec.Vary, func(v record.Vary) bool { return becauseOf(&v) == kind }) {
			out = append(out, kind)
		}
	}
	return out
}

// varyBy studies every kind of source.
func varyBy(ctx context.Context, rec *record.Record, made string, samples sampler) ([]*Variation, error) {
	groups, err := groupsOf(rec)
	if err != nil {
		return nil, err
	}
	var out []*Variation
	for _, kind := range because(rec) {
		v := &Variation{Because: kind, Outputs: make([]Varied, len(responses(rec))), made: made}
		out = append(out, v)
		own := slices.DeleteFunc(slices.Clone(groups), func(g *group) bool { return g.key.Because != kind })
		for _, g := range own {
			if err := g.loose(v); err != nil {
				return nil, err
			}
			if err := g.run(ctx, samples, v); err != nil {
				if ctx.Err() == nil {
					return nil, err
				}
				return sampled(out), err
			}
		}
	}
	return out, nil
}

// sampled are the variations of a run that was stopped, without the outputs that it did not come to.
func sampled(list []*Variation) []*Variation {
	last := list[len(list)-1]
	last.Stopped = true
	last.Outputs = slices.DeleteFunc(last.Outputs, func(v Varied) bool { return v.Sampled.Samples == 0 })
	if len(last.Outputs) == 0 {
		return list[:len(list)-1]
	}
	return list
}

// responses lists the outputs to study: those that have limits, or margin and use.
func responses(rec *record.Record) []record.Limit {
	limits := rec.Limits()
	if len(limits) == 0 && len(rec.Shafts) > 0 {
		return []record.Limit{{Output: align.Output{What: align.Margin}}, {Output: align.Output{What: align.Use}}}
	}
	return limits
}

// groupsOf lists the studies of a record, those of one kind of source together: limits of one state
// that are judged alike share their samples.
func groupsOf(rec *record.Record) ([]*group, error) {
	stack, err := rec.Stack()
	if err != nil {
		return nil, err
	}
	limits, o := responses(rec), originOf(rec, nil)
	var out []*group
	for _, kind := range because(rec) {
		alike := func(i int) groupKey { return groupKey{kind, limits[i].State, limits[i].Rests()} }
		for _, own := range grouped(len(limits), alike) {
			g, err := newGroup(o, stack, alike(own[0]), limits, own)
			if err != nil {
				return nil, err
			}
			out = append(out, g)
		}
	}
	for k, g := range out {
		g.at, g.of = k, len(out)
	}
	return out, nil
}

// grouped lists the indices of n things that are alike, in the order in which each kind first comes.
func grouped[K comparable](n int, kind func(int) K) (out [][]int) {
	at := map[K]int{}
	for i := range n {
		k, known := at[kind(i)]
		if !known {
			k = len(out)
			at[kind(i)], out = k, append(out, nil)
		}
		out[k] = append(out[k], i)
	}
	return out
}

// chosen are the members of a list at some indices.
func chosen[T any](list []T, at []int) (out []T) {
	for _, k := range at {
		out = append(out, list[k])
	}
	return out
}

// group is the outputs of one state of the box, judged alike.
type group struct {
	at, of int // its place among the groups of the run, and how many they are
	key    groupKey
	limits []record.Limit
	own    []int
	stack  align.Stack
	lies   []align.Lie
	varies varies
}

func newGroup(o Origin, stack align.Stack, key groupKey, limits []record.Limit, own []int) (*group, error) {
	g := &group{key: key, limits: limits, own: own}
	var err error
	if g.stack, err = inState(stack, key.State); err != nil {
		return nil, err
	}
	if g.varies, err = o.sources(key.Because, key.State); err != nil {
		return nil, err
	}
	g.lies = liesFor(key.Because, o.rec, &g.stack)
	for i := range g.lies {
		if g.stack.Joints[i].Float != nil || (key.AtRest && g.lies[i] != align.LiesHang) {
			g.lies[i] = align.LiesRest
		}
	}
	return g, nil
}

// loose adds the joints of which every sample takes the worst of the float: those that may lie
// anywhere in one as measured.
func (g *group) loose(out *Variation) error {
	for i, l := range g.lies {
		name := g.stack.JointName(i)
		if l != align.LiesAny || slices.Contains(out.Floats, name) {
			continue
		}
		free, err := floats(g.stack, i)
		if err != nil {
			return err
		}
		if free {
			out.Floats = append(out.Floats, name)
		}
	}
	return nil
}

// run fills in the group's outputs.
func (g *group) run(ctx context.Context, samples sampler, out *Variation) error {
	st, err := g.study(g.lies, false, g.own)
	if err != nil {
		return err
	}
	var own []*Varied
	for _, k := range g.own {
		own = append(own, &out.Outputs[k])
		out.Outputs[k].Limit = g.limits[k]
	}
	lin, err := g.linear(ctx)
	if err != nil {
		return err
	}
	if err := g.worst(ctx, lin, own); err != nil {
		return err
	}
	acc, stopped := samples(g, st)
	if acc == nil || acc.Samples() == 0 {
		return fmt.Errorf("study: %w", stopped)
	}
	var causes map[string][]Cause
	if stopped == nil {
		causes, stopped = g.causes(ctx, st, acc)
	}
	if out.Samples == 0 || acc.Samples() < out.Samples {
		out.Samples = acc.Samples()
	}
	out.Seed = acc.Seed
	for n, v := range own {
		v.Sampled = acc.Summary(n)
		v.Nominal = finite(lin.rest[n])
		v.RSS, v.Shares = lin.estimate(n)
		v.Causes = causes[st.Responses[n].Name]
	}
	if stopped != nil {
		return fmt.Errorf("study: %w", stopped)
	}
	return nil
}

func finite(v float64) tolerance.Optional[float64] {
	if !ieee.Finite(v) {
		return tolerance.Optional[float64]{}
	}
	return tolerance.Given(v)
}

// study is the engine's study of some of the group's outputs with its joints lying so: one
// response an output, the worst or the best over the floats of joints that lie anywhere, and whether
// the box assembles.
func (g *group) study(lies []align.Lie, best bool, own []int) (*stackup.Study, error) {
	var outputs []align.Output
	var wanted []stackup.Response
	for n, k := range own {
		l := &g.limits[k]
		o := l.Output
		o.Best = best
		outputs = append(outputs, o)
		w := stackup.Response{Name: fmt.Sprintf("output %d", k), Output: n}
		w.Limits = l.Limits
		if l.Output.What == align.Assembles && w.Limits == (tolerance.Limits{}) {
			w.Limits = tolerance.AtLeast(1)
		}
		wanted = append(wanted, w)
	}
	outputs = append(outputs, align.Output{What: align.Assembles})
	p, err := g.stack.Compile(g.varies.sources, lies, outputs)
	if err != nil {
		return nil, err
	}
	st, err := Of(p, g.varies.inputs, wanted...)
	if err != nil {
		return nil, err
	}
	st.Model = model{p, slices.Contains(lies, align.LiesAny)}
	return st, nil
}
