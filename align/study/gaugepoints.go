package study

import (
	"fmt"

	"example.com/borestack/align"
	"example.com/borestack/tolerance"
)

// pointSources lists what makes pilots and bores uncertain that were measured as points.
func pointSources(s *align.Stack) (out []GaugeSource) {
	for i := range s.Parts {
		p := &s.Parts[i]
		// the numbers of a feature, and by how much one cause of error moves each
		set := func(errors []align.FitError, place string, of []align.Number, by func(align.FitError) []float64) {
			for k, e := range errors {
				q := GaugeSource{Part: p.Name, Key: fmt.Sprintf("%s %d", place, k), Set: p.Name + ": " + place, Standard: 1}
				for n, gain := range by(e)[:len(of)] {
					if gain != 0 {
						q.Moves = append(q.Moves, align.Move{Of: of[n], Gain: gain})
					}
				}
				out = append(out, q)
			}
		}
		for _, side := range sidesOf(i) {
			f := side.of(s)
			if f == nil || f.Pilot == nil {
				continue
			}
			length := func(of func(*align.Pilot) *tolerance.Length) align.Number {
				return align.NumberOf(func(s *align.Stack) *tolerance.Length { return of(side.of(s).Pilot) })
			}
			of := []align.Number{
				length(func(q *align.Pilot) *tolerance.Length { return &q.Centre.X }),
				length(func(q *align.Pilot) *tolerance.Length { return &q.Centre.Y }),
				length(func(q *align.Pilot) *tolerance.Length { return &q.Diameter }),
			}
			if f.Pilot.Slope.Given {
				of = append(of, slopeOf(func(s *align.Stack) *align.Slope { return &side.of(s).Pilot.Slope.Value })...)
			}
			set(f.Pilot.Errors, "points of its "+side.name+" pilot", of, func(e align.FitError) []float64 {
				return []float64{float64(e.X), float64(e.Y), float64(e.Diameter), e.Slope.X, e.Slope.Y}
			})
		}
		for b := range p.Bores {
			bore := func(s *align.Stack) *align.Bore { return &s.Parts[i].Bores[b] }
			set(p.Bores[b].Errors, "points of "+p.Bores[b].Name, append([]align.Number{
				align.NumberOf(func(s *align.Stack) *tolerance.Length { return &bore(s).Centre.X }),
				align.NumberOf(func(s *align.Stack) *tolerance.Length { return &bore(s).Centre.Y }),
			}, slopeOf(func(s *align.Stack) *align.Slope { return &bore(s).Slope })...), func(e align.FitError) []float64 {
				return []float64{float64(e.X), float64(e.Y), e.Slope.X, e.Slope.Y}
			})
		}
	}
	return out
}

// slopeOf refers to the two components of a slope.
func slopeOf(of func(*align.Stack) *align.Slope) []align.Number {
	return []align.Number{
		align.NumberOf(func(s *align.Stack) *float64 { return &of(s).X }),
		align.NumberOf(func(s *align.Stack) *float64 { return &of(s).Y }),
	}
}
