// Command questions asks what stackup can answer of one model: the end play of an invented spindle whose parts are
// eccentric as well. Every answer comes with its error. All numbers are invented.
package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log"
	"os"

	"example.com/borestack/stackup"
	"example.com/borestack/stackup/allocate"
	"example.com/borestack/stackup/estimate"
	"example.com/borestack/stackup/law"
	"example.com/borestack/stackup/learn"
	"example.com/borestack/stackup/quasi"
	"example.com/borestack/stackup/rare"
	"example.com/borestack/tolerance"
)

// spindle is a bore and a ring, whose play a tilt takes away from, mm; bore and ring of one lot vary together.
func spindle() *stackup.Study {
	normal := func(sd float64) law.Law { l, _ := law.NewNormal(0, sd); return l } // constants: always valid
	lot, _ := law.NewShared([]law.Law{normal(0.01), normal(0.02)}, [][]float64{{1, 1}, {1, 0}})
	tilt, _ := law.NewDisc(0, 0, 0.05)
	return &stackup.Study{
		Model: stackup.Func{In: 5, Out: 1, Of: func(y, x []float64) error {
			y[0] = 0.12 + x[0] - x[1] + x[2] - 4*(x[3]*x[3]+x[4]*x[4])
			return nil
		}},
		Inputs:    []stackup.Input{{Name: "bore and ring", Joint: lot}, {Name: "nut", Law: normal(0.015)}, {Name: "tilt", Joint: tilt}},
		Responses: []stackup.Response{{Name: "play", Limits: tolerance.AtLeast(0.02)}},
	}
}

// answers asks one question after the other.
func answers(w io.Writer) (err error) {
	ctx, s, set := context.Background(), spindle(), stackup.Settings{Samples: 1 << 16, Seed: 1}
	say := func(bad error, format string, a ...any) {
		if err == nil && bad == nil {
			fmt.Fprintf(w, format+"\n", a...)
		} else if err == nil {
			err = bad
		}
	}
	tell := func(f stackup.Figure) string { return fmt.Sprintf("%.6g ± %.2g", f.Value, f.Error) }
	t, settled, bad := s.RunUntil(ctx, stackup.Adaptive{Digits: 1}, set)
	if bad != nil {
		return bad
	}
	low, high := t.Summary(0).Shortest(0.95)
	say(nil, "How wide is it?               95 %% within %.4f to %.4f mm after %d batches", low, high, settled.Batches)
	e, bad := quasi.Run(ctx, s, quasi.Settings{Settings: set})
	if bad != nil {
		return bad
	}
	say(nil, "What is the mean?             %s mm", tell(e.Mean(0)))
	a, bad := estimate.Run(ctx, s, estimate.Goal{Of: estimate.OfYield, Error: 2e-5}, stackup.Settings{Samples: 1 << 19, Seed: 1})
	say(bad, "How many are good?            %s, by %s", tell(a.Figure), a.Method)
	tight := *s
	tight.Responses = []stackup.Response{{Name: "play", Limits: tolerance.AtLeast(-0.03)}}
	r, bad := rare.Failures(ctx, &tight, 0, set)
	if bad != nil {
		return bad
	}
	say(nil, "How many bind?                %s of a million", tell(stackup.Figure{Value: 1e6 * r.Failure.Value, Error: 1e6 * r.Failure.Error}))
	x, bad := s.SobolIndices(ctx, set)
	if bad != nil {
		return bad
	}
	for _, i := range x.Of(0) {
		say(nil, "What drives it?               %-14s %s of the variance", i.Input, tell(i.Total))
	}
	f, bad := s.FailureTails(ctx, stackup.Settings{Samples: 1 << 18, Seed: 1})
	if bad != nil {
		return bad
	}
	say(nil, "What do failures have?        a small nut, %s times as often as others", tell(f[0].Tails[2].Lower))
	better, bad := s.Inputs[1].Scaled(0.5)
	if bad != nil {
		return bad
	}
	d, bad := stackup.Compare(ctx, s, s.With(better), set)
	if bad != nil {
		return bad
	}
	say(nil, "What does a better nut do?    yield %s more", tell(d.Difference(0).Yield))
	wider := func(by float64) (*stackup.Study, error) {
		nut, bad := s.Inputs[1].Scaled(by)
		tilt, err := s.Inputs[2].Scaled(1 + 0.2*(by-1))
		return s.With(nut, tilt), errors.Join(bad, err)
	}
	l, bad := stackup.HowFar(ctx, wider, stackup.Question{From: 0.5, To: 4, Share: 0.99}, set)
	say(bad, "How far may nut and tilt go?  %.3f ± %.3f times the nut's spread, the tilt a fifth as fast", l.Value, l.Error)
	k, bad := learn.From(ctx, s, []learn.Observation{{Value: 0.07, Uncertainty: 0.002}}, set)
	if bad != nil {
		return bad
	}
	say(nil, "It reads 0.07: is it the nut? it is off by %s mm", tell(k.Inputs[2].Mean))
	_, next, bad := learn.Next(ctx, s, 0, stackup.Settings{Samples: 1 << 17, Seed: 1})
	if bad != nil {
		return bad
	}
	say(nil, "What to measure next?         %s leaves sd %s mm", next[0].Input, tell(next[0].SD))
	var nut []allocate.Option // the tighter the dearer
	for scale := 0.3; scale < 2; scale *= 1.1 {
		nut = append(nut, allocate.Option{Scale: scale, Cost: 2 / scale})
	}
	p, bad := allocate.Sampled(ctx, s, allocate.Ask{Yield: 0.999, Costs: []allocate.Cost{
		{Input: "nut", Options: nut}, {Input: "tilt", Options: []allocate.Option{{Scale: 0.5, Cost: 3}, {Scale: 1, Cost: 1}}},
	}}, set)
	if bad != nil {
		return bad
	}
	say(nil, "Which tolerance may go?       nut × %.2f, tilt × %.1f: cost %.2f, yield %s", p.Choices[0].Scale, p.Choices[1].Scale, p.Cost, tell(p.Yield))
	return err
}

func main() {
	if err := answers(os.Stdout); err != nil {
		log.Fatal(err)
	}
}
