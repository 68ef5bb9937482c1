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

	fit *[3]float64 // what a deviation of 1 adds to its round's mean, cos θ and sin θ; nil: no round
}

// thicknessPlace is what EachReadings calls a thickness round.
const thicknessPlace = "thickness"

// EachReadings calls do for every set of readings of a stack that may carry an uncertainty; find
// finds the set again in a copy of the stack.
func EachReadings(s *align.Stack, do func(part int, place string, r *align.Readings, find func(*align.Stack) *align.Readings)) {
	for i := range s.Parts {
		sweep := func(place string, of func(*align.Stack) *align.Sweep) {
			if of(s) != nil {
				do(i, place, &of(s).Readings, func(s *align.Stack) *align.Readings { return &of(s).Readings })
			}
		}
		for _, q := range sidesOf(i) {
			f := q.of(s)
			if f == nil {
				continue
			}
			if f.Thickness != nil {
				do(i, thicknessPlace, &f.Thickness.Readings, func(s *align.Stack) *align.Readings { return &q.of(s).Thickness.Readings })
			}
			sweep("sweep of its "+q.name+" face", func(s *align.Stack) *align.Sweep { return q.of(s).Sweep })
			if f.Pilot != nil {
				sweep("sweep of its "+q.name+" pilot", func(s *align.Stack) *align.Sweep { return q.of(s).Pilot.Sweep })
			}
		}
		for b := range s.Parts[i].Bores {
			sweep("sweep of "+s.Parts[i].Bores[b].Name, func(s *align.Stack) *align.Sweep { return s.Parts[i].Bores[b].Sweep })
		}
	}
}

// side is a face of a part as measured, nil where it has none.
type side struct {
	name string
	of   func(*align.Stack) *align.Face
}

// sidesOf are the two of part i.
func sidesOf(i int) [2]side {
	return [2]side{
		{"front", func(s *align.Stack) *align.Face { return s.Parts[i].Front }},
		{"rear", func(s *align.Stack) *align.Face { return s.Parts[i].Rear }},
	}
}

// GaugeSources lists every reading with a standard uncertainty, stated or from its round's closing
// error, what is shared by each set of them, and what makes pilots and bores uncertain that were
// measured as points.
func GaugeSources(s *align.Stack) []GaugeSource {
	var out []GaugeSource
	EachReadings(s, func(part int, place string, r *align.Readings, find func(*align.Stack) *align.Readings) {
		each, all := readingU(r), float64(r.SharedUncertainty.Or(0))
		if each == 0 && all == 0 {
			return
		}
		name := s.Parts[part].Name
		set := name + ": " + place
		mean, cos, sin := r.Weights(place == thicknessPlace)
		if place != thicknessPlace {
			clear(mean) // a dial's zero is anywhere
		}
		shared := GaugeSource{Part: name, Key: place + " shared", Set: set, Standard: all, fit: &[3]float64{}}
		for k, v := range r.Values {
			for n := range v {
				q := GaugeSource{Part: name, Key: fmt.Sprintf("%s %d.%d", place, k, n), Set: set, Standard: each}
				q.Moves = []align.Move{{Of: align.NumberOf(func(s *align.Stack) *tolerance.Length { return &find(s).Values[k][n] }), Gain: 1}}
				m := float64(len(v))
				q.fit = &[3]float64{mean[k] / m, cos[k] / m, sin[k] / m}
				shared.Moves = append(shared.Moves, q.Moves...)
				for i := range q.fit {
					shared.fit[i] += q.fit[i]
				}
				if each > 0 {
					out = append(out, q)
				}
			}
		}
		if all > 0 {
			out = append(out, shared)
		}
	})
	return append(out, pointSources(s)...)
}

// driftFactor turns a closing error into a standard uncertainty of each reading: where in the round
// the gauge moved is not known, so that what it moved by lies anywhere within the error.
//
// Source: JCGM 100:2008, 4.3.7 (rectangular, of full width e: e²/12).
const driftFactor = 1.0 / 12

// readingU is the standard uncertainty of each reading of a round on its own: what is stated, and
// what the closing error adds. A round that is void is in doubt as a whole, and the error counts all
// the same.
func readingU(r *align.Readings) float64 {
	u, e := float64(r.Uncertainty.Or(0)), float64(r.ClosingError().Or(0))
	return math.Sqrt(u*u + e*e*driftFactor)
}

// GaugeEffects works out by how much one standard uncertainty of every source moves each output, at
// the worst of the float where a joint may lie anywhere: effect[output][source], the larger of its
// two one-sided effects. Of a size that nothing pushes it is the effect along the offset; where the
// size is not clear of zero, along the direction that is least certain, since a size does not change
// at zero however far its components may be off.
//
// Source: JCGM 100:2008, 5.1.3 note 2 (numerical sensitivities over one standard uncertainty each
// way). That the larger side counts, at kinks of margin and use, is common practice, no published
// source.
func GaugeEffects(s align.Stack, sources []GaugeSource, outputs []align.Output) ([][]float64, error) {
	out := columnsOf(len(outputs), len(sources))
	if len(sources) == 0 || len(outputs) == 0 {
		return out, nil
	}
	list, err := layBands(s, sources, varies{}, unlimited(outputs))
	if err != nil {
		return nil, err
	}
	if err := measure(list); err != nil {
		return nil, err
	}
	for o, q := range list {
		for c := range q.by.gauge.columns {
			for _, p := range q.by.gauge.columns[c].parts {
				out[o][p.source] += p.share * q.worst.effects[c]
			}
		}
	}
	return out, nil
}

// Uncertainties works out the standard uncertainty that sources give each output, at the worst of
// the float where a joint may lie anywhere, combined as independent.
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
