package advise_test

import (
	"context"
	"flag"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"example.com/borestack/align"
	"example.com/borestack/align/advise"
	. "example.com/borestack/tolerance"
)

// sheetOf makes the sheet of corrections of one's own.
func sheetOf(t testing.TB, b advise.Box, shop advise.Shop, list ...advise.Correction) *advise.WorkSheet {
	t.Helper()
	a, err := advise.Correct(context.Background(), b, shop)
	if err != nil {
		t.Fatal(err)
	}
	o, err := a.Try(context.Background(), list...)
	if err != nil {
		t.Fatal(err)
	}
	w, err := a.Sheet(context.Background(), o)
	if err != nil {
		t.Fatal(err)
	}
	return w
}

// A push counts from the middle of what the joint can be pushed, in the box. The register has 0.04 of clearance and leans by 0.001 over its 20 mm, so that what it leaves is a lens whose middle is 0.01 towards 9 o'clock of where the registration points coincide; the bores are on one line 0.004 towards 9 and 0.004 towards 6 o'clock of that place. From the middle that is 0.006 towards 3 and 0.004 towards 6. The old sheet counted from where the points coincide, in the plate's own frame.
//
// Source: hand calculation: two discs of radius 0.02, 0.02 apart, reach 0.01 along and √(0.02² − 0.01²) across; the same in the box however the plate is clocked.
func TestSheet_pushFromMiddle(t *testing.T) {
	pilot := func(kind align.PilotKind, d, x Length) *align.Pilot {
		return &align.Pilot{Kind: kind, Diameter: d, Centre: align.Vec2{X: x}, Slope: Given(align.Slope{})}
	}
	for _, turn := range []Angle{0, 90 * Degree, 200 * Degree} {
		sn, cs := math.Sincos(float64(turn))
		// where the registration points coincide, the tail's bore stands 0.004 to the right of and above the case's
		s := align.Stack{
			Parts: []align.Part{
				{Name: "case", Bores: []align.Bore{{Name: "a", Centre: align.Vec3{Z: -50}}, {Name: "b"}}, Rear: &align.Face{Pilot: pilot(align.PilotBore, 160, 0)}},
				{Name: "plate", Front: &align.Face{Pilot: pilot(align.Spigot, 160, 0)}, Rear: &align.Face{Z: 14, Pilot: pilot(align.Spigot, 150, 0.3)}},
				{Name: "tail", Front: &align.Face{Pilot: &align.Pilot{Kind: align.PilotBore, Diameter: 150.04, Slope: Given(align.Slope{X: 0.001})}}, Bores: []align.Bore{{Name: "c", Centre: align.Vec3{
					X: Length(0.004 - 0.3*cs), Y: Length(0.004 + 0.3*sn), Z: 100,
				}}}},
			},
			Joints: []align.Joint{{Clock: turn, Lies: align.LiesRest}, {Name: "last", Clock: -turn, Engagement: Given[Length](20)}},
			Shafts: []align.Shaft{{Name: "main", Supports: []align.Support{{Bore: "case/a", Clearance: 0.001}, {Bore: "case/b", Clearance: 0.001}, {Bore: "tail/c", Clearance: 0.001}}}},
		}
		a, err := advise.Correct(context.Background(), advise.Box{Stack: s}, advise.Shop{Push: true, Graduation: 0.001})
		if err != nil {
			t.Fatal(err)
		}
		found := false
		for i := range a.Options {
			o := &a.Options[i]
			if len(o.Corrections) == 0 {
				continue
			}
			found = true
			w, err := a.Sheet(context.Background(), o)
			if err != nil {
				t.Fatal(err)
			}
			h := w.Orders()[0].Holds[0]
			if math.Abs(float64(h.At.X)-0.006) > 1e-6 || math.Abs(float64(h.At.Y)+0.004) > 1e-6 || math.Abs(float64(h.Travel[0])-0.02) > 1e-6 {
				t.Errorf("plate at %v: hold at %v, travel %v", turn, h.At, h.Travel)
			}
			text := textOf(t, w)
			for _, want := range []string{
				"zero is the middle of what each joint can be pushed, on the dials",
				"it travels 0.020 mm along the one, 0.035 mm along the other",
				"push it towards 4 o'clock (123.7°) until the dial at 3 o'clock reads +0.006 mm and the dial at 12 o'clock -0.004 mm: 0.007 mm towards 4 o'clock (123.7°) from zero",
				"right when both are within ± 0.0005 mm of that; tighten the bolts nearest the dowels first; tight, the dial at 3 o'clock must read +0.006 mm and the dial at 12 o'clock -0.004 mm, within ± 0.0005 mm",
			} {
				if !strings.Contains(text, want) {
					t.Errorf("plate at %v: %q is missing from\n%s", turn, want, text)
				}
			}
		}
		if !found {
			t.Fatalf("nothing to push: %v", a.Refused)
		}
	}
}

