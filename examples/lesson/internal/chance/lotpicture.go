package chance

import "example.com/borestack/tolerance"

// Picture draws pairs of shims in the square that the worst case knows, and how far sum and difference spread.
func (l *Lot) Picture(unit tolerance.Unit) string {
	const side, left, top = 158, 18, 26
	p := begin("lot", "Pairs of shims, their sum and their difference", l.Sentence(unit), pictureWide, 330)
	x, y := linear(-Tolerance, Tolerance, left, left+side), linear(-Tolerance, Tolerance, top+side, top)
	p.text("ch-head", 8, 14, "start", "One shim against the other")

	p.bar("ch-square", left, left+side, top, side)
	p.line("ch-grid", x(0), top, x(0), top+side)
	p.line("ch-grid", left, y(0), left+side, y(0))
	for _, v := range l.Pairs {
		p.dot("ch-dot", x(v[0]), y(v[1]), 1.4)
	}
	for i, s := range []string{"The square holds every", "pair whose parts hold", "their tolerances: it is", "all the worst case sees.", "How the pairs lie in it,", "only a sample sees."} {
		p.text("ch-text", left+side+18, top+38+float64(i)*17, "start", s)
	}
	at := linear(-l.Worst, l.Worst, 8, pictureWide-8)
	for i, s := range []struct {
		name   string
		spread Spread
	}{{"Sum, both under one foot", l.Sum}, {"Difference, one on either side", l.Less}} {
		base := top + side + 24 + float64(i)*60
		p.text("ch-head", 8, base, "start", s.name)
		p.bar("ch-worst", at(-l.Worst), at(l.Worst), base+8, 26)
		p.bar("ch-bar", at(-s.spread.Sampled), at(s.spread.Sampled), base+14, 14)
		for _, end := range [2]float64{-1, 1} {
			p.line("ch-exact", at(end*l.RSS), base+5, at(end*l.RSS), base+37)
		}
	}
	p.text("ch-text", 8, 326, "start", "frame: worst case; dashes: root sum; bar: Monte Carlo")
	return p.done()
}
