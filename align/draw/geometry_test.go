package draw_test

import (
	"fmt"
	"io"
	"math"
	"strings"
	"testing"

	"example.com/borestack/internal/check"

	"example.com/borestack/align"
	"example.com/borestack/align/draw"
	"example.com/borestack/stackup"
	"example.com/borestack/tolerance"
)

// printed is how far a coordinate may be off for its two decimals.
const printed = .011

// threeBores is a case with two bores, at -100 (0.03, -0.01) and 50 (-0.03, 0.05), and a tail whose bore is at 200 on the z axis of S; clearances of 0.1, 0.12 less 0.02 of runout, and a bush 40 wide of 0.2. The joint at z = 100 is size for size. Offsets are from the line of the case's bores.
const threeBores = `{"format":"borestack-record/1","title":"three bores","units":{"length":"mm"},"parts":[
 {"name":"case","rear":{"z":100,"diameter":190,"pilot":{"kind":"bore","centre":[0,0],"diameter":150}},"bores":[{"name":"front","centre":[0.03,-0.01,-100]},{"name":"rear","centre":[-0.03,0.05,50]}]},
 {"name":"tail","front":{"z":0,"diameter":190,"pilot":{"kind":"spigot","centre":[0,0],"diameter":150}},"bores":[{"name":"bush","centre":[0,0,100],"slope":[0.0004,0]}]}],
 "joints":[{"lies":"rest"}],"references":[{"name":"case line","through":["case/front","case/rear"]}],
 "shafts":[{"name":"main","supports":[{"bore":"case/front","clearance":0.1},{"bore":"case/rear","clearance":0.12,"runout":0.02},{"bore":"tail/bush","clearance":0.2,"kind":"bush","width":40}]}]}`

// reference is the line of the case's bores of threeBores at z, by hand: slopes -0.06/150 and 0.06/150.
func reference(z float64) (x, y float64) { return .03 - .0004*(z+100), -.01 + .0004*(z+100) }

