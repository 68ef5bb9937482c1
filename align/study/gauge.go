package study

import (
	"fmt"
	"math"

	"example.com/borestack/align"
	"example.com/borestack/tolerance"
)

// GaugeSource is one source of error of the readings, with its standard uncertainty.
type GaugeSource struct {
	align.Source
	Part     string  // whose reading
	Key      string  // which reading of the part
	Set      string  // which set of readings, in words: "plate: thickness"
	Standard float64 // standard uncertainty, in the unit of the source: mm for readings
}

// EachReadings calls do for every set of readings of a stack that may carry an uncertainty; find finds the set again in a copy of the stack.
func EachReadings(s *align.Stack, do func(part int, place string, r *align.Readings, find func(*align.Stack) *align.Readings)) {
	for i := range s.Parts {
		for _, rear := range []bool{false, true} {
			side := func(s *align.Stack) *align.Face {
				if rear {
					return s.Parts[i].Rear
				}
				return s.Parts[i].Front
			}
			name := "front"
			if rear {
				name = "rear"
			}
			f := side(s)
			if f == nil {
				continue
			}
			if f.Thickness != nil {
				do(i, "thickness", &f.Thickness.Readings, func(s *align.Stack) *align.Readings { return &side(s).Thickness.Readings })
			}
			if f.Sweep != nil {
				do(i, "sweep of its "+name+" face", &f.Sweep.Readings, func(s *align.Stack) *align.Readings { return &side(s).Sweep.Readings })
			}
			if f.Pilot != nil && f.Pilot.Sweep != nil {
				do(i, "sweep of its "+name+" pilot", &f.Pilot.Sweep.Readings, func(s *align.Stack) *align.Readings { return &side(s).Pilot.Sweep.Readings })
			}
		}
		for b := range s.Parts[i].Bores {
			if w := s.Parts[i].Bores[b].Sweep; w != nil {
				do(i, "sweep of "+s.Parts[i].Bores[b].Name, &w.Readings, func(s *align.Stack) *align.Readings { return &s.Parts[i].Bores[b].Sweep.Readings })
			}
		}
	}
}

// GaugeSources lists every reading with a stated uncertainty, and what is shared by each set of them.
func GaugeSources(s *align.Stack) []GaugeSource {
	var out []GaugeSource
	EachReadings(s, func(part int, place string, r *align.Readings, find func(*align.Stack) *align.Readings) {
		name := s.Parts[part].Name
		set := name + ": " + place
		move := func(k, n int) align.Move {
			return align.Move{Of: align.NumberOf(func(s *align.Stack) *tolerance.Length { return &find(s).Values[k][n] }), Gain: 1}
		}
		var shared []align.Move
		for k, v := range r.Values {
			for n := range v {
				m := move(k, n)
				shared = append(shared, m)
				if u := r.Uncertainty; u.Given && u.Value > 0 {
					out = append(out, GaugeSource{align.Source{Moves: []align.Move{m}}, name, fmt.Sprintf("%s %d.%d", place, k, n), set, float64(u.Value)})
				}
			}
		}
		if u := r.SharedUncertainty; u.Given && u.Value > 0 {
			out = append(out, GaugeSource{align.Source{Moves: shared}, name, place + " shared", set, float64(u.Value)})
		}
	})
	return out
}

