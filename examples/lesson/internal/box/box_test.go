package box_test

import (
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"strings"
	"testing"

	"example.com/borestack/examples/lesson/internal/box"
	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// put is the true box with a change.
func put(change func(*box.Knobs)) box.Knobs {
	k := box.True()
	change(&k)
	return k
}

func see(t *testing.T, k box.Knobs) *box.View {
	t.Helper()
	v, err := box.See(k)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func close(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: %g, want %g ± %g", what, got, want, tol)
	}
}

func deg(v float64) tolerance.Angle { return tolerance.Angle(v) * tolerance.Degree }

// secondOrder bounds what a lean of a milliradian does beyond the first order, in mm on this box.
const secondOrder = 3e-4

func TestSee_closedForms(t *testing.T) {
	for _, c := range []struct {
		name                         string
		k                            box.Knobs
		mainX, mainY, tailX, tailY   float64
		gap, clearance, interference float64
	}{
		// Source: hand calculation: a true box has nothing off its line.
		{"true", box.True(), 0, 0, 0, 0, 0, 0.022, 0},
		// Source: hand calculation: bearing and tail follow the register's offset, towards 3 o'clock.
		{"offset", put(func(k *box.Knobs) { k.Offset, k.OffsetClock = 0.05, deg(90) }), 0.05, 0, 0.05, 0, 0, 0.022, 0},
		// Source: hand calculation: turned by 90° clockwise, 12 o'clock of the plate lies at 3.
		{"offset, turned", put(func(k *box.Knobs) { k.Offset, k.Turn = 0.05, deg(90) }), 0.05, 0, 0.05, 0, 0, 0.022, 0},
		// Source: hand calculation: 0.1/200 · 230 = 0.115 away from the thick side.
		{"wedge", put(func(k *box.Knobs) { k.Wedge = 0.1 }), 0, 0, 0, -0.115, 0, 0.022, 0},
		{"wedge at 9, turned by 180", put(func(k *box.Knobs) { k.Wedge, k.WedgeClock, k.Turn = 0.1, deg(270), deg(180) }), 0, 0, -0.115, 0, 0, 0.022, 0},
		// Source: hand calculation: a plate that stands on two opposite sides alike does not lean.
		{"bow", put(func(k *box.Knobs) { k.Bow = 0.08 }), 0, 0, 0, 0, 0.08, 0.022, 0},
		// Source: hand calculation: 0.022 + 21.5e-6 · 160.000 · 40, the expansion of the library's own table.
		{"heat", put(func(k *box.Knobs) { k.Dowels, k.Case = 0, 60 }), 0, 0, 0, 0, 0, 0.022 + 21.5e-6*160*40, 0},
		// Source: hand calculation: holes at radius √(37² + 87.5²) = 95.0 move out by 21.5e-6 · 95.0 · 40 and have 0.008 on diameter.
		{"heat, two dowels", put(func(k *box.Knobs) { k.Dowels, k.Case = 2, 60 }), 0, 0, 0, 0, 0, 0.022 + 21.5e-6*160*40, 2*21.5e-6*math.Hypot(37, 87.5)*40 - 0.008},
	} {
		t.Run(c.name, func(t *testing.T) {
			v := see(t, c.k)
			close(t, "main bearing, x", float64(v.Main.X), c.mainX, secondOrder)
			close(t, "main bearing, y", float64(v.Main.Y), c.mainY, secondOrder)
			close(t, "tail bush, x", float64(v.Tail.X), c.tailX, secondOrder)
			close(t, "tail bush, y", float64(v.Tail.Y), c.tailY, secondOrder)
			close(t, "gap", float64(v.Gap), c.gap, 1e-6)
			j := v.Assembly.Joints[1]
			close(t, "clearance", float64(j.Pilot.Clearance), c.clearance, 1e-9)
			close(t, "interference", float64(j.Interference), c.interference, 1e-6)
		})
	}
}

// Source: hand calculation: five circles on two lines that meet in the pocket leave one sum of centres free of the lines, Σ w p with, at the pocket (z 55), the input line from -160 and 20 and the main line from 187 and 424; use = |Σ w p| / Σ |w| r (the package comment of align).
func TestSee_useByHand(t *testing.T) {
	a, b := (20.0-55)/180, (55.0+160)/180
	c, d := (424.0-55)/237, (187.0-55)/-237
	rooms := math.Abs(a)*0.035 + b*0.015 + 0.020 + c*0.015 + math.Abs(d)*0.050
	for _, k := range []box.Knobs{
		put(func(k *box.Knobs) { k.Wedge = 0.1 }),
		put(func(k *box.Knobs) { k.Wedge, k.WedgeClock, k.Offset, k.OffsetClock = 0.16, deg(75), 0.03, deg(190) }),
	} {
		v := see(t, k)
		x := c*float64(v.Main.X) + d*float64(v.Tail.X)
		y := c*float64(v.Main.Y) + d*float64(v.Tail.Y)
		close(t, "use", v.Assembly.Line.Use.Value, math.Hypot(x, y)/rooms, 1e-4) // the bearing's z moves a little with the lean
	}
}

func TestSee_verdicts(t *testing.T) {
	for name, c := range map[string]struct {
		k    box.Knobs
		want string
	}{
		"true":             {box.True(), "Runs free"},
		"greatest wedge":   {put(func(k *box.Knobs) { k.Wedge = box.MostWedge }), "No room"},
		"loose":            {put(func(k *box.Knobs) { k.Pilot, k.Dowels = 0.2, 0 }), "Depends on the push"},
		"loose, one dowel": {put(func(k *box.Knobs) { k.Pilot = 0.2 }), "Depends on the push"},
		"loose, dowelled":  {put(func(k *box.Knobs) { k.Pilot, k.Dowels = 0.2, 2 }), "Runs free"},
		"hot, dowelled":    {put(func(k *box.Knobs) { k.Dowels, k.Case = 2, 80 }), "Does not go together"},
	} {
		v := see(t, c.k)
		if v.Headline() != c.want {
			t.Errorf("%s: %v, want %v", name, v.Headline(), c.want)
		}
		if !(v.Worst <= v.Rest && v.Rest <= v.Best) {
			t.Errorf("%s: margins %v, %v, %v are out of order", name, v.Worst, v.Rest, v.Best)
		}
		for _, unit := range []tolerance.Unit{tolerance.Millimetres, tolerance.Inches} {
			if s := v.Sentence(unit); !strings.Contains(s, " "+unit.String()) {
				t.Errorf("%s: %q has no %v", name, s, unit)
			}
			rows := v.Rows(unit)
			if len(rows) != 8 {
				t.Errorf("%s: %d rows", name, len(rows))
			}
			all := fmt.Sprint(rows)
			if lost := !v.GoesOn; lost == strings.Contains(all, " at rest; ") || lost != strings.Contains(all, "nothing to say: the plate does not go on") {
				t.Errorf("%s: margins are said of %v: %s", name, v.Verdict, all)
			}
			if uses := strings.Contains(all, "% of the clearances; what drives it most: tail bush, main bearing"); uses != (name == "greatest wedge") {
				t.Errorf("%s: %s", name, all)
			}
		}
	}
}

func TestKnobs_faults(t *testing.T) {
	for name, k := range map[string]box.Knobs{
		"zero value": {},
		"wedge":      put(func(k *box.Knobs) { k.Wedge = 0.3 }),
		"NaN":        put(func(k *box.Knobs) { k.Offset = tolerance.Offset(math.NaN()) }),
		"dowels":     put(func(k *box.Knobs) { k.Dowels = 3 }),
		"cold":       put(func(k *box.Knobs) { k.Case = -1 }),
	} {
		var wrong *fault.FieldError
		if _, err := box.See(k); !errors.As(err, &wrong) || !errors.Is(err, fault.ErrOutOfRange) {
			t.Errorf("%s: %v", name, err)
		}
		if _, err := k.Batch(10, 1); err == nil {
			t.Errorf("%s: a batch of it was drawn", name)
		}
	}
	if _, err := box.True().Batch(0, 1); err == nil {
		t.Error("a batch of nothing was drawn")
	}
	if _, err := box.Eccentric([]float64{-1}, 10, 1); err == nil {
		t.Error("an offset below zero was added up")
	}
}

// All corners of the knobs make a box that can be worked out and drawn, in well-formed pictures.
func TestSee_everywhere(t *testing.T) {
	for n := range 64 {
		bit := func(i int) float64 { return float64(n >> i & 1) }
		k := box.Knobs{
			Wedge: tolerance.Length(bit(0)) * box.MostWedge, WedgeClock: deg(345 * bit(1)), Offset: tolerance.Offset(bit(1)) * box.MostOffset, OffsetClock: deg(345 * bit(0)),
			Bow: tolerance.Length(bit(2)) * box.MostBow, Turn: deg(345 * bit(3)), Pilot: box.LeastPilot + tolerance.Diametral(bit(4))*(box.MostPilot-box.LeastPilot),
			Dowels: n % 3, Case: 20 + 60*tolerance.Celsius(bit(5)), Measured: n%5 == 0,
		}
		v := see(t, k)
		glance, err := box.Glance(k)
		if err != nil {
			t.Fatal(err)
		}
		if glance.Verdict != v.Verdict || glance.Main != v.Main || glance.Tail != v.Tail || glance.Rest != v.Rest {
			t.Errorf("%+v: %v at a glance, %v seen in full", k, glance, v)
		}
		close(t, "worst margin at a glance", float64(glance.Worst), float64(v.Worst), 1e-9)
		close(t, "best margin at a glance", float64(glance.Best), float64(v.Best), 1e-9)
		for name, draw := range map[string]func(io.Writer, tolerance.Unit) error{"sketch": v.Sketch, "line": v.ShaftLine, "seat": v.Seat} {
			for _, unit := range []tolerance.Unit{tolerance.Millimetres, tolerance.Inches} {
				wellFormed(t, name, unit, draw)
			}
		}
	}
}

func wellFormed(t *testing.T, name string, unit tolerance.Unit, draw func(io.Writer, tolerance.Unit) error) {
	t.Helper()
	var svg strings.Builder
	if err := draw(&svg, unit); err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	if strings.Contains(svg.String(), "NaN") || strings.Contains(svg.String(), "Inf") {
		t.Errorf("%s has a number that is none", name)
	}
	d := xml.NewDecoder(strings.NewReader(svg.String()))
	for {
		if _, err := d.Token(); errors.Is(err, io.EOF) {
			return
		} else if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
	}
}

func TestBatch(t *testing.T) {
	k := put(func(k *box.Knobs) { k.Wedge = 0.08 })
	long, err := k.Batch(1500, 7)
	if err != nil {
		t.Fatal(err)
	}
	short, err := k.Batch(300, 7)
	if err != nil {
		t.Fatal(err)
	}
	for i, m := range short.Margins {
		if m != long.Margins[i] {
			t.Fatalf("box %d has margin %g in a short run, %g in a long one", i, m, long.Margins[i])
		}
	}
	other, err := k.Batch(300, 8)
	if err != nil {
		t.Fatal(err)
	}
	if other.Margins[0] == short.Margins[0] {
		t.Error("another seed draws the same boxes")
	}
	loose := k
	loose.Pilot = 0.4
	worse, err := loose.Batch(1500, 7)
	if err != nil {
		t.Fatal(err)
	}
	if !(worse.Good < long.Good && long.Good < 1500) {
		t.Errorf("of 1500 boxes %d have room, with a loose pilot %d", long.Good, worse.Good)
	}
	hot := put(func(k *box.Knobs) { k.Dowels, k.Case = 2, 80 })
	none, err := hot.Batch(100, 7)
	if err != nil {
		t.Fatal(err)
	}
	if none.Good != 0 || len(none.Margins) != 0 {
		t.Errorf("%d boxes that do not go together have room", none.Good)
	}
	for _, b := range []*box.Batch{long, none} {
		wellFormed(t, "batch", tolerance.Inches, b.Draw)
	}
}

func TestEccentric(t *testing.T) {
	const samples = 20000
	before := 0.51
	for _, n := range []int{2, 3, 4, 6} {
		offsets := make([]float64, n)
		for i := range offsets {
			offsets[i] = 0.05
		}
		s, err := box.Eccentric(offsets, samples, 1)
		if err != nil {
			t.Fatal(err)
		}
		close(t, "RSS", s.RSS, 0.05*math.Sqrt(float64(n)), 1e-15)
		close(t, "worst", s.Worst, 0.05*float64(n), 1e-15)
		if n == 2 {
			// Source: hand calculation: |a + b|² > a² + b² when the angle between is below 90°: half of all. Four standard errors.
			close(t, "beyond RSS", s.Beyond, 0.5, 4*0.5/math.Sqrt(samples))
		}
		// Source: hand calculation: with ever more parts the sum is Rayleigh's law, which leaves e⁻¹ beyond its root mean square. Fewer leave more.
		if !(s.Beyond < before && s.Beyond > math.Exp(-1)-0.014) {
			t.Errorf("%d parts: %g lie beyond the root sum of squares", n, s.Beyond)
		}
		before = s.Beyond + 0.01
		wellFormed(t, "sum", tolerance.Millimetres, s.Draw)
	}
}