func TestShaftLine_places(t *testing.T) {
	_, a := decoded(t, threeBores)
	n := picture(t, func(w io.Writer) error { return draw.ShaftLine(w, a, draw.Options{}) })
	along, across := scaleOf(t, n, "lengthwise"), scaleOf(t, n, "crosswise")
	// the factor that the picture states is the one that it is drawn with, for the scale bars too
	factor := across / along
	said := strings.Replace(fmt.Sprintf("drawn %.0f times larger", factor), "1000", "1,000", 1)
	if !strings.Contains(n.child("desc").Text, said) {
		t.Errorf("factor %g is not said: %s", factor, n.child("desc").Text)
	}
	type place struct{ z, x, y, room float64 }
	rx, ry := reference(200)
	want := map[string]place{
		// Source: hand calculation: the reference passes through both bores of the case; room is (clearance - runout)/2
		"case/front": {-100, 0, 0, .05},
		"case/rear":  {50, 0, 0, .05},
		"tail/bush":  {200, -rx, -ry, .1},
	}
	var zero [2]float64
	chains := 0
	n.each(func(e *node) {
		if e.XMLName.Local == "line" && e.class() == "chain" && e.num(t, "x2")-e.num(t, "x1") > 100 {
			zero[chains] = e.num(t, "y1")
			chains++
		}
	})
	if chains != 2 {
		t.Fatalf("%d reference lines, want one in each view", chains)
	}
	var x0 float64 // of z = 0, from the first support
	for bore, p := range want {
		views := n.groups("support", bore)
		if len(views) != 2 {
			t.Fatalf("%s is drawn %d times", bore, len(views))
		}
		for v, g := range views {
			off := p.y
			// Source: hand calculation: bore slopes 0 and 0.0004 less the reference's 0.0004 and -0.0004, 20 mm to each mouth
			tilt := -.0004 * 20
			if v == 1 {
				off, tilt = p.x, .0008*20
			}
			var cx, cy float64
			if c := g.child("circle"); c.attr("r") != "" {
				cx, cy = c.num(t, "cx"), c.num(t, "cy")
			} else {
				c := g.child("rect")
				cx, cy = c.num(t, "x")+c.num(t, "width")/2, c.num(t, "y")+c.num(t, "height")/2
			}
			if bore == "case/front" {
				x0 = cx + 100*along
			}
			check.Near(t, bore+" height", cy, zero[v]-off*across, 2*printed)
			var upright []*node
			for _, l := range g.all("line") {
				if l.class() == "ink" && l.attr("x1") == l.attr("x2") {
					upright = append(upright, l)
				}
			}
			if bore != "tail/bush" {
				tilt = 0
				if len(upright) != 1 {
					t.Fatalf("%s has %d bars", bore, len(upright))
				}
			} else if len(upright) != 2 {
				t.Fatalf("a bush has %d bars, want one at each mouth", len(upright))
			}
			for k, l := range upright {
				at := 0.0
				if len(upright) == 2 {
					at = float64(2*k-1) * 20
				}
				o := off + tilt*at/20
				check.Near(t, bore+" bar top", l.num(t, "y1"), zero[v]-(o+p.room)*across, 2*printed)
				check.Near(t, bore+" bar foot", l.num(t, "y2"), zero[v]-(o-p.room)*across, 2*printed)
				if bore != "case/front" {
					check.Near(t, bore+" bar place", l.num(t, "x1"), cx+at*along, 2*printed)
				}
			}
		}
	}
	for bore, p := range want {
		for _, g := range n.groups("support", bore) {
			if c := g.child("circle"); c.attr("r") != "" {
				check.Near(t, bore+" place", c.num(t, "cx"), x0+p.z*along, 3*printed)
			}
		}
	}
	// the straight shaft is the result's, off the reference
	l := a.Line.Shafts[0]
	for v, g := range n.groups("shaft", "straight shaft main") {
		e := g.child("line")
		for _, end := range []string{"1", "2"} {
			z := (e.num(t, "x"+end) - x0) / along
			rx, ry := reference(z)
			dev := float64(l.AtZero.Y) + l.Slope.Y*z - ry
			if v == 1 {
				dev = float64(l.AtZero.X) + l.Slope.X*z - rx
			}
			check.Near(t, "shaft", e.num(t, "y"+end), zero[v]-dev*across, 4*printed)
		}
	}
}

// A state that moves the base, and a first part mounted end for end, change the frame that offsets and shafts are brought together in.
func TestShaftLine_referenceInOtherFrames(t *testing.T) {
	s, _ := decoded(t, threeBores)
	s.States = []align.State{{Name: "moved", Moves: []align.StateMove{{Part: "case", By: align.Vec3{X: .2, Y: -.1, Z: 3}}}}}
	moved, err := s.InState("moved")
	if err != nil {
		t.Fatal(err)
	}
	plain := s.Parts[0]
	turned := s
	turned.Parts = append([]align.Part{}, s.Parts...)
	front := *plain.Rear
	front.Z = -front.Z
	turned.Parts[0] = align.Part{Name: plain.Name, Turned: true, Front: &front, Bores: []align.Bore{
		{Name: "front", Centre: align.Vec3{X: -.03, Y: -.01, Z: 100}}, {Name: "rear", Centre: align.Vec3{X: .03, Y: .05, Z: -50}},
	}}
	for name, s := range map[string]align.Stack{"moved": moved, "turned": turned} {
		a, err := s.Solve()
		if err != nil {
			t.Fatal(name, err)
		}
		n := picture(t, func(w io.Writer) error { return draw.ShaftLine(w, a, draw.Options{}) })
		across := scaleOf(t, n, "crosswise")
		along := scaleOf(t, n, "lengthwise")
		// the shaft leaves every bore centre by what use of clearance times room says at most, and by no less at one that governs
		use := a.Line.Use.Value
		tightest := 0.0
		for i, b := range a.Supports {
			sup := s.Shafts[0].Supports[i]
			room := (float64(b.Clearance) - float64(sup.Runout)) / 2
			half := float64(sup.Width) / 2
			for _, end := range []float64{-half, half} {
				var d [2]float64
				for v, g := range n.groups("support", b.Bore) {
					var cx, cy float64
					if c := g.child("circle"); c.attr("r") != "" {
						cx, cy = c.num(t, "cx"), c.num(t, "cy")
					} else {
						c := g.child("rect")
						cx, cy = c.num(t, "x")+c.num(t, "width")/2, c.num(t, "y")+c.num(t, "height")/2
					}
					tilt := b.Tilt.Y
					if v == 1 {
						tilt = b.Tilt.X
					}
					l := n.groups("shaft", "straight shaft main")[v].child("line")
					x := cx + end*along
					f := (x - l.num(t, "x1")) / (l.num(t, "x2") - l.num(t, "x1"))
					y := l.num(t, "y1") + f*(l.num(t, "y2")-l.num(t, "y1"))
					d[v] = (cy - tilt*end*across - y) / across
				}
				tightest = math.Max(tightest, math.Hypot(d[0], d[1])/room)
			}
		}
		check.Near(t, name+": greatest share of a room", tightest, use, .01*use)
	}
}

