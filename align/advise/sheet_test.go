package advise_test

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/borestack/align"
	"example.com/borestack/align/advise"
	. "example.com/borestack/tolerance"
)

// textOf is a sheet as printed, every item on one line.
func textOf(t testing.TB, w *advise.WorkSheet) string {
	t.Helper()
	var out bytes.Buffer
	if err := w.Page(Millimetres).Text(&out); err != nil {
		t.Fatal(err)
	}
	return unwrapped(out.String())
}

// unwrapped joins the lines of every item.
func unwrapped(text string) string {
	var out []string
	item := false
	for _, line := range strings.Split(text, "\n") {
		switch {
		case strings.HasPrefix(line, "  - "):
			item = true
			out = append(out, line)
		case item && strings.HasPrefix(line, "    ") && !strings.HasPrefix(line, "      |") && !strings.HasPrefix(line, "    mark ") && !regexp.MustCompile(`^    \d+  `).MatchString(line):
			out[len(out)-1] += " " + strings.TrimSpace(line)
		default:
			item = false
			out = append(out, line)
		}
	}
	return strings.Join(out, "\n")
}

// clocked is a random box whose plate sits by its registers alone: end for end, or turned to any clock, or neither.
func clocked(rng *rand.Rand, turned, turn bool) advise.Box {
	b := randomBox(rng)
	if !turned && !turn {
		return b
	}
	b.Stack.Joints[1].Pins, b.Stack.Joints[2].Pins = nil, nil
	b.Stack.Parts[2].Turned = turned
	if turn {
		b.Stack.Joints[1].Clock, b.Stack.Joints[2].Clock = Angle(2*math.Pi*rng.Float64()), Angle(2*math.Pi*rng.Float64())
	}
	return b
}

// stands is where the 12 o'clock of part k, as mounted, stands in the box: the clocks of the joints before it.
func stands(s *align.Stack, k int) float64 {
	var sum Angle
	for i := range k {
		sum += s.Joints[i].Clock
	}
	return float64(sum)
}

func round(v Length, step float64) float64 { return math.Round(float64(v)/step) * step }

func degrees(a Angle) float64 { return math.Round(a.Degrees()*10) / 10 * math.Pi / 180 }

func unit(a float64) (x, y float64) { return math.Sin(a), math.Cos(a) }

// byNumbers carries out one order by the numbers that its sheet prints, rounded as they are printed, on a stack of plain parts: a strip that tilts the datum, marks on the metal, directions in the box. Parts that are changed, turned or clocked as a whole are so by the library: what is tried is where the next order then points.
func byNumbers(s align.Stack, o *advise.WorkOrder) (align.Stack, error) {
	c := o.Correction
	switch c.Kind {
	case advise.Swap, advise.TurnOver, advise.Reclock:
		t, err := c.Apply(s)
		return bench(t), err
	case advise.SkimWedge, advise.Skim:
		cutByStrip(&s.Parts[partOf(&s, o.Part)], o)
	case advise.Sleeve, advise.Bush:
		x, y := unit(degrees(o.Clock))
		b := &s.Parts[partOf(&s, o.Part)].Bores[0]
		b.Centre.X += Length(round(c.By, 1e-3) * x)
		b.Centre.Y += Length(round(c.By, 1e-3) * y)
	case advise.Shim, advise.TaperShim:
		k := jointOf(&s, c.Place)
		g := align.Gasket{}
		if j := s.Joints[k].Gasket; j != nil && !c.Replace {
			g = *j
		}
		z, x, y := round(c.By, 1e-4), 0.0, 0.0
		if c.Kind == advise.TaperShim {
			z, x, y = ownMarks(o.Marks)
			if s.Parts[k].Turned { // its own marks, on a part that lies on its other face
				x = -x
			}
		}
		g.Thickness += Length(z)
		g.Slope.X += x
		g.Slope.Y += y
		s.Joints[k].Gasket = &g
	case advise.OffsetDowels:
		k := jointOf(&s, c.Place)
		x, y := unit(degrees(o.Clock) - stands(&s, k))
		s.Joints[k].Pins = append([]align.Pin(nil), s.Joints[k].Pins...)
		for n := range s.Joints[k].Pins {
			s.Joints[k].Pins[n].Step = align.Vec2{X: Length(round(c.By, 1e-4) * x), Y: Length(round(c.By, 1e-4) * y)}
		}
	case advise.Redowel, advise.Push:
		for i := range o.Holds {
			if err := byDials(&s, &o.Holds[i], c.Kind == advise.Push); err != nil {
				return s, err
			}
		}
	}
	return s, nil
}

