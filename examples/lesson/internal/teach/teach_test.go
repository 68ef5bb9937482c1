package teach_test

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"

	"example.com/borestack/align"
	"example.com/borestack/examples/lesson/internal/box"
	"example.com/borestack/examples/lesson/internal/chance"
	"example.com/borestack/examples/lesson/internal/teach"
	"example.com/borestack/tolerance"
)

var units = []tolerance.Unit{tolerance.Millimetres, tolerance.Inches}

// reach says how each step's goal is reached.
var reach = []func(*box.Knobs, *teach.Seen){
	func(k *box.Knobs, _ *teach.Seen) { k.Offset = 0.05 },
	func(k *box.Knobs, _ *teach.Seen) { k.Wedge = 0.09 },
	func(k *box.Knobs, _ *teach.Seen) { k.Bow, k.Wedge = 0, 0.1 },
	func(k *box.Knobs, _ *teach.Seen) { k.Wedge = 0.08 },
	func(k *box.Knobs, _ *teach.Seen) { k.Wedge = 0.1 },
	func(k *box.Knobs, _ *teach.Seen) { k.Pilot = 0.2 },
	func(k *box.Knobs, _ *teach.Seen) { k.Dowels = 2 },
	func(k *box.Knobs, _ *teach.Seen) { k.Turn = 180 * tolerance.Degree },
	func(k *box.Knobs, _ *teach.Seen) { *k = box.Plates()[0].Set(*k) },
	func(k *box.Knobs, _ *teach.Seen) { k.Case = 45 },
	func(_ *box.Knobs, s *teach.Seen) { s.Parts = 6 },
	func(_ *box.Knobs, s *teach.Seen) { s.Ways, _ = chance.Add(0.08, 100, 1) },
	func(_ *box.Knobs, s *teach.Seen) { s.Count, _ = chance.Sample(6400, 1) },
	func(_ *box.Knobs, s *teach.Seen) { s.Lot, _ = chance.OneLot(0.7, 100, 1) },
	func(_ *box.Knobs, s *teach.Seen) { s.Maker = plates(0.03) },
}

// first is what the page shows of many boxes before anything was done.
func first(t *testing.T) (s teach.Seen) {
	t.Helper()
	var a, b, c error
	s.Parts, s.Maker = 2, plates(0)
	s.Ways, a = chance.Add(0, 100, 1)
	s.Count, b = chance.Sample(teach.FirstCount, 1)
	s.Lot, c = chance.OneLot(0, 100, 1)
	if err := errors.Join(a, b, c); err != nil {
		t.Fatal(err)
	}
	return s
}

func plates(wedge tolerance.Length) *chance.Maker {
	m, err := chance.Fixture{Wedge: wedge, Turn: true}.Plates()
	if err != nil {
		return nil
	}
	if m.Ask() != nil {
		return nil
	}
	return m
}

func TestSteps(t *testing.T) {
	before := first(t)
	for _, unit := range units {
		steps := teach.Steps(unit)
		if len(steps) != len(reach) {
			t.Fatalf("%d steps, %d ways to reach their goals", len(steps), len(reach))
		}
		for i, s := range steps {
			k, seen := s.Set, before
			done := func() bool {
				v, err := box.See(k)
				if err != nil {
					t.Fatalf("%s: %v", s.Title, err)
				}
				seen.View = v
				return s.Done(seen)
			}
			if s.About != "" && s.Done(teach.Seen{}) {
				t.Errorf("%s: the goal is reached by nothing", s.Title)
			}
			if done() {
				t.Errorf("%s: the goal is reached before anything was done", s.Title)
			}
			reach[i](&k, &seen)
			if !done() {
				t.Errorf("%s: the goal is not reached", s.Title)
			}
			if all := strings.Join(s.Says, " ") + s.Goal; unit == tolerance.Inches && strings.Contains(all, " mm") {
				t.Errorf("%s: millimetres in the inch lesson", s.Title)
			}
		}
	}
}