func TestTarget_circles(t *testing.T) {
	_, a := decoded(t, threeBores)
	rx, ry := reference(200)
	aim := draw.Aim{Bore: "tail/bush", Limit: tolerance.Given(tolerance.Offset(.2))}
	n := picture(t, func(w io.Writer) error { return draw.Target(w, a, aim, draw.Options{}) })
	scale := scaleOf(t, n, "mm ")
	limit := n.groups("limit", "")[0].child("circle")
	cx, cy := limit.num(t, "cx"), limit.num(t, "cy")
	check.Near(t, "limit", limit.num(t, "r"), .2*scale, printed)
	room := n.groups("room", "")[0].child("circle")
	check.Near(t, "room", room.num(t, "r"), .1*scale, printed)
	check.Near(t, "bore right", room.num(t, "cx"), cx-rx*scale, 2*printed)
	check.Near(t, "bore up", room.num(t, "cy"), cy+ry*scale, 2*printed)
	if n.groups("reach", "") != nil {
		t.Error("nothing floats, and a reach is drawn")
	}
	if words := n.child("desc").Text; !strings.Contains(words, "TIR at most 0.400 mm") {
		t.Errorf("an offset of 0.2 is a TIR of 0.4: %s", words)
	}
}

// loose is a tail on a pilot of 0.04 clearance, whatever else the joint says; offsets are from the case, which is the base.
func loose(joint string) string {
	r := strings.Replace(threeBores, `"joints":[{"lies":"rest"}]`, `"joints":[{`+joint+`}]`, 1)
	r = strings.Replace(r, `"pilot":{"kind":"spigot","centre":[0,0],"diameter":150}`, `"pilot":{"kind":"spigot","centre":[0,0],"diameter":149.96},"dowels":[{"name":"peg","centre":[80,0],"diameter":8.01}]`, 1)
	return strings.Replace(r, `"diameter":150}}`, `"diameter":150},"dowels":[{"name":"peg","centre":[80,0],"diameter":8}]}`, 1)
}

// With nothing but its pilot the tail's bore reaches a disc of half the clearance; a peg on the right keeps it from left and right.
func TestReach_regions(t *testing.T) {
	rx, ry := reference(200)
	for _, tt := range []struct {
		name, joint string
		right, up   float64 // greatest reach from the centre
	}{
		// Source: hand calculation: pilot radius 0.04/2, no turn, since the bolt pattern sets the clock
		{"pilot alone", ``, .02, .02},
		// Source: hand calculation: the peg holds x to 0.01/2 (its turn acts up and down there); up, the turn takes what the peg's clearance does not give
		{"pilot and peg", `"pins":[{"dowel":"peg","diameter":8,"pressed":"front"}]`, .005, .02},
	} {
		t.Run(tt.name, func(t *testing.T) {
			_, a := decoded(t, loose(tt.joint))
			region, err := a.Reach("tail/bush", 24)
			if err != nil {
				t.Fatal(err)
			}
			var right, left, up, down, far float64
			for _, v := range region {
				x, y := float64(v.X)+rx, float64(v.Y)+ry
				right, left = math.Max(right, x), math.Min(left, x)
				up, down = math.Max(up, y), math.Min(down, y)
				far = math.Max(far, math.Hypot(float64(v.X), float64(v.Y)))
			}
			// a polygon of 24 sides about a disc is at most 0.9 % too large, between its sides
			check.Near(t, "right", right, tt.right, .005*tt.right)
			check.Near(t, "left", left, -tt.right, .005*tt.right)
			check.Near(t, "up", up, tt.up, .005*tt.up)
			check.Near(t, "down", down, -tt.up, .005*tt.up)
			over, _, err := a.Stack().Ranges([]align.Output{{What: align.OffsetSize, Of: "tail/bush"}})
			if err != nil {
				t.Fatal(err)
			}
			check.Near(t, "farthest", far, over[0].High.Value, .009*over[0].High.Value)
		})
	}
}

