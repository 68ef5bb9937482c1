package chance

import (
	"fmt"

	"example.com/borestack/align"
	"example.com/borestack/align/advise/batch"
	"example.com/borestack/tolerance"
)

// What the pictures of plates measure.
const (
	panelSide = 240
	panelMid  = panelSide / 2
	// PanelScale is how many units of the picture a millimetre of wedge is.
	PanelScale = 1250
)

// Pictures draws the wedges as dots on three clocks: as they lay in the fixture, with the handle of the fixture's own
// wedge; as a micrometer finds them on the plates; and the same sizes from scatter.
func (m *Maker) Pictures(unit tolerance.Unit) string {
	said := m.Sentence(unit)
	on := func(b *batch.Batch) (out []align.Vec2) {
		for _, piece := range b.Pieces {
			out = append(out, piece.At)
		}
		return out
	}
	p := clock("maker-fixture", "Wedges as they lay in the fixture", "in the fixture: drag the handle", said, m.InFixture)
	at := toward(m.Wedge, m.Clock)
	hx, hy := place(at)
	p.line("d-wedge", panelMid, panelMid, hx, hy)
	fmt.Fprintf(p, `<g class="ch-handle" transform="translate(%.1f %.1f)"><circle class="d-hit" r="26"/><circle class="d-wedge" r="9"/></g>`, hx, hy)
	return p.done() + clock("maker-made", "Wedges of the same plates, as measured", "the same plates, as measured", said, on(&m.Made)).done() +
		clock("maker-scattered", "Wedges of the same sizes, from scatter", "the same sizes, from scatter", said, on(&m.Scattered)).done()
}

// place is where a wedge stands on a clock.
func place(v align.Vec2) (x, y float64) {
	return panelMid + PanelScale*float64(v.X), panelMid - PanelScale*float64(v.Y)
}

// clock draws wedges as dots about the middle of a clock.
func clock(id, title, under, said string, wedges []align.Vec2) *picture {
	p := begin(id, title, said, panelSide, panelSide+22)
	p.dot("ch-clock", panelMid, panelMid, 106)
	p.dot("ch-ring", panelMid, panelMid, 53)
	p.line("ch-grid", panelMid-106, panelMid, panelMid+106, panelMid)
	p.line("ch-grid", panelMid, panelMid-106, panelMid, panelMid+106)
	for i, hour := range []string{"12", "3", "6", "9"} {
		v := toward(tolerance.Length(98.0/PanelScale), tolerance.Angle(i)*90*tolerance.Degree)
		x, y := place(v)
		p.text("ch-text", x, y+4, "middle", hour)
	}
	for _, v := range wedges {
		x, y := place(v)
		p.dot("ch-plate", x, y, 3)
	}
	p.text("ch-text", panelMid, panelSide+12, "middle", under)
	return p
}
