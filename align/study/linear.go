package study

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/mat"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/quantity"
	"example.com/borestack/fault"
	"example.com/borestack/internal/ieee"
	"example.com/borestack/stackup"
	"example.com/borestack/stackup/law"
	"example.com/borestack/tolerance"
)

// linear is a group to first order about the box as measured: sizes by their components, joints at
// rest, and the floats that are drawn as further inputs.
type linear struct {
	group  *group
	study  *stackup.Study
	model  *stackup.Linear
	column []int     // per output of the group: its first column
	rest   []float64 // per output: its value at zero deviation
	scale  []float64 // per output: 2 for a TIR, whose columns are the offset's
}

// components are the outputs whose columns an output needs, to first order: of a size those of its vector.
func components(o align.Output) []align.Output {
	e := quantity.Of(o.What)
	if !e.Size() {
		return []align.Output{o}
	}
	return []align.Output{{What: e.Components[0], Of: o.Of, From: o.From}, {What: e.Components[1], Of: o.Of, From: o.From}}
}

// sized reports whether an output is the length of a plane vector.
func sized(q align.Quantity) bool {
	e := quantity.Of(q)
	return e.Size()
}

// scaleOf is how many times its components a size is: a TIR is twice the offset.
func scaleOf(q align.Quantity) float64 { return max(quantity.Of(q).Scale, 1) }

// linear works out the group to first order.
func (g *group) linear(ctx context.Context) (*linear, error) {
	l := &linear{group: g, study: &stackup.Study{}}
	var outputs []align.Output
	for _, k := range g.own {
		o := g.limits[k].Output
		l.column = append(l.column, len(outputs))
		outputs = append(outputs, components(o)...)
		l.scale = append(l.scale, scaleOf(o.What))
	}
	still := make([]align.Lie, len(g.lies))
	for i, lie := range g.lies {
		if still[i] = align.LiesRest; lie == align.LiesHang {
			still[i] = align.LiesHang
		}
	}
	l.study.Inputs = append(l.study.Inputs, g.varies.inputs...)
	first, err := g.differences(ctx, g.stack, g.varies.inputs, g.varies.sources, still, outputs)
	if err != nil {
		return nil, err
	}
	l.model = first
	inputs, srcs, measured, err := g.floats()
	if err != nil {
		return nil, err
	}
	if len(inputs) > 0 {
		second, err := g.differences(ctx, measured, inputs, srcs, still, outputs)
		if err != nil {
			return nil, err
		}
		for o := range first.Gain {
			first.Gain[o] = append(first.Gain[o], second.Gain[o]...)
		}
		l.study.Inputs = append(l.study.Inputs, inputs...)
	}
	for n := range g.own {
		c := l.column[n]
		v := first.At[c]
		if sized(g.limits[g.own[n]].Output.What) {
			v = l.scale[n] * math.Hypot(first.At[c], first.At[c+1])
		}
		l.rest = append(l.rest, v)
	}
	return l, nil
}

// differences linearises outputs of a stack.
func (g *group) differences(ctx context.Context, s align.Stack, inputs []stackup.Input, srcs []align.Source, lies []align.Lie, outputs []align.Output) (*stackup.Linear, error) {
	p, err := s.Compile(srcs, lies, outputs)
	if err != nil {
		return nil, err
	}
	st, err := Of(p, inputs)
	if err != nil {
		return nil, err
	}
	st.Model, st.Responses = model{p, false}, nil
	return st.Linearise(ctx)
}

// floats are the drawn floats to first order: for each joint its principal directions as
// independent inputs of unit variance, and its mean as a constant. measured is the stack with those
// joints where they rest, and floats that can be moved.
func (g *group) floats() (inputs []stackup.Input, srcs []align.Source, measured align.Stack, err error) {
	measured = g.stack
	measured.Joints = slices.Clone(g.stack.Joints)
	for i, lie := range g.lies {
		if lie != align.LiesUniform && lie != align.LiesRim {
			continue
		}
		spread, err := g.stack.FloatSpread(i, lie)
		if err != nil {
			return nil, nil, measured, err
		}
		measured.Joints[i].Float = &spread.Rest
		ways, err := waysOf(spread)
		if err != nil {
			return nil, nil, measured, err
		}
		for _, w := range ways {
			src := align.Source{Name: fmt.Sprintf("%s%s/%d", floatMark, g.stack.JointName(i), len(inputs))}
			for k, of := range floatNumbers(i) {
				if w.along[k] != 0 {
					src.Moves = append(src.Moves, align.Move{Of: of, Gain: w.along[k]})
				}
			}
			inputs, srcs = append(inputs, stackup.Input{Name: src.Name, Law: w.law}), append(srcs, src)
		}
	}
	return inputs, srcs, measured, nil
}