// A peg whose hole is 0.018 off pushes the tail to the left, where its pilot leaves it a cap of a disc; offsets from the tail, which is clocked by 30°, see the cap mirrored, whichever way round the tail was measured.
func TestReach_fromAnotherPart(t *testing.T) {
	// Source: hand calculation: the peg allows x from -0.023 to -0.013, the pilot -0.02; at x = -0.013 the pilot leaves y = ±√(0.02² - 0.013²); the target is at (0.03, -0.01) in S
	const near0, far0 = .03 + .013, .03 + .02
	up := math.Sqrt(.02*.02 - .013*.013)
	// clocked by 30°, what is at 2 o'clock of the tail stands at 3: (80.018 sin 60°, 80.018 cos 60°)
	straight := `{"name":"tail","front":{"z":0,"pilot":{"kind":"spigot","centre":[0,0],"diameter":149.96},"dowels":[{"name":"peg","centre":[69.297620760,40.009000000],"diameter":8.01}]},"bores":[{"name":"bush","centre":[0,0,100]},{"name":"end","centre":[0,0,150]}]}`
	turned := `{"name":"tail","turned":true,"rear":{"z":0,"pilot":{"kind":"spigot","centre":[0,0],"diameter":149.96},"dowels":[{"name":"peg","centre":[-69.297620760,40.009000000],"diameter":8.01}]},"bores":[{"name":"bush","centre":[0,0,-100]},{"name":"end","centre":[0,0,-150]}]}`
	for name, tail := range map[string]string{"straight": straight, "turned": turned} {
		_, a := decoded(t, `{"format":"borestack-record/1","units":{"length":"mm"},"parts":[
		 {"name":"case","rear":{"z":100,"pilot":{"kind":"bore","centre":[0,0],"diameter":150},"dowels":[{"name":"peg","centre":[80,0],"diameter":8}]},"bores":[{"name":"front","centre":[0.03,-0.01,-100]}]},`+tail+`],
		 "joints":[{"clock":30,"pins":[{"dowel":"peg","diameter":8,"pressed":"front"}]}],"references":[{"name":"tail line","through":["tail/bush","tail/end"]}],
		 "shafts":[{"name":"main","supports":[{"bore":"case/front","clearance":0.1},{"bore":"tail/bush","clearance":0.1},{"bore":"tail/end","clearance":0.1}]}]}`)
		region, err := a.Reach("case/front", 24)
		if err != nil {
			t.Fatal(err)
		}
		left, right, top := math.Inf(1), math.Inf(-1), math.Inf(-1)
		for _, v := range region {
			left, right, top = math.Min(left, float64(v.X)), math.Max(right, float64(v.X)), math.Max(top, float64(v.Y))
		}
		// a line from the joint to the far end of the machine tilts with the turn: less than a hundredth of the reach
		check.Near(t, name+" left", left, near0, 2e-4)
		check.Near(t, name+" right", right, far0, 2e-4)
		check.Near(t, name+" top", top, -.01+up, 4e-4)
	}
}

// plateRecord is a plate with that thickness block, and a tail that it carries.
func plateRecord(thickness, more string) string {
	return fmt.Sprintf(`{"format":"borestack-record/1","units":{"length":"mm"},"parts":[
	 {"name":"plate","front":{},"rear":{"thickness":{"radius":100,"readings":[%s]%s}}}],"joints":[]}`, thickness, more)
}

