package specify

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/floats"

	"example.com/borestack/align"
	"example.com/borestack/align/record"
	"example.com/borestack/tolerance"
)

// No datum is named twice, and a coaxiality is never to a face; a limit with both ends tells them apart.
//
// Source: ISO 1101:2017, a coaxiality has an axis for datum; ISO 5459, a datum system names each datum once.
func TestCallouts_datums(t *testing.T) {
	pilot := &align.Pilot{Diameter: 150}
	s := align.Stack{
		Parts: []align.Part{
			{
				Name: "case", Front: &align.Face{}, Rear: &align.Face{Z: 100, Pilot: &align.Pilot{Kind: align.PilotBore, Diameter: 150.02}},
				Bores: []align.Bore{{Name: "a"}, {Name: "b", Centre: align.Vec3{Z: 50}}},
			},
			{Name: "plate", Front: &align.Face{Pilot: pilot}, Rear: &align.Face{Z: 14, Pilot: pilot}},
			{Name: "tail", Front: &align.Face{Pilot: &align.Pilot{Kind: align.PilotBore, Diameter: 150.02}}, Bores: []align.Bore{{Name: "c", Centre: align.Vec3{Z: 150}}}},
		},
		Joints: make([]align.Joint, 2),
		Shafts: []align.Shaft{{Name: "shaft"}},
	}
	for _, b := range []string{"case/a", "case/b", "tail/c"} {
		s.Shafts[0].Supports = append(s.Shafts[0].Supports, align.Support{Bore: b, Clearance: 0.2})
	}
	got := map[string]string{}
	callouts := Callouts(s)
	for k := range callouts {
		c := &callouts[k]
		callouts[k].Zone, callouts[k].Across = 0.01, 100
		got[c.Kind.String()+" of "+c.Feature] = c.Datum
		if c.Kind == Coaxiality && !strings.Contains(c.Datum, "front pilot") {
			t.Errorf("%s is to no axis", c.Name())
		}
		if a, b, both := strings.Cut(c.Datum, " | "); both && a == b {
			t.Errorf("%s names a datum twice", c.Name())
		}
	}
	for of, to := range map[string]string{
		"position of case, rear pilot": "case, front face", "position of case/a": "case, front face",
		"coaxiality of plate, rear pilot": "plate, front face | plate, front pilot", "position of tail/c": "tail, front face | tail, front pilot",
	} {
		if got[of] != to {
			t.Errorf("%s is to %q, want %q; all: %v", of, got[of], to, got)
		}
	}
	a := Ask{Stack: s, Callouts: callouts, Samples: 100, Limits: []record.Limit{{
		Output: align.Output{What: align.TIRSize, Of: "tail/c"}, Limits: tolerance.Limits{Least: tolerance.Given(-1.0), Greatest: tolerance.Given(1.0)},
	}}}
	r, err := a.Check(t.Context())
	if err != nil || len(r.Worst) != 2 || r.Worst[0].Limit != "tir of tail/c, greatest" || r.Worst[1].Limit != "tir of tail/c, least" {
		t.Errorf("%v: %+v", err, r)
	}
}

// pegged is two parts on a pilot and a peg, with a shaft that has room for whatever they do.
func pegged() (align.Stack, []record.Limit) {
	hole := func(d tolerance.Length) []align.Dowel {
		return []align.Dowel{{Name: "peg", Centre: align.Vec2{X: 80}, Diameter: d}}
	}
	s := align.Stack{
		Parts: []align.Part{
			{Name: "case", Front: &align.Face{}, Rear: &align.Face{Z: 100, Pilot: &align.Pilot{Kind: align.PilotBore, Diameter: 100.02}, Dowels: hole(8)}, Bores: []align.Bore{{Name: "a"}, {Name: "b", Centre: align.Vec3{Z: 50}}}},
			{Name: "tail", Front: &align.Face{Pilot: &align.Pilot{Diameter: 100}, Dowels: hole(8.01)}, Bores: []align.Bore{{Name: "c", Centre: align.Vec3{Z: 150}}}},
		},
		Joints: []align.Joint{{Pins: []align.Pin{{Dowel: "peg", Diameter: 8}}}},
		Shafts: []align.Shaft{{Name: "shaft"}},
	}
	for _, b := range []string{"case/a", "case/b", "tail/c"} {
		s.Shafts[0].Supports = append(s.Shafts[0].Supports, align.Support{Bore: b, Clearance: 2})
	}
	return s, []record.Limit{{Output: align.Output{What: align.Margin}, Limits: tolerance.AtLeast(0)}}
}