// cutByStrip lays a plain part on its datum face, a strip under it, and cuts the other face level until the marks are as thick on average as the sheet says: the finished thickness falls by the strip over its distance, towards the strip.
func cutByStrip(p *align.Part, o *advise.WorkOrder) {
	thick := p.Rear.Z - p.Front.Z
	sx, sy := p.Rear.Slope.X-p.Front.Slope.X, p.Rear.Slope.Y-p.Front.Slope.Y
	var off float64
	for _, m := range o.Marks {
		off += round(m.Amount, 1e-3) / float64(len(o.Marks))
	}
	if o.Correction.Kind == advise.SkimWedge {
		x, y := unit(degrees(o.Strip.Clock))
		k := -round(o.Strip.Thickness, 1e-4) / float64(o.Strip.From)
		sx, sy = k*x, k*y
	}
	thick -= Length(off)
	if o.Face == "rear" {
		p.Rear.Z, p.Rear.Slope = p.Front.Z+thick, align.Slope{X: p.Front.Slope.X + sx, Y: p.Front.Slope.Y + sy}
	} else {
		p.Front.Z, p.Front.Slope = p.Rear.Z-thick, align.Slope{X: p.Rear.Slope.X - sx, Y: p.Rear.Slope.Y - sy}
	}
}

// ownMarks is the plane of a shim's printed thicknesses over the part's own x and y.
func ownMarks(marks []advise.Mark) (z, x, y float64) {
	var pts []align.Vec3
	for _, m := range marks {
		sn, cs := unit(degrees(m.Clock))
		r := round(m.Radius, 1e-3)
		pts = append(pts, align.Vec3{X: Length(r * sn), Y: Length(r * cs), Z: Length(round(m.Finish, 1e-3))})
	}
	return leastSquares(pts)
}

// byDials holds a joint at what two dials read from the middle of what it can be pushed.
func byDials(s *align.Stack, h *advise.Hold, there bool) error {
	t, err := s.Travel(h.Joint)
	if err != nil {
		return err
	}
	zero := t.Middle()
	f := t.InFront(align.Float{X: zero.X + Length(round(h.At.X, 1e-2)), Y: zero.Y + Length(round(h.At.Y, 1e-2))})
	at := t.InFront(zero)
	if there {
		at = f
	}
	ends, ok := t.TurnAt(at)
	if !ok && there {
		return fmt.Errorf("joint %s cannot be held there", h.Joint)
	}
	f.Turn = (ends[0]+ends[1])/2 + Angle(round(h.Turn, 1e-2)/float64(h.Radius))
	s.Joints[jointOf(s, h.Joint)].Float = &f
	return nil
}

// thinShop may do anything to a random box, but knows no stock.
func thinShop() advise.Shop {
	var out advise.Shop
	for _, face := range []string{"plate/front", "plate/rear", "case/rear"} {
		out.Works = append(out.Works, advise.Work{Kind: advise.Skim, Place: face, Least: Given[Length](13)})
	}
	return out
}

// ordered draws a correction, or two of which the second is to be found on a part that the first turned.
func ordered(rng *rand.Rand, k advise.Kind, clocked bool) []advise.Correction {
	c := randomCorrection(rng, k)
	// a shop's amounts are whole steps: what a sheet does not print would be seen ten times larger at the tail
	c.By, c.Rise, c.Clock = Length(round(c.By, 1e-3)), Length(round(c.Rise, 1e-3)), Angle(degrees(c.Clock))
	switch k {
	case advise.OffsetDowels:
		c.By = Length(round(Length(0.05*rng.Float64()), 1e-3))
		if !clocked && rng.IntN(2) == 0 {
			c.Place = "three"
			return []advise.Correction{{Kind: advise.Reclock, Place: "plate", Redrill: true, Turn: 120 * Degree}, c}
		}
	case advise.Redowel:
		c.Place, c.By = "one", Length(round(Length(0.2*rng.Float64()), 1e-3))
		if !clocked && rng.IntN(2) == 0 {
			c.Place, c.By = "three", Length(0.01*rng.Float64())
			return []advise.Correction{{Kind: advise.Reclock, Place: "plate", Redrill: true, Turn: 120 * Degree}, c}
		}
	}
	return []advise.Correction{c}
}