func TestThickness_stations(t *testing.T) {
	// thickest at 3 o'clock by 0.02 across 200, one station 0.004 proud at 12
	const readings = `10.004,10.01,10,9.99`
	for _, tt := range []struct {
		name, more string
		high       float64 // sine of the thickest station's angle: +1 at 3 o'clock
	}{
		{"from the tail", ``, 1},
		// Source: hand calculation: seen from the nose, 3 o'clock is 9 o'clock from the tail
		{"from the nose", `,"seen_from":"nose"`, -1},
	} {
		t.Run(tt.name, func(t *testing.T) {
			_, a := decoded(t, plateRecord(readings, tt.more))
			n := picture(t, func(w io.Writer) error { return draw.Thickness(w, a, "plate", draw.Options{}) })
			scale := scaleOf(t, n, "outwards")
			c := n.groups("mean", "")[0].child("circle")
			cx, cy, r := c.num(t, "cx"), c.num(t, "cy"), c.num(t, "r")
			// Source: hand calculation: the mean of the readings is 10.001
			path := n.groups("readings", "")[0].child("path").points(t)
			check.Near(t, "12 o'clock", path[0][1], cy-r-.003*scale, printed)
			check.Near(t, "12 o'clock", path[0][0], cx, printed)
			right, left := .009, -.011
			if tt.high < 0 {
				right, left = left, right
			}
			check.Near(t, "3 o'clock", path[1][0], cx+r+right*scale, printed)
			check.Near(t, "9 o'clock", path[3][0], cx-r-left*scale, printed)
			check.Near(t, "6 o'clock", path[2][1], cy+r-.001*scale, printed)
			w := n.groups("wedge", "")[0].child("path").points(t)[0]
			if (w[0]-cx)*tt.high <= 0 {
				t.Errorf("the wedge points to %v from %g", w, cx)
			}
			// the stated factor: deviations against the ring, 100 mm on r
			said := fmt.Sprintf("%.4g times larger", scale/(r/100))
			if !strings.Contains(strings.ReplaceAll(n.child("desc").Text, ",", ""), said) {
				t.Errorf("%s is not said: %s", said, n.child("desc").Text)
			}
		})
	}
}

func TestJoint_plan(t *testing.T) {
	_, a := decoded(t, strings.Replace(loose(`"pins":[{"dowel":"peg","diameter":8,"pressed":"front"}],"bolts":[[0,85],[-85,0]],"bolt_clearance":0.5`), `"lies":"rest"`, ``, 1))
	n := picture(t, func(w io.Writer) error { return draw.Joint(w, a, "case|tail", draw.Options{}) })
	scale := scaleOf(t, n, "plan")
	ring := n.groups("ring", "")[0].child("circle")
	cx, cy := ring.num(t, "cx"), ring.num(t, "cy")
	check.Near(t, "contact ring", ring.num(t, "r"), 95*scale, printed)
	check.Near(t, "pilot", n.groups("pilot", "")[0].child("circle").num(t, "r"), 75*scale, printed)
	pin := n.groups("pin", "pin peg")[0].child("circle")
	check.Near(t, "pin right", pin.num(t, "cx"), cx+80*scale, printed)
	check.Near(t, "pin up", pin.num(t, "cy"), cy, printed)
	bolts := n.groups("bolt", "")
	check.Near(t, "bolt at 12", bolts[0].child("circle").num(t, "cy"), cy-85*scale, printed)
	check.Near(t, "bolt at 9", bolts[1].child("circle").num(t, "cx"), cx-85*scale, printed)
	flat := strings.Replace(loose(`"pins":[{"dowel":"peg","diameter":8,"pressed":"front","locates":[0,1]}]`), `"lies":"rest"`, ``, 1)
	_, b := decoded(t, flat)
	for _, l := range picture(t, func(w io.Writer) error { return draw.Joint(w, b, "case|tail", draw.Options{}) }).groups("pin", "pin peg")[0].all("line") {
		if l.attr("x1") != l.attr("x2") || l.attr("y1") == l.attr("y2") {
			t.Errorf("a pin that holds upwards has its stroke from %s,%s to %s,%s", l.attr("x1"), l.attr("y1"), l.attr("x2"), l.attr("y2"))
		}
	}
	box := n.groups("float", "")[0].child("rect")
	float := scaleOf(t, n, "of shift")
	check.Near(t, "float across", box.num(t, "width"), float64(a.Joints[0].ReachX[1]-a.Joints[0].ReachX[0])*float, printed)
	check.Near(t, "float upwards", box.num(t, "height"), float64(a.Joints[0].ReachY[1]-a.Joints[0].ReachY[0])*float, printed)
}

