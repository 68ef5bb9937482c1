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
		set := func(errors []align.FitError, place string, moves func(align.FitError) []align.Move) {
			for k, e := range errors {
				q := GaugeSource{Part: p.Name, Key: fmt.Sprintf("%s %d", place, k), Set: p.Name + ": " + place, Standard: 1}
				q.Moves = moves(e)
				out = append(out, q)
			}
		}
		for _, side := range sidesOf(i) {
			f := side.of(s)
			if f == nil || f.Pilot == nil {
				continue
			}
			pilot := func(s *align.Stack) *align.Pilot { return side.of(s).Pilot }
			set(f.Pilot.Errors, "points of its "+side.name+" pilot", func(e align.FitError) []align.Move {
				var m moves
				m.add(e.X, func(s *align.Stack) *tolerance.Length { return &pilot(s).Centre.X })
				m.add(e.Y, func(s *align.Stack) *tolerance.Length { return &pilot(s).Centre.Y })
				m.add(e.Diameter, func(s *align.Stack) *tolerance.Length { return &pilot(s).Diameter })
				if f.Pilot.Slope.Given {
					m.slope(e.Slope, func(s *align.Stack) *align.Slope { return &pilot(s).Slope.Value })
				}
				return m
			})
		}
		for b := range p.Bores {
			bore := func(s *align.Stack) *align.Bore { return &s.Parts[i].Bores[b] }
			set(p.Bores[b].Errors, "points of "+p.Bores[b].Name, func(e align.FitError) []align.Move {
				var m moves
				m.add(e.X, func(s *align.Stack) *tolerance.Length { return &bore(s).Centre.X })
				m.add(e.Y, func(s *align.Stack) *tolerance.Length { return &bore(s).Centre.Y })
				m.slope(e.Slope, func(s *align.Stack) *align.Slope { return &bore(s).Slope })
				return m
			})
		}
	}
	return out
}

// moves are what one cause of error moves.
type moves []align.Move

// add adds a number that the cause moves, unless it moves it by nothing.
func (m *moves) add(by tolerance.Length, of func(*align.Stack) *tolerance.Length) {
	if by != 0 {
		*m = append(*m, align.Move{Of: align.NumberOf(of), Gain: float64(by)})
	}
}

// slope adds the two components of an axis' slope.
func (m *moves) slope(by align.Slope, of func(*align.Stack) *align.Slope) {
	for _, c := range []struct {
		by   float64
		find func(*align.Stack) *float64
	}{
		{by.X, func(s *align.Stack) *float64 { return &of(s).X }},
		{by.Y, func(s *align.Stack) *float64 { return &of(s).Y }},
	} {
		if c.by != 0 {
			*m = append(*m, align.Move{Of: align.NumberOf(c.find), Gain: c.by})
		}
	}
}