// tryOut makes a sheet of a random correction of that kind on a random box, and carries it out by its numbers.
func tryOut(t *testing.T, rng *rand.Rand, k advise.Kind, spoil func(*advise.WorkOrder)) (promised, before, got float64, sheet *advise.WorkSheet, s align.Stack) {
	t.Helper()
	for range 100 {
		turned, turn := rng.IntN(3) == 0, rng.IntN(3) == 0
		b := clocked(rng, turned, turn)
		list := ordered(rng, k, turned || turn)
		if k == advise.Push {
			for i := range b.Stack.Joints {
				b.Stack.Joints[i].Lies = align.LiesAny
				b.Stack.Joints[i].Engagement = Optional[Length]{}
			}
		}
		a, err := advise.Correct(context.Background(), b, thinShop())
		if err != nil {
			t.Fatal(err)
		}
		if k == advise.Push {
			if a, err = advise.Correct(context.Background(), b, advise.Shop{Push: true}); err != nil {
				t.Fatal(err)
			}
			list = nil
			for i := range a.Options {
				if c := a.Options[i].Corrections; len(c) > 0 {
					list = c
				}
			}
		}
		o, err := a.Try(context.Background(), list...)
		if err != nil || len(list) == 0 {
			continue
		}
		if sheet, err = a.Sheet(context.Background(), o); err != nil {
			t.Fatal(err)
		}
		s = bench(b.Stack)
		for i := range sheet.Orders() {
			if spoil != nil {
				spoil(&sheet.Orders()[i])
			}
			if s, err = byNumbers(s, &sheet.Orders()[i]); err != nil {
				t.Fatalf("%v: %v", k, err)
			}
		}
		r, _, err := s.Ranges([]align.Output{{What: align.Margin}})
		if err != nil {
			t.Fatal(k, err)
		}
		got = r[0].Rest.Value
		if r[0].Low.Given {
			got = r[0].Low.Value
		}
		was, _ := a.Before.WorstMargin()
		return float64(sheet.Margin[1].Value), float64(was), got, sheet, s
	}
	t.Fatalf("%v: nothing could be tried", k)
	return
}

// What a sheet prints, carried out to the digits that it prints and in the frames that it names, gives the margin and the reading that it promises: for parts plain, end for end, clocked, and behind a plate that was re-clocked. 20 boxes a kind.
func TestSheet_byItsNumbers(t *testing.T) {
	boxes := 20
	if testing.Short() || !thorough {
		boxes = 3
	}
	for k := advise.Swap; k <= advise.Push; k++ {
		rng := rand.New(rand.NewPCG(18, uint64(k)))
		for n := range boxes {
			promised, _, got, sheet, s := tryOut(t, rng, k, nil)
			if math.Abs(promised-got) > 1e-3 {
				t.Errorf("%v, box %d: margin promised %.4f, comes out as %.4f\n%s", k, n, promised, got, textOf(t, sheet))
			}
			if d := sheet.Dial; d != nil {
				r, _, err := s.Ranges([]align.Output{{What: align.OffsetX, Of: d.Bore, From: d.From}, {What: align.OffsetY, Of: d.Bore, From: d.From}})
				if err != nil {
					t.Fatal(err)
				}
				// the line is through two bores 80 apart: half a micrometre at a mark is several at the tail
				if off := math.Hypot(r[0].Rest.Value-float64(d.After.X), r[1].Rest.Value-float64(d.After.Y)); 2*off > 5e-3 {
					t.Errorf("%v, box %d: the dial reads %.4f off the promise", k, n, 2*off)
				}
			}
			if t.Failed() {
				return
			}
		}
	}
}