// After the plate was turned by 120° the next joint's clocks are still the box's: moving the tail's dowels by 135° of the plate is 255° in the box, and the same order's dials say so.
//
// Source: hand calculation: 135° + 120° = 255°.
func TestSheet_behindReclockedPlate(t *testing.T) {
	b := randomBox(rand.New(rand.NewPCG(4, 4)))
	turn := advise.Correction{Kind: advise.Reclock, Place: "plate", Redrill: true, Turn: 120 * Degree}
	w := sheetOf(t, b, thinShop(), turn, advise.Correction{Kind: advise.OffsetDowels, Place: "three", By: 0.01, Clock: 135 * Degree})
	if text := textOf(t, w); !regexp.MustCompile(`go towards half past 8 \((254\.9|255|255\.1)°\)`).MatchString(text) {
		t.Errorf("dowels behind a plate that was turned by 120°:\n%s", text)
	}
	w = sheetOf(t, b, advise.Shop{Graduation: 0.001}, turn, advise.Correction{Kind: advise.Redowel, Place: "three", By: 0.01, Clock: 135 * Degree})
	before := sheetOf(t, b, advise.Shop{Graduation: 0.001}, turn, advise.Correction{Kind: advise.Redowel, Place: "three", By: 0, Clock: 135 * Degree})
	h, h0 := w.Orders()[1].Holds[0], before.Orders()[1].Holds[0]
	if got := Clock(float64(h.At.X-h0.At.X), float64(h.At.Y-h0.At.Y)); math.Abs(got.Degrees()-255) > 8 { // a thousandth in a hundredth
		t.Errorf("re-dowelled towards %v, want 255°", got)
	}
	if o := w.Orders()[1]; o.Bench || !strings.Contains(textOf(t, w), "in the box: clock positions are seen from the tail, as the box stands") {
		t.Errorf("frame of re-dowelling: %+v", o)
	}
}

// A tapered shim behind a plate that is end for end goes by the plate's own marks, as its cuts do, and the sheet says first that it is end for end: thickest at 60° as mounted is its mark at 300°.
//
// Source: hand calculation: end for end (x, y, z) is (−x, y, −z), so that a mark at θ stands at −θ.
func TestSheet_endForEnd(t *testing.T) {
	b := clocked(rand.New(rand.NewPCG(6, 2)), true, false)
	shim := advise.Correction{Kind: advise.TaperShim, Place: "three", By: 0.1, Rise: 0.1, Across: 200, Clock: 60 * Degree}
	cut := advise.Correction{Kind: advise.SkimWedge, Place: "plate/rear", By: 0.02, Rise: 0.05, Across: 184, Clock: 300 * Degree}
	w := sheetOf(t, b, thinShop(), cut, shim)
	o := w.Orders()[1]
	best := o.Marks[0]
	for _, m := range o.Marks {
		if m.Amount > best.Amount {
			best = m
		}
	}
	if d := math.Abs(best.Clock.Degrees() - 300); d > 16 || math.Abs(o.Clock.Degrees()-300) > 1e-9 || math.Abs(o.InBox.Degrees()-60) > 0.1 {
		t.Errorf("thickest mark at %v, order says %v, in the box %v", best.Clock, o.Clock, o.InBox)
	}
	text := textOf(t, w)
	for _, section := range strings.Split(text, "\n\n") {
		if !strings.HasPrefix(section, "1. ") && !strings.HasPrefix(section, "2. ") {
			continue
		}
		lines := strings.Split(section, "\n")
		if lines[1] != "  - the plate is mounted end for end in the box: its rear face as measured looks forward there" {
			t.Errorf("an order about a part end for end begins with\n%s", lines[1])
		}
		if !strings.HasPrefix(lines[2], "  - on the bench: clock positions are by the own marks of the plate as measured, seen from its tail end, its 12 o'clock mark up; zero is ") {
			t.Errorf("frame: %s", lines[2])
		}
	}
	if !strings.Contains(text, "at its thickest, at 10 o'clock (300°)") || !regexp.MustCompile(`in the box its thickest side stands at 2 o'clock \((59\.9|60|60\.1)°\)`).MatchString(text) {
		t.Error(text)
	}
}