// way is a direction along which a drawn float lies, by how far.
type way struct {
	along [3]float64
	law   law.Law
}

// waysOf are the principal directions of a spread, and its mean as a constant.
func waysOf(s align.FloatSpread) (out []way, err error) {
	c := mat.NewSymDense(3, slices.Concat(s.Covariance[0][:], s.Covariance[1][:], s.Covariance[2][:]))
	values, vec, found := principal(c)
	if !found {
		return nil, fault.ErrNotConverging
	}
	add := func(along [3]float64, mean, sd float64) {
		l, wrong := law.NewNormal(mean, sd)
		out, err = append(out, way{along, l}), errors.Join(err, wrong)
	}
	for n, v := range values {
		if v > 0 {
			add([3]float64(mat.Col(nil, n, &vec)), 0, math.Sqrt(v))
		}
	}
	if s.Mean != [3]float64{} {
		add(s.Mean, 1, 0)
	}
	return out, err
}

// floatNumbers refer to the measured float of joint i: x, y and turn.
func floatNumbers(i int) [3]align.Number {
	return [3]align.Number{
		align.NumberOf(func(s *align.Stack) *tolerance.Length { return &s.Joints[i].Float.X }),
		align.NumberOf(func(s *align.Stack) *tolerance.Length { return &s.Joints[i].Float.Y }),
		align.NumberOf(func(s *align.Stack) *tolerance.Angle { return &s.Joints[i].Float.Turn }),
	}
}

// estimate is output n of the group by root sum of squares: a size by the exact distribution of a
// plane vector with normal components, anything else by a normal distribution. It is nil where
// nothing to first order can be said.
func (l *linear) estimate(n int) (*Estimate, []tolerance.Share) {
	what := l.group.limits[l.group.own[n]].Output.What
	if what == align.Assembles || !ieee.Finite(l.rest[n]) {
		return nil, nil
	}
	c, second := l.column[n], -1
	if sized(what) {
		second = c + 1
	}
	s := l.model.Spread(l.study, c, second)
	var of law.Law
	var err error
	if second >= 0 {
		k := l.scale[n]
		of, err = law.NewNormalSize(k*s.Mean[0], k*s.Mean[1], k*k*s.XX, k*k*s.YY, k*k*s.XY)
	} else {
		of, err = law.NewNormal(s.Mean[0], math.Sqrt(s.XX))
	}
	if err != nil {
		return nil, nil
	}
	m := of.Moments()
	out := &Estimate{Mean: m.Mean, SD: m.SD(), Bent: l.bent(c, second)}
	for i, p := range quantiles {
		out.Quantiles[i] = of.Quantile(p)
	}
	return out, l.shares(s.Shares)
}

// bent names an input that moves one of two outputs of the linear model otherwise than along a line.
func (l *linear) bent(x, y int) string {
	for i := range l.model.Bends {
		b := &l.model.Bends[i]
		if b.Output != x && b.Output != y {
			continue
		}
		column := b.Column
		for k := range l.study.Inputs {
			in := &l.study.Inputs[k]
			if column -= in.Columns(); column < 0 {
				name, _, _ := strings.Cut(in.Name, "/")
				return name
			}
		}
	}
	return ""
}

// shares joins the inputs that stand for one float, and leaves out constants.
func (l *linear) shares(by []float64) []tolerance.Share {
	var out []tolerance.Share
	at := map[string]int{}
	for i, v := range by {
		name := l.study.Inputs[i].Name
		joint, float := strings.CutPrefix(name, floatMark)
		if float {
			name, _, _ = strings.Cut(joint, "/") // names hold no slash
		}
		if k, known := at[name]; known && float {
			out[k].Share += v
			continue
		}
		at[name] = len(out)
		out = append(out, tolerance.Share{Name: name, Share: v})
	}
	return out
}