// Wrong sheets are caught: a clock mirrored, a strip on the other side, a TIR for an offset.
func TestSheet_byItsNumbers_catchesWrongOnes(t *testing.T) {
	mirror := func(a *Angle) { *a = -*a }
	for name, c := range map[string]struct {
		kind  advise.Kind
		spoil func(*advise.WorkOrder)
	}{
		"clock mirrored":    {advise.OffsetDowels, func(o *advise.WorkOrder) { mirror(&o.Clock) }},
		"bore mirrored":     {advise.Sleeve, func(o *advise.WorkOrder) { mirror(&o.Clock) }},
		"strip across":      {advise.SkimWedge, func(o *advise.WorkOrder) { o.Strip.Clock += 180 * Degree }},
		"strip of the rise": {advise.SkimWedge, func(o *advise.WorkOrder) { o.Strip.Thickness, o.Strip.Clock = o.Correction.Rise, o.Correction.Clock }},
		"TIR for offset":    {advise.Bush, func(o *advise.WorkOrder) { o.Correction.By *= 2 }},
		"marks mirrored": {advise.TaperShim, func(o *advise.WorkOrder) {
			for i := range o.Marks {
				mirror(&o.Marks[i].Clock)
			}
		}},
		"dials exchanged": {advise.Redowel, func(o *advise.WorkOrder) {
			for i := range o.Holds {
				at := &o.Holds[i].At
				at.X, at.Y = at.Y, at.X
			}
		}},
	} {
		rng := rand.New(rand.NewPCG(19, uint64(c.kind)))
		caught := 0
		for range 4 {
			if promised, _, got, _, _ := tryOut(t, rng, c.kind, c.spoil); math.Abs(promised-got) > 1e-3 {
				caught++
			}
		}
		if caught == 0 {
			t.Errorf("%s: not caught in any of four boxes", name)
		}
	}
}

var stripOrder = regexp.MustCompile(`a strip of ([0-9.]+) mm under the datum face at [^(]*\(([0-9.]+)°\), ([0-9.]+) mm from the edge opposite`)

// The set-up for a wedge is the one that makes its table: the part laid on its datum face with the strip as the sheet's text says, the edge raised, and cut by a level plane, in three dimensions. The launch's plate with a step of 0.01 and at least 13.5 left first: by the old sheet's strip its margin went from -0.0155 to -0.0092, where +0.0110 was promised.
//
// Source: rigid body in three dimensions, here.
func TestSheet_stripMakesItsTable(t *testing.T) {
	try := func(name string, sheet *advise.WorkSheet, flat bool) {
		o := &sheet.Orders()[0]
		m := stripOrder.FindStringSubmatch(textOf(t, sheet))
		if m == nil {
			if !flat {
				t.Errorf("%s: no strip in\n%s", name, textOf(t, sheet))
			}
			return
		}
		number := func(i int) float64 { v, _ := strconv.ParseFloat(m[i], 64); return v }
		strip, at, across := number(1), number(2)*math.Pi/180, number(3)
		// the datum face is the plane z = 0 of the part, its other face above it; it rests on the edge opposite, and is raised over the strip
		ux, uy := unit(at)
		edge := r3.Vec{X: -across / 2 * ux, Y: -across / 2 * uy}
		tilt := math.Asin(strip / across)
		raise := r3.NewRotation(tilt, r3.Vec{X: uy, Y: -ux})
		if lifted := raise.Rotate(r3.Vec{X: ux, Y: uy}); lifted.Z < 0 {
			raise = r3.NewRotation(-tilt, r3.Vec{X: uy, Y: -ux})
		}
		height := func(x, y, z float64) float64 { return raise.Rotate(r3.Sub(r3.Vec{X: x, Y: y, Z: z}, edge)).Z }
		thickness := func(clock Angle, level float64) float64 { // of what is left under the level cut
			x, y := unit(float64(clock))
			r := float64(o.Circle) / 2
			low, high := 0.0, 400.0
			for range 60 {
				if mid := (low + high) / 2; height(r*x, r*y, mid) < level {
					low = mid
				} else {
					high = mid
				}
			}
			return low
		}
		// bring the level down to the first mark's finish; all others follow
		low, high := 0.0, 400.0
		for range 60 {
			if mid := (low + high) / 2; thickness(o.Marks[0].Clock, mid) < planeFinish(o, 0) {
				low = mid
			} else {
				high = mid
			}
		}
		for i, k := range o.Marks {
			if got := thickness(k.Clock, low); math.Abs(got-planeFinish(o, i)) > 1.5e-3 {
				t.Errorf("%s: mark %d (%v) is to finish at %.4f, the set-up leaves %.4f\n%s", name, i+1, k.Clock, planeFinish(o, i), got, textOf(t, sheet))
				return
			}
		}
	}
	_, b := boxFrom(t, "../../examples/correct/harbour-launch.json")
	shop := advise.Shop{Step: 0.01, Works: cuts(advise.Work{Place: "plate/rear", Most: 0.3, Least: Given[Length](13.5)})}
	a, err := advise.Correct(context.Background(), b, shop)
	if err != nil {
		t.Fatal(err)
	}
	for i := range a.Options {
		if c := a.Options[i].Corrections; len(c) > 0 && c[0].Kind == advise.SkimWedge {
			sheet, err := a.Sheet(context.Background(), &a.Options[i])
			if err != nil {
				t.Fatal(err)
			}
			try("launch", sheet, false)
			if m := sheet.Margin; math.Abs(float64(m[0].Value)+0.0155) > 5e-4 || math.Abs(float64(m[1].Value)-0.0110) > 1e-3 {
				t.Errorf("the launch goes from %v to %v, want -0.0155 to 0.0110", m[0].Value, m[1].Value)
			}
		}
	}
	rng := rand.New(rand.NewPCG(18, 18))
	for n := range 20 {
		b := clocked(rng, n%3 == 1, n%3 == 2)
		a, err := advise.Correct(context.Background(), b, thinShop())
		if err != nil {
			t.Fatal(err)
		}
		c := randomCorrection(rng, advise.SkimWedge)
		if n%2 == 1 { // as thick there already as comes off
			c = advise.Correction{Kind: advise.SkimWedge, Place: "plate/front", By: 0.02, Rise: 0.05, Across: 184, Clock: Angle(6 * rng.Float64())}
		}
		o, err := a.Try(context.Background(), c)
		if err != nil {
			continue
		}
		sheet, err := a.Sheet(context.Background(), o)
		if err != nil {
			t.Fatal(err)
		}
		try(fmt.Sprintf("box %d", n), sheet, true)
	}
}