// Re-clocking a part turns the tapered gasket that lies on it, as the model has it, and leaves the one in front: the sheet says both.
func TestSheet_reclockAndGaskets(t *testing.T) {
	for _, c := range []struct {
		joint int
		want  string
	}{
		{2, "the tapered gasket behind it turns with it: lay it by the marks of the plate"},
		{1, "the tapered gasket in front of it stays by the marks of the case"},
	} {
		b := randomBox(rand.New(rand.NewPCG(4, 5)))
		taper := align.Slope{X: 5e-4}
		b.Stack.Joints[c.joint].Gasket = &align.Gasket{Thickness: 0.3, Slope: taper}
		turn := advise.Correction{Kind: advise.Reclock, Place: "plate", Redrill: true, Turn: 120 * Degree}
		w := sheetOf(t, b, advise.Shop{}, turn)
		if text := textOf(t, w); strings.Count(text, "tapered gasket") != 1 || !strings.Contains(text, c.want) {
			t.Errorf("want %q\n%s", c.want, text)
		}
		// where the gasket's thick side stands in the box: what the sheet says is what its promise was worked out from
		after, err := turn.Apply(b.Stack)
		if err != nil {
			t.Fatal(err)
		}
		bare := after.Clone()
		bare.Joints[c.joint].Gasket.Slope = align.Slope{}
		seat := func(s align.Stack) align.Pose {
			a, err := s.Solve()
			if err != nil {
				t.Fatal(err)
			}
			return a.Placed[c.joint+1].BaseFromPart
		}
		tilt := tiltFrom(seat(after), seat(bare))
		stands := 90.0 // thick at 3 o'clock of the part that it lies on
		if c.joint == 2 {
			stands += 120
		}
		if got := Clock(tilt.X, tilt.Y).Degrees(); math.Abs(got-stands) > 1 {
			t.Errorf("the gasket at joint %d is thick at %.1f° in the box, want %v°", c.joint, got, stands)
		}
		shim := sheetOf(t, b, advise.Shop{}, advise.Correction{Kind: advise.Shim, Place: b.Stack.JointName(c.joint), By: 0.1})
		if !strings.Contains(textOf(t, shim), "beside the gasket that is there") {
			t.Error("a shim beside a gasket, unsaid")
		}
	}
}

// tiltFrom is the slope by which the first pose tilts a part more than the second does: towards where it stands further back.
func tiltFrom(a, b align.Pose) align.Slope {
	m, n := a.Matrix(), b.Matrix()
	return align.Slope{X: -(m[0][2] - n[0][2]), Y: -(m[1][2] - n[1][2])}
}

var frameLine = regexp.MustCompile(`^  - (on the bench: clock positions are by the own marks of the [a-z]+ as measured, seen from its tail end, its 12 o'clock mark up|in the box: clock positions are seen from the tail, as the box stands, 12 o'clock up); zero is .+$`)

// Every order of every kind names its frame and its zero in the same words, first of all but for parts end for end, and has a picture.
func TestSheet_everyOrderNamesItsFrame(t *testing.T) {
	rng := rand.New(rand.NewPCG(20, 1))
	for k := advise.Swap; k <= advise.Push; k++ {
		for range 2 {
			_, _, _, sheet, _ := tryOut(t, rng, k, nil)
			text := textOf(t, sheet)
			sections := strings.Split(text, "\n\n")
			for n := range sheet.Orders() {
				lines := strings.Split(sections[n+1], "\n")[1:]
				for strings.Contains(lines[0], "is mounted end for end in the box") {
					lines = lines[1:]
				}
				if !frameLine.MatchString(lines[0]) {
					t.Errorf("%v: the frame is not named in\n%s", k, sections[n+1])
				}
				if !strings.Contains(sections[n+1], "      | ") || !strings.ContainsAny(sections[n+1], "↑↗→↘↓↙←↖") && k != advise.Push {
					t.Errorf("%v: no picture with an arrow in\n%s", k, sections[n+1])
				}
			}
			var markdown strings.Builder
			if err := sheet.Page(Inches).Markdown(&markdown); err != nil || strings.Count(markdown.String(), "```")%2 != 0 || !strings.Contains(markdown.String(), "```text") {
				t.Errorf("%v: %v\n%s", k, err, markdown.String())
			}
		}
	}
}