// GaugeEffects works out by how much one standard uncertainty of every source moves each output, where the joints rest or hang: effect[output][source]. Of a size it is the effect along the offset; of a size that is not clear of zero, along the direction that is least certain, since a size does not change at zero however far its components may be off.
//
// Source: JCGM 100:2008, 5.1.3 note 2 (numerical sensitivities over one standard uncertainty each way).
func GaugeEffects(s align.Stack, sources []GaugeSource, outputs []align.Output) ([][]float64, error) {
	out := make([][]float64, len(outputs))
	for o := range out {
		out[o] = make([]float64, len(sources))
	}
	if len(sources) == 0 || len(outputs) == 0 {
		return out, nil
	}
	var parts []align.Output
	var first []int
	for _, o := range outputs {
		first = append(first, len(parts))
		parts = append(parts, components(o)...)
	}
	y, err := nudged(atRest(s), sources, parts)
	if err != nil {
		return nil, err
	}
	slope := func(part, i int) float64 {
		if d := (y[part][2*i+1] - y[part][2*i+2]) / 2; !math.IsInf(d, 0) && !math.IsNaN(d) {
			return d
		}
		return 0
	}
	for o, at := range first {
		if !sized(outputs[o].What) {
			for i := range sources {
				out[o][i] = slope(at, i)
			}
			continue
		}
		var xx, yy, xy float64
		for i := range sources {
			dx, dy := slope(at, i), slope(at+1, i)
			xx, yy, xy = xx+dx*dx, yy+dy*dy, xy+dx*dy
		}
		dx, dy := alongSize(y[at][0], y[at+1][0], xx, yy, xy)
		scale := 1.0
		if outputs[o].What == align.TIRSize {
			scale = 2
		}
		for i := range sources {
			out[o][i] = scale * (dx*slope(at, i) + dy*slope(at+1, i))
		}
	}
	return out, nil
}

// clearOfZero is how many standard uncertainties a size must have to be clear of zero.
const clearOfZero = 5

// alongSize is the direction in which a plane vector (x, y) with that covariance is judged: its own, or its least certain one.
func alongSize(x, y, xx, yy, xy float64) (dx, dy float64) {
	mean, half := (xx+yy)/2, (xx-yy)/2
	greatest := mean + math.Hypot(half, xy)
	if size := math.Hypot(x, y); size > clearOfZero*math.Sqrt(greatest) {
		return x / size, y / size
	}
	sin, cos := math.Sincos(math.Atan2(xy, half) / 2)
	return cos, sin
}

// nudged evaluates outputs as measured, and with every source one standard uncertainty up and down.
func nudged(s align.Stack, sources []GaugeSource, outputs []align.Output) ([][]float64, error) {
	var in []align.Source
	n := 2*len(sources) + 1
	x, y := make([][]float64, len(sources)), make([][]float64, len(outputs))
	for i := range sources {
		in = append(in, sources[i].Source)
		x[i] = make([]float64, n)
		x[i][2*i+1], x[i][2*i+2] = sources[i].Standard, -sources[i].Standard
	}
	for i := range y {
		y[i] = make([]float64, n)
	}
	p, err := s.Compile(in, nil, outputs)
	if err != nil {
		return nil, err
	}
	return y, p.NewEvaluator().Evaluate(y, x, n)
}

// Uncertainties works out the standard uncertainty that sources give each output where the joints rest or hang, combined as independent.
//
// Source: JCGM 100:2008, 5.1.2.
func Uncertainties(s align.Stack, sources []GaugeSource, outputs []align.Output) ([]float64, error) {
	e, err := GaugeEffects(s, sources, outputs)
	if err != nil {
		return nil, err
	}
	u := make([]float64, len(outputs))
	for o := range e {
		var sum float64
		for _, d := range e[o] {
			sum += d * d
		}
		u[o] = math.Sqrt(sum)
	}
	return u, nil
}

// stated lists the sources that a record says vary because of the gauge, each column with its standard deviation; a pair's columns count as independent.
func stated(v varies) []GaugeSource {
	var out []GaugeSource
	c := 0
	for i := range v.inputs {
		in := &v.inputs[i]
		spreads := make([]float64, 0, 2)
		if in.Plane != nil {
			xx, yy, _ := in.Plane.Covariance()
			spreads = append(spreads, math.Sqrt(xx), math.Sqrt(yy))
		} else {
			spreads = append(spreads, in.Law.Moments().SD())
		}
		for _, sd := range spreads {
			out = append(out, GaugeSource{Source: v.sources[c], Key: in.Name, Set: in.Name, Standard: sd})
			c++
		}
	}
	return out
}

// atRest is the stack with joints that may lie anywhere at rest.
func atRest(s align.Stack) align.Stack {
	s.Joints = append([]align.Joint(nil), s.Joints...)
	for i := range s.Joints {
		if s.Joints[i].Lies == align.LiesAny {
			s.Joints[i].Lies = align.LiesRest
		}
	}
	return s
}
