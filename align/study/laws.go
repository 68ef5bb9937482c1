package study

import (
	"math"

	"example.com/borestack/align"
	"example.com/borestack/align/record"
	"example.com/borestack/stackup"
	"example.com/borestack/stackup/law"
	"example.com/borestack/tolerance"
)

// inputOf is the distribution of a source, in the record's own units, unit for lengths.
func inputOf(v *record.Vary, unit tolerance.Length) (stackup.Input, error) {
	alone, pair, err := v.Distribution(unit)
	return stackup.Input{Name: v.Name, Law: alone, Joint: pair}, err
}

// upright turns a plane distribution whose components hang together to its principal axes, along which they
// do not: the distribution along those, and what each of them moves.
//
//	x = u cos θ - v sin θ,  y = u sin θ + v cos θ
//
// Source: hand calculation: the axes of a covariance matrix of two, tan 2θ = 2 cov / (var x - var y).
func upright(p law.Joint, sx, sy align.Source) (law.Joint, align.Source, align.Source, error) {
	xx, yy, xy := p.Covariance(0, 0), p.Covariance(1, 1), p.Covariance(0, 1)
	if xy == 0 {
		return p, sx, sy, nil
	}
	theta := math.Atan2(2*xy, xx-yy) / 2
	reach, ellipse := p.Reach()
	var a, b float64
	if ellipse {
		long, short := reach[0].A, reach[0].B
		a, b = math.Hypot(long[0], long[1]), math.Hypot(short[0], short[1])
		if theta = math.Atan2(long[1], long[0]); a < b { // the longer says the direction best
			theta = math.Atan2(-short[0], short[1])
		}
	}
	sin, cos := math.Sincos(theta)
	x, y := p.Mean(0), p.Mean(1)
	mu, mv := x*cos+y*sin, y*cos-x*sin
	u, v := align.Source{Name: sx.Name}, align.Source{Name: sy.Name}
	for _, m := range sx.Moves {
		u.Moves = append(u.Moves, align.Move{Of: m.Of, Gain: m.Gain * cos})
		v.Moves = append(v.Moves, align.Move{Of: m.Of, Gain: -m.Gain * sin})
	}
	for _, m := range sy.Moves {
		u.Moves = append(u.Moves, align.Move{Of: m.Of, Gain: m.Gain * sin})
		v.Moves = append(v.Moves, align.Move{Of: m.Of, Gain: m.Gain * cos})
	}
	if ellipse {
		e, err := law.NewEllipse(mu, mv, a, b, 0)
		return e, u, v, err
	}
	pair := make(law.Independent, 2)
	var err error
	if pair[0], err = law.NewNormal(mu, math.Sqrt(max(0, xx*cos*cos+2*xy*sin*cos+yy*sin*sin))); err != nil {
		return nil, u, v, err
	}
	pair[1], err = law.NewNormal(mv, math.Sqrt(max(0, xx*sin*sin-2*xy*sin*cos+yy*cos*cos)))
	return pair, u, v, err
}