// A box that does not go together holds no limit, however much room its shaft has.
//
// Source: hand calculation: along the line of pilot and peg the holes may be apart by half of both clearances,
// (0.02 + 0.01)/2 = 0.015 mm, and are by half of three zones; whether drawn boxes go together by align.Assembles.
func TestSpecify_assembles(t *testing.T) {
	s, limits := pegged()
	a := Ask{Stack: s, Limits: limits, Callouts: Callouts(s), Samples: 2000}
	worst, err := a.Specify(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	a.Yield = tolerance.Given(0.9)
	share, err := a.Specify(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	sum := 0.0
	for _, c := range worst.Callouts {
		if strings.Contains(c.Feature, "pilot") || strings.Contains(c.Feature, "peg") {
			sum += float64(c.Zone)
		}
	}
	last := worst.Worst[len(worst.Worst)-1]
	if last.Limit != "assembly of case|tail" || math.Abs(1-last.Left-sum/0.03) > 5e-3 || sum > 0.03 || sum < 0.02 {
		t.Errorf("zones of %g mm together, %+v", sum, last)
	}
	plan, err := compile(s, "", true, false, share.Callouts, []align.Output{{What: align.Assembles}})
	if err != nil {
		t.Fatal(err)
	}
	const n = 4000
	for _, r := range []*Result{worst, share} {
		x, goes, rng := columns(2*len(r.Callouts), n), make([]float64, n), rand.New(rand.NewPCG(5, 6))
		for k := range r.Callouts {
			rim := r.Callouts[k].radius(float64(r.Callouts[k].Zone))
			for i := range n {
				u, v := 1.0, 1.0
				for math.Hypot(u, v) > 1 {
					u, v = rng.NormFloat64()/3, rng.NormFloat64()/3
				}
				x[2*k][i], x[2*k+1][i] = rim*u, rim*v
			}
		}
		if err := plan.NewEvaluator().Evaluate([][]float64{goes}, x, n); err != nil {
			t.Fatal(err)
		}
		if got := floats.Sum(goes) / n; got < 0.9-0.015 || r == worst && got < 1 {
			t.Errorf("%.1f %% of boxes go together, promised %+v", 100*got, r.Yield)
		}
	}
}

// A coordinate that is one in the drawing is drawn as one, wherever its measured values round to.
func TestDrawn_halfTenths(t *testing.T) {
	s, _ := pegged()
	s.Parts[0].Rear.Dowels[0].Centre.X, s.Parts[1].Front.Dowels[0].Centre.X = 80.049, 80.052
	s.Parts[1].Bores[0].Centre.X = -0.03
	d, err := Drawn(s)
	if err != nil {
		t.Fatal(err)
	}
	if a, b := d.Parts[0].Rear.Dowels[0].Centre.X, d.Parts[1].Front.Dowels[0].Centre.X; a != b || a != 80 {
		t.Errorf("one hole is at %v and %v", a, b)
	}
	if x := d.Parts[1].Bores[0].Centre.X; x != 0 {
		t.Errorf("on the axis but for 0.03 mm: %v", x)
	}
}

// What limits, meshes and axes are about is called out, whether or not a shaft runs in it; a hole without a pin
// is not. A part mounted end for end is as its drawing has it.
func TestCallouts_asked(t *testing.T) {
	s, limits := pegged()
	s.Parts[1].Bores = append(s.Parts[1].Bores, align.Bore{Name: "seal"}, align.Bore{Name: "idle"})
	s.Parts[0].Rear.Dowels = append(s.Parts[0].Rear.Dowels, align.Dowel{Name: "spare", Diameter: 8})
	limits = append(limits, record.Limit{Output: align.Output{What: align.TIRSize, Of: "tail/seal"}, Limits: tolerance.AtMost(0.1)},
		record.Limit{Output: align.Output{What: align.TiltSize, Of: "tail/c"}, Limits: tolerance.AtMost(0.001)})
	var names []string
	list := Callouts(s, limits...)
	for k := range list {
		names = append(names, list[k].Name())
	}
	all := strings.Join(names, "\n")
	s.Parts[0].Front = nil
	if list = Callouts(s); list[0].Name() != "flatness of case, rear face" || list[1].Name() != "position of case/a to case, rear face | case, rear pilot" {
		t.Errorf("held to its rear face and pilot: %s, %s", list[0].Name(), list[1].Name())
	}
	for of, want := range map[string]bool{
		"position of tail/seal": true, "perpendicularity of tail/c": true, "tail/idle": false, "dowel hole spare": false, "perpendicularity of tail/seal": false,
	} {
		if strings.Contains(all, of) != want {
			t.Errorf("%s: want %v in\n%s", of, want, all)
		}
	}
}

// A limit asked twice has one worst box, on joints where floats of pins and pilots leave kinks in what is left.
//
// Source: a second search, from other boxes.
func TestWorst_kinks(t *testing.T) {
	s, limits := launch(t)
	a := Ask{Stack: s, Limits: []record.Limit{limits[0], limits[0]}, Samples: 50}
	a.Callouts = slices.DeleteFunc(Callouts(s), func(c Callout) bool { return c.Kind == Flatness || c.axis != nil && c.axis.gain > 0 })
	for k, z := range [...]tolerance.Length{0.04, 0.01, 0.01, 0.02, 0.008, 0.016, 0.01, 0.01, 0.01, 0.016, 0.016, 0.016, 0.01, 0.01, 0.025, 0.025, 0.01} {
		a.Callouts[k].Zone = z
	}
	r, err := a.Check(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if d := math.Abs(r.Worst[0].Left - r.Worst[1].Left); d > 1e-4 {
		t.Errorf("left %.6f and %.6f", r.Worst[0].Left, r.Worst[1].Left)
	}
}

// A file of callouts may come from anywhere: what is not understood is told by its line, and what would be right.
func TestReadZones(t *testing.T) {
	s, _ := pegged()
	const peg, bore = "position of tail, dowel hole peg, front to tail, front face | tail, front pilot", "position of tail/c to tail, front face | tail, front pilot"
	list := Callouts(s)
	find := func(name string) *Callout {
		for k := range list {
			if list[k].Name() == name {
				return &list[k]
			}
		}
		t.Fatalf("no %q", name)
		return nil
	}
	if err := ReadZones(list, "\ufeff# shop\r\n\r\n0.001\tweight=3 m=0.0005 "+peg+"\r\n ?  weight=2 "+bore+" \n", tolerance.Inches); err != nil {
		t.Fatal(err)
	}
	if c := find(peg); math.Abs(float64(c.Zone)-0.0254) > 1e-12 || c.Weight != 3 || !c.AtMaximum || math.Abs(float64(c.Size)-0.0127) > 1e-12 {
		t.Errorf("%+v", c)
	}
	if c := find(bore); c.Zone != 0 || c.Weight != 2 {
		t.Errorf("%+v", c)
	}
	for text, want := range map[string]string{
		"":                           "line 1: missing",
		"\n0,01 " + bore:             `line 2: "0,01": not understood: want a number of more than 0 with a point, not a comma`,
		"-1 " + bore:                 `"-1": not understood`,
		"NaN " + bore:                `"NaN": not understood`,
		"0.01 m=0 " + bore:           `"m=0": not understood`,
		"0.01 colour=2 " + bore:      "want weight= or m=",
		"1 " + bore + "\n2 " + bore:  "line 2: " + `"` + bore + `": repeated`,
		"0.01 position of tail/d":    "line 1: " + `"position of tail/d": unknown name`,
		"0.01":                       "unknown name",
		"0.01 weight=2 weight=" + "": "unknown name",
	} {
		if err := ReadZones(Callouts(s), text, tolerance.Millimetres); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, want %s", text, err, want)
		}
	}
}

// What no callout bears on is said so, and only a position is held at maximum material.
func TestCheck_idle(t *testing.T) {
	s, limits := pegged()
	limits = append(limits, record.Limit{Output: align.Output{What: align.RunningClearance, Of: "tail/c"}, Limits: tolerance.AtMost(3)})
	a := Ask{Stack: s, Limits: limits[1:], Callouts: Callouts(s), Samples: 50}
	r, err := a.Specify(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	var told strings.Builder
	if err := r.Page(tolerance.Millimetres).Text(&told); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"1 mm left; no callout bears on it", "0.10, no limit asks", "assembly of case|tail: takes"} {
		if !strings.Contains(told.String(), want) {
			t.Errorf("%q is missing from\n%s", want, told.String())
		}
	}
	for k := range a.Callouts {
		if c := &a.Callouts[k]; c.Kind == Flatness {
			c.AtMaximum = true
		}
	}
	if _, err := a.Specify(t.Context()); err == nil || !strings.Contains(err.Error(), "nothing else is held at maximum material") {
		t.Errorf("flat at maximum material: %v", err)
	}
	a.Stack.Parts[1].Front.Points = []align.Vec3{{}, {X: 1}, {Y: 1}}
	if _, err := a.Check(t.Context()); err == nil || !strings.Contains(err.Error(), "as drawn") {
		t.Errorf("a measured part: %v", err)
	}
}