// What the tools at hand cannot do is not printed, and the promise says what that costs: a shop with two strips and a coarse dial.
func TestSheet_followsTools(t *testing.T) {
	b := randomBox(rand.New(rand.NewPCG(2, 3)))
	fine := advise.Shop{Step: 0.001, Works: cuts(advise.Work{Place: "plate/rear", Most: 0.3, Thin: 0.01, Least: Given[Length](13), Across: 184})}
	coarse := fine
	coarse.Strips = []Length{0.05, 0.1}
	for i, shop := range []advise.Shop{fine, coarse} {
		a, err := advise.Correct(context.Background(), b, shop)
		if err != nil {
			t.Fatal(err)
		}
		for n := range a.Options {
			o := &a.Options[n]
			if len(o.Corrections) == 0 || o.Corrections[0].Kind != advise.SkimWedge {
				continue
			}
			w, err := a.Sheet(context.Background(), o)
			if err != nil {
				t.Fatal(err)
			}
			exact, _ := o.After.WorstMargin()
			if d := float64(exact - w.Margin[1].Value - w.Cost); math.Abs(d) > 1e-12 {
				t.Errorf("the cost is %v, the margins differ by %v", w.Cost, d)
			}
			strip := float64(w.Orders()[0].Strip.Thickness)
			switch {
			case i == 0 && math.Abs(strip-math.Round(strip*1000)/1000) > 1e-9:
				t.Errorf("a strip of %v where amounts are in thousandths", strip)
			case i == 1 && math.Min(math.Abs(strip), math.Min(math.Abs(strip-0.05), math.Abs(strip-0.1))) > 1e-9:
				t.Errorf("a strip of %v, and none such in stock", strip)
			case i == 1 && w.Cost > 1e-4 && !strings.Contains(textOf(t, w), "strips and dials as they are cost "):
				t.Errorf("it costs %v, unsaid", w.Cost)
			}
		}
	}
	shop := advise.Shop{Graduation: 0.02}
	w := sheetOf(t, b, shop, advise.Correction{Kind: advise.Redowel, Place: "one", By: 0.123, Clock: 77 * Degree})
	for _, v := range []Length{w.Orders()[0].Holds[0].At.X, w.Orders()[0].Holds[0].At.Y} {
		if n := float64(v) / 0.02; math.Abs(n-math.Round(n)) > 1e-6 {
			t.Errorf("%v is no division of a dial of 0.02", v)
		}
	}
	for _, bad := range []advise.Shop{{Graduation: -1}, {Strips: []Length{-0.1}}} {
		if _, err := advise.Correct(context.Background(), b, bad); err == nil {
			t.Errorf("%+v was taken", bad)
		}
	}
}

var update = flag.Bool("update", false, "write the sheets in testdata anew")

// The sheets of four typical corrections, kept to be read by eye.
func TestSheet_golden(t *testing.T) {
	_, launched := launch(t)
	for i := range launched.Stack.Joints { // every joint where it rests
		launched.Stack.Joints[i].Lies = align.LiesRest
	}
	loose := launched
	loose.Stack = launched.Stack.Clone()
	for i := range loose.Stack.Joints {
		loose.Stack.Joints[i].Lies = align.LiesAny
		loose.Stack.Joints[i].Engagement = Optional[Length]{}
	}
	over := clocked(rand.New(rand.NewPCG(6, 2)), true, false)
	over.Limits, over.Stack.Chains = over.Limits[:2], nil
	over.Stack.Title = "Invented: a plate that is mounted end for end"
	shop := advise.Shop{
		Step: 0.01, Within: 0.005, Dial: 0.002,
		Works: []advise.Work{{Kind: advise.Skim, Place: "plate/rear", Least: Given[Length](13.5)}, {Kind: advise.Skim, Place: "plate/front", Least: Given[Length](13.5)}}, // and nothing to search
	}
	for name, c := range map[string]struct {
		box  advise.Box
		list []advise.Correction
	}{
		"wedge":               {launched, []advise.Correction{{Kind: advise.SkimWedge, Place: "plate/rear", By: 0.02, Rise: 0.03, Across: 184, Clock: 140 * Degree}}},
		"push":                {loose, nil},
		"reclock-redowel":     {launched, []advise.Correction{{Kind: advise.Reclock, Place: "plate", Redrill: true, Turn: 120 * Degree}, {Kind: advise.Redowel, Place: "plate|tail", By: 0.01, Clock: 135 * Degree, Across: 10}}},
		"taper-behind-turned": {over, []advise.Correction{{Kind: advise.Skim, Place: "plate/front", By: 0.05, Across: 184}, {Kind: advise.TaperShim, Place: "three", By: 0.1, Rise: 0.06, Across: 200, Clock: 60 * Degree}}},
	} {
		own := shop
		own.Push = c.list == nil
		a, err := advise.Correct(context.Background(), c.box, own)
		if err != nil {
			t.Fatal(name, err)
		}
		o, err := a.Try(context.Background(), c.list...)
		for i := range a.Options {
			if p := a.Options[i].Corrections; c.list == nil && len(p) == 1 && p[0].Kind == advise.Push {
				o = &a.Options[i]
			}
		}
		if err != nil {
			t.Fatal(name, err)
		}
		w, err := a.Sheet(context.Background(), o)
		if err != nil {
			t.Fatal(name, err)
		}
		var got strings.Builder
		if err := w.Page(Millimetres).Text(&got); err != nil {
			t.Fatal(err)
		}
		path := filepath.Join("testdata", "sheets", name+".txt")
		if *update {
			if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(path, []byte(got.String()), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		want, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if got.String() != string(want) {
			t.Errorf("%s differs from %s (-update writes it):\n%s", name, path, got.String())
		}
	}
}
