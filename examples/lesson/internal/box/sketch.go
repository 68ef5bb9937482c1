package box

import (
	"fmt"
	"io"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/borestack/align"
	"example.com/borestack/tolerance"
)

// The sketch, in its own units. Along the box it is stretched piece by piece, so that the thin plate can be seen; errors are drawn at one scale throughout.
const (
	sketchWide = 440
	sketchHigh = 344
	panelHigh  = 150
	errorScale = 200 // units for a millimetre of error
	halfHeight = 38  // of the housings
	halfReal   = 100 // mm that half height stands for
)

// along says where a place on the box (z in mm) is in the sketch.
func along(z float64) float64 {
	const gap = 2 // so that two faces do not lie on each other
	for _, s := range [...]struct{ z0, z1, x0, x1 float64 }{
		{-180, 0, 14, 96}, {0, caseDepth, 98, 216}, {caseDepth, caseDepth + plateThick, 216 + gap, 256}, {caseDepth + plateThick, 460, 256 + gap, 426},
	} {
		if z <= s.z1 || s.z1 == 460 {
			return s.x0 + (z-s.z0)/(s.z1-s.z0)*(s.x1-s.x0)
		}
	}
	return 0
}

// Sketch draws the box from the side and from above, what is out enlarged: parts as they lean, bore centres, the room at each, and the best straight shafts.
func (v *View) Sketch(w io.Writer, unit tolerance.Unit) error {
	var b strings.Builder
	title := "The box from the side and from above, its errors enlarged"
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" class="sketch" viewBox="0 0 %d %d" role="img" aria-labelledby="sketch-t sketch-d"><title id="sketch-t">%s</title><desc id="sketch-d">%s</desc>`,
		sketchWide, sketchHigh, title, v.Sentence(unit))
	for i, name := range [2]string{"side view, 12 o'clock up", "top view, 3 o'clock up"} {
		p := panel{v: v, b: &b, top: i == 1, mid: 84 + float64(i)*panelHigh}
		fmt.Fprintf(&b, `<text class="sk-small" x="14" y="%.0f">%s</text>`, p.mid-panelHigh/2+14, name)
		p.draw()
	}
	bar, label := 0.1*tolerance.Millimetre, "0.1 mm"
	if unit == tolerance.Inches {
		bar, label = 0.005*tolerance.Inch, "0.005 in"
	}
	y := sketchHigh - 9
	fmt.Fprintf(&b, `<path class="sk-ink" d="M14 %d v-8 m0 4 h%.1f m0 -4 v8"/><text class="sk-small" x="%.1f" y="%d">%s of error; bars: room for the shaft</text></svg>`, y, bar.Millimetres()*errorScale, 20+bar.Millimetres()*errorScale, y, label)
	_, err := io.WriteString(w, b.String())
	return err
}

// panel is one of the two views.
type panel struct {
	v   *View
	b   *strings.Builder
	top bool
	mid float64
}

// of picks the component that the view shows.
func (p *panel) of(x, y float64) float64 {
	if p.top {
		return x
	}
	return y
}

func (p *panel) draw() {
	names := [...]string{"carrier", "case", "plate", "tail"}
	ends := [...][2]float64{{-180, 0}, {0, caseDepth}, {0, plateThick}, {0, 460 - caseDepth - plateThick}}
	starts := [...]float64{0, 0, caseDepth, caseDepth + plateThick}
	for i, name := range names {
		class := "sk-part"
		if i == 2 {
			class = "sk-plate"
		}
		fmt.Fprintf(p.b, `<path class="%s" d="%s"/>`, class, p.outline(i, ends[i], starts[i]))
		mid := (along(starts[i]+ends[i][0]+.1) + along(starts[i]+ends[i][1]-.1)) / 2
		if p.top { // once is enough
			fmt.Fprintf(p.b, `<text class="sk-small" text-anchor="middle" x="%.1f" y="%.1f">%s</text>`, mid, p.mid+panelHigh/2+6, name)
		}
	}
	fmt.Fprintf(p.b, `<path class="sk-axis" d="M8 %.1f H%d"/>`, p.mid, sketchWide-8)
	a := p.v.Assembly
	for i := range a.Supports {
		s := &a.Supports[i]
		x, y := along(float64(s.Z)), p.mid-errorScale*p.of(float64(s.Offset.X), float64(s.Offset.Y))
		room := errorScale * float64(s.Clearance.Radial())
		fmt.Fprintf(p.b, `<path class="sk-room" d="M%.1f %.1f h8 m-4 0 V%.1f m-4 0 h8"/><circle class="sk-bore" cx="%.1f" cy="%.1f" r="2.6"/>`, x-4, y-room, y+room, x, y)
	}
	for i := range a.Line.Shafts {
		s := &a.Line.Shafts[i]
		from, to := -170.0, 66.0
		if s.Name == "main" {
			from, to = 44, 450
		}
		var path strings.Builder
		verb := "M"
		for z := from; z <= to+1e-9; z += (to - from) / 24 { // the stretched z axis bends straight lines
			x := p.of(float64(s.AtZero.X)+s.Slope.X*z, float64(s.AtZero.Y)+s.Slope.Y*z)
			fmt.Fprintf(&path, "%s%.1f %.1f", verb, along(z), p.mid-errorScale*x)
			verb = "L"
		}
		class := "sk-shaft"
		if p.v.Verdict != tolerance.Pass {
			class += " sk-bad"
		}
		fmt.Fprintf(p.b, `<path class="%s" d="%s"/>`, class, path.String())
	}
}

// outline is a part's: its axis displaced and its faces tilted as they are, enlarged.
func (p *panel) outline(i int, ends [2]float64, start float64) string {
	pose := p.v.Assembly.Placed[i].BaseFromPart
	var points []string
	edge := func(z float64, slope, bow float64, up bool) {
		at := pose.Apply(align.Vec3{Z: tolerance.Length(z)})
		axis := pose.Rotate(r3.Vec{Z: 1})
		lean := p.of(axis.X, axis.Y)
		steps := 1
		if bow > 0 {
			steps = 8
		}
		for n := 0; n <= steps; n++ {
			f := 2*float64(n)/float64(steps) - 1
			if !up {
				f = -f
			}
			h := f * halfReal
			x := along(start+z) + errorScale*((slope-lean)*h+bow*p.standsOff(h))
			points = append(points, fmt.Sprintf("%.1f %.1f", x, p.mid-f*halfHeight-errorScale*p.of(float64(at.X), float64(at.Y))))
		}
	}
	rear, bow := 0.0, 0.0
	switch k := p.v.Knobs; {
	case i == 1 && k.Measured:
		rear = p.of(measuredRearX, measuredRearY)
	case i == 2:
		bow = float64(k.Bow)
		rear = p.of(toward(float64(k.Wedge/Across), k.WedgeClock+k.Turn))
	}
	edge(ends[0]+.01, 0, bow, true)
	edge(ends[1]-.01, rear, bow, false)
	return "M" + strings.Join(points, "L") + "Z"
}

// standsOff is how far the bowed plate stands back from its seat at height h of this view, as a share of the bow.
func (p *panel) standsOff(h float64) float64 {
	across, up := 0.0, h
	if p.top {
		across, up = h, 0
	}
	x, _ := turned(across, up, p.v.Knobs.Turn)
	return 1 - x*x/halfReal/halfReal
}
