package study

import (
	"math"

	"example.com/borestack/align"
	"example.com/borestack/stackup"
	"example.com/borestack/tolerance"
)

// uncertainties works out the standard uncertainty that the readings' stated uncertainties give each output where the joints lie: each reading on its own, what is shared by a set of readings together, combined as independent. Differences are taken over a step of one standard uncertainty each way.
//
// Source: JCGM 100:2008, 5.1.2 and 5.1.3 note 2 (numerical sensitivities).
//
// stated are the sources that the record says vary because of the gauge, each column with its standard deviation; correlation within a pair is none.
func uncertainties(s align.Stack, outputs []align.Output, stated varies) ([]float64, error) {
	u := make([]float64, len(outputs))
	sources, steps := gaugeSources(&s)
	for i := range stated.inputs {
		steps = append(steps, spreads(&stated.inputs[i])...)
	}
	sources = append(sources, stated.sources...)
	if len(sources) == 0 {
		return u, nil
	}
	lies := make([]align.Lie, len(s.Joints))
	for i := range lies {
		lies[i] = align.LiesRest
		if s.Joints[i].Lies == align.LiesHang {
			lies[i] = align.LiesHang
		}
	}
	p, err := s.Compile(sources, lies, outputs)
	if err != nil {
		return nil, err
	}
	n := 2 * len(sources)
	x := make([][]float64, len(sources))
	for i := range x {
		x[i] = make([]float64, n)
		x[i][2*i], x[i][2*i+1] = steps[i], -steps[i]
	}
	y := make([][]float64, len(outputs))
	for i := range y {
		y[i] = make([]float64, n)
	}
	if err := p.NewEvaluator().Evaluate(y, x, n); err != nil {
		return nil, err
	}
	for o := range outputs {
		var sum float64
		for i := range sources {
			d := (y[o][2*i] - y[o][2*i+1]) / 2
			if !math.IsInf(d, 0) && !math.IsNaN(d) {
				sum += d * d
			}
		}
		u[o] = math.Sqrt(sum)
	}
	return u, nil
}

// gaugeSources lists every reading with a stated uncertainty as a source, with its standard uncertainty.
func gaugeSources(s *align.Stack) (sources []align.Source, steps []float64) {
	each := func(r *align.Readings, of func(*align.Stack) *align.Readings) {
		if u := r.Uncertainty; u.Given && u.Value > 0 {
			for k, v := range r.Values {
				for n := range v {
					sources = append(sources, align.Source{Moves: []align.Move{{Of: reading(of, k, n), Gain: 1}}})
					steps = append(steps, float64(u.Value))
				}
			}
		}
		if u := r.SharedUncertainty; u.Given && u.Value > 0 {
			var all align.Source
			for k, v := range r.Values {
				for n := range v {
					all.Moves = append(all.Moves, align.Move{Of: reading(of, k, n), Gain: 1})
				}
			}
			sources = append(sources, all)
			steps = append(steps, float64(u.Value))
		}
	}
	for i := range s.Parts {
		for _, rear := range []bool{false, true} {
			side := func(s *align.Stack) *align.Face {
				if rear {
					return s.Parts[i].Rear
				}
				return s.Parts[i].Front
			}
			f := side(s)
			if f == nil {
				continue
			}
			if f.Thickness != nil {
				each(&f.Thickness.Readings, func(s *align.Stack) *align.Readings { return &side(s).Thickness.Readings })
			}
			if f.Sweep != nil {
				each(&f.Sweep.Readings, func(s *align.Stack) *align.Readings { return &side(s).Sweep.Readings })
			}
			if f.Pilot != nil && f.Pilot.Sweep != nil {
				each(&f.Pilot.Sweep.Readings, func(s *align.Stack) *align.Readings { return &side(s).Pilot.Sweep.Readings })
			}
		}
		for b := range s.Parts[i].Bores {
			if w := s.Parts[i].Bores[b].Sweep; w != nil {
				each(&w.Readings, func(s *align.Stack) *align.Readings { return &s.Parts[i].Bores[b].Sweep.Readings })
			}
		}
	}
	return sources, steps
}

func reading(of func(*align.Stack) *align.Readings, station, repeat int) align.Number {
	return align.NumberOf(func(s *align.Stack) *tolerance.Length { return &of(s).Values[station][repeat] })
}

// spreads are the standard deviations of an input's columns.
func spreads(in *stackup.Input) []float64 {
	if in.Plane != nil {
		xx, yy, _ := in.Plane.Covariance()
		return []float64{math.Sqrt(xx), math.Sqrt(yy)}
	}
	return []float64{in.Law.Moments().SD()}
}
