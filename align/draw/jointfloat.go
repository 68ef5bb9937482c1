package draw

import (
	"math"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/tolerance"
)

// floatWords says where in its float the joint lies.
func (p *plan) floatWords() string {
	j := p.is
	at := align.Vec2{X: j.Float.X, Y: j.Float.Y}
	s := [3]string{"rests ", "rests ", "hangs "}[min(j.Lies, 2)]
	if j.Measured {
		s = "lies, as measured, "
	}
	s += p.p.offset(at) + " from nominal"
	if spell.Degrees(j.Float.Turn) != spell.Degrees(0) {
		s += ", turned " + turnWords(j.Float.Turn)
	}
	if !j.Measured {
		s += "; may shift from " + p.p.Plain(j.ReachX[0]) + " to " + p.p.Length(j.ReachX[1]) + " across and from " + p.p.Plain(j.ReachY[0]) + " to " + p.p.Length(j.ReachY[1]) + " upwards"
		if t, ok := j.TurnRange.Get(); ok {
			s += ", and turn from " + turnWords(t[0]) + " to " + turnWords(t[1])
		}
	}
	return "Where it lies: " + s + "."
}

// float draws the magnified float at (x, y) and returns its foot: the box of least and greatest shift, and where the joint lies.
func (p *plan) float(x, y float64) float64 {
	c, j := p.canvas, p.is
	y += 4
	y = c.keys(x-30, y, []keyLine{{nil, p.floatWords()}})
	most := 0.0
	for _, l := range [6]tolerance.Length{j.ReachX[0], j.ReachX[1], j.ReachY[0], j.ReachY[1], j.Float.X, j.Float.Y} {
		most = math.Max(most, math.Abs(float64(l)))
	}
	if most == 0 || j.Measured {
		return y
	}
	scale := fineDown(floatHalf/most/unitsPerMM) * unitsPerMM
	cx, cy := x+floatHalf+8, y+floatHalf+8
	c.line(chain, cx-floatHalf-4, cy, cx+floatHalf+4, cy)
	c.line(chain, cx, cy-floatHalf-4, cx, cy+floatHalf+4)
	c.titled("float", "float", func() {
		c.rect(dash, cx+float64(j.ReachX[0])*scale, cy-float64(j.ReachY[1])*scale, float64(j.ReachX[1]-j.ReachX[0])*scale, float64(j.ReachY[1]-j.ReachY[0])*scale)
		c.circle(solid, cx+float64(j.Float.X)*scale, cy-float64(j.Float.Y)*scale, 3)
	})
	tx := cx + floatHalf + 14
	if tx+110 < c.w-margin {
		c.keys(tx-30+14, y+2, []keyLine{{nil, "dashed box: how far it may shift; dot: where it lies"}})
	}
	c.scaleBar(x+8, cy+floatHalf+22, scale, false, "of shift")
	return cy + floatHalf + 26
}