// planeFinish is the finish of mark i by the plane through all marks: what was measured has waves that no plane cut leaves.
func planeFinish(o *advise.WorkOrder, i int) float64 {
	var pts []align.Vec3
	for _, m := range o.Marks {
		x, y := unit(float64(m.Clock))
		pts = append(pts, align.Vec3{X: Length(x), Y: Length(y), Z: m.Finish})
	}
	z, sx, sy := leastSquares(pts)
	return z + sx*float64(pts[i].X) + sy*float64(pts[i].Y)
}

// What the search finds better than the box as it is stays better when it is carried out by the numbers of its sheet, or the sheet says that it is not worth doing with these tools.
func TestSheet_neverWorse(t *testing.T) {
	shop := everything()
	shop.Push, shop.Swap, shop.Pairs, shop.Graduation = false, false, 0, 0.01
	boxes := uint64(3)
	if testing.Short() || !thorough {
		boxes = 1
	}
	tried := 0
	for seed := range boxes {
		b := randomBox(rand.New(rand.NewPCG(21, seed)))
		b.Limits = b.Limits[:1]
		a, err := advise.Correct(context.Background(), b, shop)
		if err != nil {
			t.Fatal(err)
		}
		before, _ := a.Before.WorstMargin()
		for i := range a.Options {
			o := &a.Options[i]
			if m, _ := o.After.WorstMargin(); len(o.Corrections) == 0 || m <= before {
				continue
			}
			w, err := a.Sheet(context.Background(), o)
			if err != nil {
				t.Fatal(err)
			}
			s := bench(b.Stack)
			for n := range w.Orders() {
				if s, err = byNumbers(s, &w.Orders()[n]); err != nil {
					t.Fatal(err)
				}
			}
			tried++
			if got := marginOf(t, s); got < float64(before)-1e-3 && !strings.Contains(textOf(t, w), "not worth doing") {
				t.Errorf("seed %d, %v: margin %.4f before, %.4f after\n%s", seed, o.Corrections[0].Kind, float64(before), got, textOf(t, w))
			}
		}
	}
	if tried == 0 {
		t.Error("nothing was better")
	}
}