// What the words say of the box is so.
func TestSteps_claims(t *testing.T) {
	at := func(i int, change func(*box.Knobs)) *box.View {
		k := teach.Steps(tolerance.Millimetres)[i].Set
		if change != nil {
			change(&k)
		}
		v, err := box.See(k)
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	if v := at(2, nil); math.Hypot(float64(v.Tail.X), float64(v.Tail.Y)) > 1e-6 || v.Gap < 0.079 {
		t.Errorf("bow: the tail is at %v, the feeler finds %v", v.Tail, v.Gap)
	}
	if v := at(3, nil); v.Gap != 0 || v.Verdict != tolerance.Fail {
		t.Errorf("flush: gap %v, %v", v.Gap, v.Verdict)
	}
	if v := at(6, func(k *box.Knobs) { k.Dowels = 1 }); v.Verdict != tolerance.Depends {
		t.Errorf("one dowel: %v", v.Verdict)
	}
	if v := at(7, nil); v.Verdict != tolerance.Depends {
		t.Errorf("plate B as it comes: %v", v.Verdict)
	}
	if v := at(9, func(k *box.Knobs) { k.Case, k.Dowels = 45, 2 }); v.GoesOn {
		t.Errorf("hot with two dowels: %v", v.Verdict)
	}
	// Source: hand calculation: the tightest bearings have 0.030 on diameter, half of it on radius.
	for _, wedge := range []tolerance.Length{0, 0.03} {
		v := at(4, func(k *box.Knobs) { k.Wedge = wedge })
		if math.Abs(float64(v.Rest)-0.015) > 1e-9 || math.Abs(float64(v.Worst)-0.015) > 1e-9 {
			t.Errorf("a wedge of %v: a margin of %v to %v, want half the tightest bearings' clearance", wedge, v.Worst, v.Rest)
		}
		if g := v.Assembly.Line.Governs; wedge > 0 && g[0].Name != box.TailBush {
			t.Errorf("a wedge of %v: the use is driven by %v", wedge, g)
		}
	}
	free := 0
	for _, p := range box.Plates() {
		v := at(8, func(k *box.Knobs) { *k = p.Set(*k) })
		if v.Verdict == tolerance.Pass {
			free++
		}
	}
	if free != 1 {
		t.Errorf("%d plates run free as they come, want one", free)
	}
}

// lengths are the lengths in an exercise's question, in order.
func lengths(e teach.Exercise, unit tolerance.Unit) []tolerance.Length {
	var out []tolerance.Length
	words := strings.FieldsFunc(e.Question, func(r rune) bool { return strings.ContainsRune(" ,;?", r) })
	for i := 1; i < len(words); i++ {
		if strings.Trim(words[i], ".") != unit.String() {
			continue
		}
		v, err := strconv.ParseFloat(strings.TrimLeft(words[i-1], "−+"), 64)
		if err != nil { // "in" is a word too
			continue
		}
		out = append(out, tolerance.Length(v)*unit.Size())
	}
	return out
}

// byLibrary answers the exercises with the library, from the numbers in their questions alone.
var byLibrary = [teach.Count]func(t *testing.T, n []tolerance.Length, question string) tolerance.Length{
	func(t *testing.T, n []tolerance.Length, _ string) tolerance.Length { // a sweep with those readings at 10 and 4 o'clock
		var values [][]tolerance.Length
		for i := range 12 {
			at := float64(i) / 6 * math.Pi
			mean, half := (n[1]-n[0])/2, float64(n[1]+n[0])/2
			values = append(values, []tolerance.Length{mean + tolerance.Length(half*math.Cos(at-4.0/6*math.Pi))})
		}
		s := pair()
		s.Parts[1].Bores = []align.Bore{{Name: "bore", Sweep: &align.Sweep{Readings: align.Readings{Values: values}}, Centre: align.Vec3{Z: 7}}, {Name: "far", Centre: align.Vec3{Z: 9}}}
		s.Shafts = []align.Shaft{{Name: "s", Supports: []align.Support{{Bore: "case/one", Clearance: 9}, {Bore: "case/two", Clearance: 9}, {Bore: "plate/bore", Clearance: 9}}}}
		a := solve(t, s)
		o := a.Supports[2].Offset
		return tolerance.Length(math.Hypot(float64(o.X), float64(o.Y)))
	},
	func(t *testing.T, n []tolerance.Length, _ string) tolerance.Length {
		s := pair()
		s.Parts[1].Rear = &align.Face{Diameter: tolerance.Given[tolerance.Length](180), Thickness: &align.Thickness{Radius: 90, Readings: align.Readings{Values: [][]tolerance.Length{{n[0]}, {n[1]}, {n[2]}, {n[3]}}}}}
		return solve(t, s).Parts[1].Rise.Value
	},
	func(t *testing.T, n []tolerance.Length, _ string) tolerance.Length { return tail(t, n[0], n[1], n[2]) },
	func(t *testing.T, n []tolerance.Length, _ string) tolerance.Length { return tail(t, n[1], n[2], n[3]) },
	func(t *testing.T, n []tolerance.Length, _ string) tolerance.Length {
		s, err := box.Eccentric([]float64{float64(n[0]), float64(n[1])}, 20000, 3)
		if err != nil {
			t.Fatal(err)
		}
		most := 0.0
		for _, v := range s.Sizes {
			most = max(most, v)
		}
		return tolerance.Length(most)
	},
	func(t *testing.T, n []tolerance.Length, _ string) tolerance.Length {
		s := pair()
		s.Parts[1].Front.Pilot.Diameter = 160 - n[0]
		for i, name := range []string{"a", "b"} {
			at := align.Vec2{X: tolerance.Length(90 - 180*i)}
			s.Parts[0].Rear.Dowels = append(s.Parts[0].Rear.Dowels, align.Dowel{Name: name, Centre: at, Diameter: 8})
			s.Parts[1].Front.Dowels = append(s.Parts[1].Front.Dowels, align.Dowel{Name: name, Centre: at, Diameter: 8 + n[1]})
			s.Joints[0].Pins = append(s.Joints[0].Pins, align.Pin{Dowel: name, Diameter: 8})
		}
		reach := solve(t, s).Joints[0].ReachY
		return reach[1] - reach[0]
	},
	func(t *testing.T, n []tolerance.Length, question string) tolerance.Length {
		var warm, cold int
		mark := "°C"
		if strings.Contains(question, "°F") {
			mark = "°F"
		}
		if _, err := fmt.Sscanf(question[strings.Index(question, "now at "):], "now at %d "+mark+", the plate still at %d", &warm, &cold); err != nil {
			t.Fatal(err)
		}
		celsius := tolerance.Celsius(warm)
		if mark == "°F" {
			celsius = tolerance.Celsius(float64(warm-32) / 1.8)
		}
		aluminium, err := tolerance.MaterialNamed("cast aluminium")
		if err != nil {
			t.Fatal(err)
		}
		s := pair()
		s.Parts[0].Material, s.Parts[0].Temperature = tolerance.Given(aluminium), tolerance.Given(celsius)
		s.Parts[0].Rear.Pilot.Diameter = n[0]
		s.Parts[1].Front.Pilot.Diameter = n[0] - n[1]
		return solve(t, s).Joints[0].Pilot.Clearance.Length()
	},
}

// pair is a case and a plate on a register of 160 mm.
func pair() align.Stack {
	return align.Stack{
		Parts: []align.Part{
			{Name: "case", Front: &align.Face{}, Rear: &align.Face{Z: 100, Pilot: &align.Pilot{Kind: align.PilotBore, Diameter: 160}}, Bores: []align.Bore{{Name: "one"}, {Name: "two", Centre: align.Vec3{Z: 50}}}},
			{Name: "plate", Front: &align.Face{Pilot: &align.Pilot{Diameter: 160}}, Rear: &align.Face{Z: 14}},
		},
		Joints: []align.Joint{{Lies: align.LiesRest}},
	}
}

// tail is how far a bore that far behind a plate with that wedge is off the case's line.
func tail(t *testing.T, rise, across, behind tolerance.Length) tolerance.Length {
	t.Helper()
	s := pair()
	s.Parts[1].Rear.Slope.X = float64(rise / across)
	s.Parts[1].Rear.Pilot = &align.Pilot{Diameter: 130}
	s.Parts = append(s.Parts, align.Part{Name: "tail", Front: &align.Face{Pilot: &align.Pilot{Kind: align.PilotBore, Diameter: 130}}, Bores: []align.Bore{{Name: "bush", Centre: align.Vec3{Z: behind}}}})
	s.Joints = append(s.Joints, align.Joint{Lies: align.LiesRest})
	s.Shafts = []align.Shaft{{Name: "s", Supports: []align.Support{{Bore: "case/one", Clearance: 9}, {Bore: "case/two", Clearance: 9}, {Bore: "tail/bush", Clearance: 9}}}}
	o := solve(t, s).Supports[2].Offset
	return tolerance.Length(math.Hypot(float64(o.X), float64(o.Y)))
}

func solve(t *testing.T, s align.Stack) *align.Assembly {
	t.Helper()
	a, err := s.Solve()
	if err != nil {
		t.Fatal(err)
	}
	return a
}

func TestNew_answersAreTheLibrarys(t *testing.T) {
	for _, unit := range units {
		for kind := range teach.Count {
			for seed := uint64(1); seed <= 20; seed++ {
				e := teach.New(kind, seed, unit)
				got := byLibrary[kind](t, lengths(e, unit), e.Question).In(unit)
				if math.Abs(got-e.Answer) > 0.003*e.Answer { // the second order of a lean, or that no sample is quite the worst
					t.Errorf("%s, seed %d: answer %g %v, by the library %g", e.Title, seed, e.Answer, unit, got)
				}
			}
		}
	}
}

func TestExercise_Mark(t *testing.T) {
	for _, unit := range units {
		for kind := range teach.Count {
			for seed := uint64(1); seed <= 20; seed++ {
				e := teach.New(kind, seed, unit)
				digits := 3
				if unit == tolerance.Inches {
					digits = 4
				}
				answer := strconv.FormatFloat(e.Answer, 'f', digits, 64)
				for _, text := range []string{answer, " " + answer + " " + unit.String() + " "} {
					if right, says := e.Mark(text); !right || !strings.Contains(says, e.Working) {
						t.Errorf("%s, seed %d: %q is marked %v: %s", e.Title, seed, text, right, says)
					}
				}
				for _, text := range []string{"", "x", strings.Replace(answer, ".", ",", 1), "NaN", "Inf", "-" + answer, strconv.FormatFloat(e.Answer*1.1+0.01, 'f', 4, 64)} {
					if right, says := e.Mark(text); right || says == "" {
						t.Errorf("%s, seed %d: %q is marked %v: %s", e.Title, seed, text, right, says)
					}
				}
				if again := teach.New(kind, seed, unit); again.Question != e.Question {
					t.Errorf("%s, seed %d asks another question the second time", e.Title, seed)
				}
			}
		}
	}
}

// The commonest mistake of the trade is answered with its reason.
func TestExercise_Mark_traps(t *testing.T) {
	for kind, why := range map[int]string{0: "total indicator reading", 2: "offset, half the TIR", 4: "half of all assemblies", 5: "dowels out"} {
		e := teach.New(kind, 5, tolerance.Millimetres)
		n := lengths(e, tolerance.Millimetres)
		wrong := map[int]float64{0: 2 * e.Answer, 2: 2 * e.Answer, 4: math.Hypot(float64(n[0]), float64(n[1%len(n)])), 5: float64(n[0])}[kind]
		if right, says := e.Mark(fmt.Sprintf("%.4f", wrong)); right || !strings.Contains(says, why) {
			t.Errorf("%s: %g is answered with %q", e.Title, wrong, says)
		}
	}
}
