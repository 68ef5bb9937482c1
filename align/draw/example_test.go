package draw_test

import (
	"encoding/xml"
	"fmt"
	"strings"

	"example.com/borestack/align"
	"example.com/borestack/align/draw"
	"example.com/borestack/stackup"
	"example.com/borestack/tolerance"
)

// twoParts is a case and a tail whose bore is 0.03 mm high of the line of the case's bores.
func twoParts() align.Stack {
	mm := func(x, y, z float64) align.Vec3 {
		return align.Vec3{X: tolerance.Length(x), Y: tolerance.Length(y), Z: tolerance.Length(z)}
	}
	clear := 100 * tolerance.Micrometre
	return align.Stack{
		Title: "case and tail",
		Parts: []align.Part{
			{
				Name: "case", Rear: &align.Face{Z: 100, Pilot: &align.Pilot{Kind: align.PilotBore, Diameter: 150}},
				Bores: []align.Bore{{Name: "front", Centre: mm(0, 0, -100)}, {Name: "rear", Centre: mm(0, 0, 50)}},
			},
			{
				Name: "tail", Front: &align.Face{Pilot: &align.Pilot{Diameter: 150}},
				Bores: []align.Bore{{Name: "bush", Centre: mm(0, .03, 100)}},
			},
		},
		Joints: []align.Joint{{Lies: align.LiesRest}},
		Shafts: []align.Shaft{{Name: "main", Supports: []align.Support{
			{Bore: "case/front", Clearance: tolerance.Diametral(clear)}, {Bore: "case/rear", Clearance: tolerance.Diametral(clear)}, {Bore: "tail/bush", Clearance: tolerance.Diametral(clear)},
		}}},
	}
}

// described prints title and description of a picture, as a screen reader says them.
func described(svg string) {
	var p struct {
		Title string `xml:"title"`
		Desc  string `xml:"desc"`
	}
	if err := xml.Unmarshal([]byte(svg), &p); err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(p.Title)
	for _, s := range strings.SplitAfter(p.Desc, ". ") {
		fmt.Println(strings.TrimSpace(s))
	}
}

func ExampleShaftLine() {
	s := twoParts()
	a, err := s.Solve()
	if err != nil {
		fmt.Println(err)
		return
	}
	var b strings.Builder
	if err := draw.ShaftLine(&b, a, draw.Options{ID: "line"}); err != nil {
		fmt.Println(err)
		return
	}
	described(b.String())
	// Output:
	// Shaft line: case and tail
	// Nose left, tail right.
	// Side view from the left, 12 o'clock up; top view from above, 3 o'clock up.
	// Clock positions are seen from the tail, 12 o'clock up.
	// Straight shafts have room: margin 0.043 mm (radial), 15 % of every clearance needed.
	// What uses up the clearance: case/rear, case/front and tail/bush.
	// What caps the margin: case/rear, case/front and tail/bush.
	// Crosswise lengths are drawn 600 times larger than lengthwise ones, in both views alike.
	// case/front: z -100, offset 0 mm, clearance 0.100 mm diametral.
	// case/rear: z 50, offset 0 mm, clearance 0.100 mm diametral.
	// tail/bush: z 200, offset 0.030 mm at 12:00, clearance 0.100 mm diametral.
}

func ExampleTarget() {
	s := twoParts()
	a, err := s.Solve()
	if err != nil {
		fmt.Println(err)
		return
	}
	var b strings.Builder
	aim := draw.Aim{Bore: "tail/bush", Limit: tolerance.Given(tolerance.TIR(100 * tolerance.Micrometre).Offset())}
	if err := draw.Target(&b, a, aim, draw.Options{ID: "target"}); err != nil {
		fmt.Println(err)
		return
	}
	described(b.String())
	// Output:
	// Target of tail/bush: case and tail
	// Seen from the tail, 12 o'clock up.
	// Offset 0.030 mm at 12:00 (centre to centre), TIR 0.060 mm, from the line through the first two supports of main.
	// centre of the rings: the line through the first two supports of main; limit: offset at most 0.050 mm, TIR at most 0.100 mm; room of the shaft's axis, radius 0.050 mm (clearance 0.100 mm diametral); it uses up the clearance and caps the margin; nothing that it depends on can be pushed; bore centre, 0.030 mm at 12:00; best straight shaft main: 0.007 mm at 6:00 from the bore centre.
	// Printed 180 mm wide, it is 500 times life size; the bar holds at any size.
}

func ExampleHistogram() {
	var b strings.Builder
	err := draw.Histogram(&b, draw.Bins{
		Quantity: "margin of the shaft line", Unit: "mm",
		Histogram: stackup.Histogram{Edges: []float64{-.01, 0, .01, .02, .03}, Counts: []int{12, 340, 500, 148}, Limits: tolerance.Limits{Least: tolerance.Given(0.0)}},
		Note:      "1,000 samples, seed 1.",
	}, draw.Options{ID: "margin"})
	if err != nil {
		fmt.Println(err)
		return
	}
	described(b.String())
	// Output:
	// Distribution: margin of the shaft line
	// 12 of 1,000 lie outside the limits.
	// Areas are shares of all 1,000 counted; the fullest bar holds 50 %; hatched lies outside a limit.
	// 1,000 samples, seed 1.
}