func TestStack_oneScale(t *testing.T) {
	_, a := decoded(t, threeBores)
	n := picture(t, func(w io.Writer) error { return draw.Stack(w, a, draw.Options{}) })
	scale := scaleOf(t, n, "in every direction")
	p := n.groups("part", "tail")[0].child("path").points(t)
	c := n.groups("part", "case")[0].child("path").points(t)
	check.Near(t, "case meets tail", c[1][0], p[0][0], printed)
	check.Near(t, "case's contact ring", c[2][1]-c[1][1], 190*scale, 2*printed)
	for _, g := range n.groups("support", "tail/bush") {
		r := g.child("rect")
		check.Near(t, "bush behind the joint", r.num(t, "x")+r.num(t, "width")/2-p[0][0], 100*scale, 2*printed)
		check.Near(t, "bush", r.num(t, "width"), 40*scale, 2*printed)
	}
}

func TestHistogram_areas(t *testing.T) {
	b := draw.Bins{Quantity: "gap", Unit: "mm", Histogram: stackup.Histogram{Edges: []float64{0, 1, 2, 4}, Counts: []int{10, 30, 20}, Limits: tolerance.Limits{Greatest: tolerance.Given(1.5)}}}
	n := picture(t, func(w io.Writer) error { return draw.Histogram(w, b, draw.Options{}) })
	limit := n.groups("limit", "")[0].child("line").num(t, "x1")
	var area, hatched float64
	for i, g := range n.groups("bin", "") {
		var a float64
		for _, r := range g.all("rect") {
			one := r.num(t, "width") * r.num(t, "height")
			a += one
			if r.class() == "hatch" {
				hatched += one
				if r.num(t, "x") < limit-printed {
					t.Errorf("hatched from %g, inside the limit at %g", r.num(t, "x"), limit)
				}
			} else if r.num(t, "x")+r.num(t, "width") > limit+2*printed {
				t.Errorf("plain beyond the limit")
			}
		}
		if i == 0 {
			area = a
		}
		// Source: hand calculation: areas are as counts, whatever the bin's width
		check.Near(t, g.child("title").Text, a/area, float64(b.Counts[i])/10, .005)
	}
	// Source: hand calculation: half of the second bin's 30 and the third's 20 of 60
	check.Near(t, "hatched", hatched/area, 3.5, .02)
	if s := n.child("desc").Text; !strings.Contains(s, "Between 20 and 50 of 60 lie outside") {
		t.Error(s)
	}
}

func TestShares_lengths(t *testing.T) {
	n := picture(t, func(w io.Writer) error {
		return draw.Shares(w, draw.Contributions{Of: "variance", Shares: []tolerance.Share{{Name: "a", Share: .5}, {Name: "b", Share: .3}}}, draw.Options{})
	})
	var w []float64
	var classes []string
	for _, g := range n.groups("share", "") {
		w, classes = append(w, g.child("rect").num(t, "width")), append(classes, g.child("rect").class())
	}
	if strings.Join(classes, " ") != "mark bar hollow" {
		t.Errorf("the largest share, another and the rest are drawn as %v", classes)
	}
	check.Near(t, "b", w[1]/w[0], .6, .001)
	check.Near(t, "rest", w[2]/w[0], .4, .001)
	// The largest is a half: its bar is half as long as the scale, whose last line is 100 %.
	first := n.groups("share", "")[0].child("rect")
	whole := 0.0
	for _, l := range n.all("line") {
		whole = math.Max(whole, l.num(t, "x1")-first.num(t, "x"))
	}
	check.Near(t, "a half", w[0]/whole, .5, .001)
}
