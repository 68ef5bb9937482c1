package bores_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"example.com/borestack/internal/check"

	"example.com/borestack/align"
	"example.com/borestack/align/advise/bores"
	"example.com/borestack/fault"
	. "example.com/borestack/tolerance"
)

func bore(name string, x, y, z, most Length) bores.Bore {
	return bores.Bore{Name: name, Centre: align.Vec3{X: x, Y: y, Z: z}, Diameter: 60, Finished: 60, Most: most}
}

// Two bores that stay are the axis; the one between them moves to it, is cut whole all round and sleeved.
//
// Source: hand calculation: half way along the centre of the axis is at (0.05, 0); the bore is 0.08 off it, so it is bored to 60 + 2 (0.08 + 0.1) = 60.36, less than 60 + 2 × 1.5 for the sleeve.
func TestAlign_twoStay(t *testing.T) {
	l, err := bores.Casting{
		Bores: []bores.Bore{bore("front", 0, 0, 0, 0), bore("middle", 0.05, -0.08, 100, 66), bore("rear", 0.1, 0, 200, 0)},
		Clean: 0.1, Wall: 1.5,
	}.Align()
	if err != nil {
		t.Fatal(err)
	}
	m := l.Moves[1]
	if !check.Close(m.By.X, 0, 1e-7) || !check.Close(m.By.Y, 0.08, 1e-7) || m.Deed != bores.Sleeve || !check.Close(m.To, 63, 1e-7) || !check.Close(m.Wall, 1.5, 1e-7) || !check.Close(m.Left, 3, 1e-7) || !l.Passes() {
		t.Errorf("%+v", l)
	}
	if math.Abs(l.Share-0.08/2.9) > 1e-7 { // slack (66 − 60)/2 − 0.1
		t.Errorf("share %g", l.Share)
	}
	if l.Moves[0].Deed != bores.Keep || l.Moves[2].Deed != bores.Keep {
		t.Errorf("%+v", l.Moves)
	}
}

// Three equal bores, the middle one off by d: each takes half of it, the outer ones away from it.
//
// Source: hand calculation: the best line of three equally spaced points is d/2 from each (the Chebyshev line).
func TestAlign_noneStays(t *testing.T) {
	l, err := bores.Casting{Bores: []bores.Bore{bore("a", 0, 0, 0, 64), bore("b", 0, 0.1, 50, 64), bore("c", 0, 0, 100, 64)}}.Align()
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []Length{0.05, -0.05, 0.05} {
		if !check.Close(l.Moves[i].By.Y, want, 1e-7) || !check.Close(l.Moves[i].By.X, 0, 1e-7) {
			t.Errorf("%+v", l.Moves[i])
		}
	}
	if math.Abs(l.Share-0.025) > 1e-7 || len(l.Govern) != 3 {
		t.Errorf("share %g, %v", l.Share, l.Govern)
	}
}

// One bore that stays: no line through it takes less of the others' slack.
//
// Source: a search over the slope, fine around its best.
func TestAlign_oneStays(t *testing.T) {
	for seed := range uint64(30) {
		r := rand.New(rand.NewPCG(seed, 9))
		c := bores.Casting{Bores: []bores.Bore{bore("fixed", Length(r.NormFloat64()*0.1), Length(r.NormFloat64()*0.1), Length(r.Float64()*300), 0)}}
		for i := range 2 + r.IntN(3) {
			c.Bores = append(c.Bores, bore(string(rune('a'+i)), Length(r.NormFloat64()*0.1), Length(r.NormFloat64()*0.1), Length(r.Float64()*300), 61+Length(r.Float64())))
		}
		l, err := c.Align()
		if err != nil {
			t.Fatal(err)
		}
		if e := l.Moves[0].By.Size(); e > 1e-9 || l.Moves[0].Deed != bores.Keep {
			t.Errorf("seed %d: the fixed bore is %v off", seed, e)
		}
		p := c.Bores[0].Centre
		share := func(sx, sy float64) (most float64) {
			for _, b := range c.Bores[1:] {
				dz := float64(b.Centre.Z - p.Z)
				e := math.Hypot(float64(b.Centre.X-p.X)-sx*dz, float64(b.Centre.Y-p.Y)-sy*dz)
				most = max(most, e/(float64(b.Most-b.Diameter)/2))
			}
			return most
		}
		x, y, step := l.Slope.X, l.Slope.Y, 1e-3
		best := share(x, y)
		for ; step > 1e-9; step /= 1.5 {
			for range 12 {
				a := 2 * math.Pi * r.Float64()
				if v := share(x+step*math.Cos(a), y+step*math.Sin(a)); v < best {
					best, x, y = v, x+step*math.Cos(a), y+step*math.Sin(a)
				}
			}
		}
		if l.Share > best*(1+1e-6)+1e-9 {
			t.Errorf("seed %d: share %g, a line with %g exists", seed, l.Share, best)
		}
	}
}

// What cannot be brought to the axis is rejected, and says what is lacking.
//
// Source: hand calculation: 1.2 off, bored to 62.4 of 62 allowed.
func TestAlign_rejects(t *testing.T) {
	l, err := bores.Casting{Bores: []bores.Bore{bore("a", 0, 0, 0, 0), bore("b", 1.2, 0, 50, 62), bore("c", 0, 0, 100, 0), bore("d", 0.3, 0, 150, 0)}}.Align()
	if err != nil {
		t.Fatal(err)
	}
	if l.Passes() || l.Moves[1].Deed != bores.Reject {
		t.Errorf("%+v", l.Moves)
	}
	l, _ = bores.Casting{Bores: []bores.Bore{bore("a", 0, 0, 0, 0), bore("b", 1.2, 0, 50, 62), bore("c", 0, 0, 100, 0)}}.Align()
	if m := l.Moves[1]; m.Deed != bores.Reject || !check.Close(m.Left, -0.4, 1e-7) {
		t.Errorf("%+v", m)
	}
}

// A bore that is to be larger anyway needs no sleeve where the larger size takes the offset with it.
//
// Source: hand calculation: 58 + 2 (0.2 + 0.05) = 58.5, below 60.
func TestAlign_rebore(t *testing.T) {
	b := bore("b", 0.2, 0, 50, 61)
	b.Diameter = 58
	l, err := bores.Casting{Bores: []bores.Bore{bore("a", 0, 0, 0, 0), b, bore("c", 0, 0, 100, 0)}, Clean: 0.05}.Align()
	if err != nil {
		t.Fatal(err)
	}
	if m := l.Moves[1]; m.Deed != bores.Rebore || m.To != 60 || m.Wall != 0 || m.Left != 1 {
		t.Errorf("%+v", m)
	}
	var out strings.Builder
	if err := l.Page(Millimetres).Text(&out); err != nil || !strings.Contains(out.String(), "rebore") || !strings.Contains(out.String(), "9:00") {
		t.Errorf("%v\n%s", err, out.String())
	}
}

func TestAlign_refuses(t *testing.T) {
	two := []bores.Bore{bore("a", 0, 0, 0, 0), bore("b", 0, 0, 10, 0)}
	for name, c := range map[string]struct {
		casting bores.Casting
		want    error
	}{
		"one bore":      {bores.Casting{Bores: two[:1]}, fault.ErrMissing},
		"twice a name":  {bores.Casting{Bores: []bores.Bore{two[0], two[0]}}, fault.ErrRepeated},
		"most too low":  {bores.Casting{Bores: []bores.Bore{two[0], bore("b", 0, 0, 10, 59)}}, fault.ErrOutOfRange},
		"no number":     {bores.Casting{Bores: []bores.Bore{two[0], bore("b", Length(math.NaN()), 0, 10, 62)}}, fault.ErrNotFinite},
		"too large":     {bores.Casting{Bores: []bores.Bore{two[0], {Name: "b", Centre: two[1].Centre, Diameter: 60, Finished: 62, Most: 61}}}, fault.ErrOutOfRange},
		"negative wall": {bores.Casting{Bores: two, Wall: -1}, fault.ErrOutOfRange},
	} {
		if _, err := c.casting.Align(); !errors.Is(err, c.want) {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, err := (bores.Casting{Bores: []bores.Bore{bore("a", 0, 0, 5, 0), bore("b", 1, 0, 5, 0)}}).Align(); err == nil {
		t.Error("two bores side by side have no common axis")
	}
}

// A bore that stands on the axis and is still too small is bored to its size; one that a clean cut would make too large,
// or that has its size, is kept.
//
// Source: hand calculation: 60 and a cut of 0.1 all round are 60.2.
func TestCasting_smallOnTheAxis(t *testing.T) {
	for _, c := range []struct {
		finished float64
		deed     bores.Deed
		to, left Length
	}{{62, bores.Rebore, 62, 2}, {60.21, bores.Rebore, 60.21, 3.79}, {60.1, bores.Keep, 0, 4}, {60, bores.Keep, 0, 4}} {
		casting := bores.Casting{Clean: 0.1, Bores: []bores.Bore{bore("front", 0, 0, 0, 64), bore("middle", 0, 0, 100, 64), bore("rear", 0, 0, 200, 64)}}
		casting.Bores[1].Finished = Length(c.finished)
		l, err := casting.Align()
		if err != nil {
			t.Fatal(err)
		}
		if m := l.Moves[1]; m.Deed != c.deed || math.Abs(float64(m.To-c.to)) > 1e-9 || math.Abs(float64(m.Left-c.left)) > 1e-9 {
			t.Errorf("finished %v: %v to %v, left %v; want %v to %v, left %v", c.finished, m.Deed, m.To, m.Left, c.deed, c.to, c.left)
		}
	}
}

// What no casting is as large as is a fault of its bore, by its own name, not of the stack that it is made into.
func TestCasting_tooLarge(t *testing.T) {
	for _, spoil := range []func(b *bores.Bore){
		func(b *bores.Bore) { b.Centre.X = 1e9 },
		func(b *bores.Bore) { b.Centre.Z = -1e9 },
		func(b *bores.Bore) { b.Diameter, b.Most = 1e300, 1e301 },
		func(b *bores.Bore) { b.Most = 1e300 },
		func(b *bores.Bore) { b.Finished = 1e300 },
	} {
		casting := bores.Casting{Bores: []bores.Bore{bore("front", 0, 0, 0, 64), bore("middle", 0, 0, 100, 64), bore("rear", 0, 0, 200, 64)}}
		spoil(&casting.Bores[1])
		if _, err := casting.Align(); !errors.Is(err, fault.ErrOutOfRange) || !strings.HasPrefix(err.Error(), "bores/1/") {
			t.Errorf("%+v: %v", casting.Bores[1], err)
		}
	}
}

// lawson brackets the least over lines of the greatest share: least squares with weights that grow where the share
// is large. The root of the weighted mean square is never above it, the greatest share of the line never below.
//
// Source: C. L. Lawson's algorithm, 1961 (from memory).
func lawson(list []bores.Bore, clean Length, through *align.Vec3) (low, high float64) {
	w, high := make([]float64, len(list)), math.Inf(1)
	for i := range w {
		w[i] = 1 / float64(len(list))
	}
	for range 3000 {
		var s, z, zz, x, y, xz, yz float64
		for i, b := range list {
			slack := float64((b.Most-b.Diameter)/2 - clean)
			v := w[i] / slack / slack
			at, px, py := float64(b.Centre.Z), float64(b.Centre.X), float64(b.Centre.Y)
			if through != nil {
				at, px, py = at-float64(through.Z), px-float64(through.X), py-float64(through.Y)
			}
			s, z, zz, x, y, xz, yz = s+v, z+v*at, zz+v*at*at, x+v*px, y+v*py, xz+v*at*px, yz+v*at*py
		}
		d := s*zz - z*z
		line := [4]float64{(zz*x - z*xz) / d, (zz*y - z*yz) / d, (s*xz - z*x) / d, (s*yz - z*y) / d}
		if through != nil {
			line = [4]float64{2: xz / zz, 3: yz / zz}
		}
		square, most := 0.0, 0.0
		share := make([]float64, len(list))
		for i, b := range list {
			at, px, py := float64(b.Centre.Z), float64(b.Centre.X), float64(b.Centre.Y)
			if through != nil {
				at, px, py = at-float64(through.Z), px-float64(through.X), py-float64(through.Y)
			}
			share[i] = math.Hypot(px-line[0]-line[2]*at, py-line[1]-line[3]*at) / float64((b.Most-b.Diameter)/2-clean)
			square, most = square+w[i]*share[i]*share[i], max(most, share[i])
		}
		low, high = max(low, math.Sqrt(square)), min(high, most)
		sum := 0.0
		for i := range w {
			w[i] *= share[i]
			sum += w[i]
		}
		for i := range w {
			w[i] /= sum
		}
	}
	return low, high
}

// With no bore or one that stays, the share is the least that any axis takes.
//
// Source: a second method, from both sides.
func TestAlign_lawson(t *testing.T) {
	for seed := range uint64(40) {
		r := rand.New(rand.NewPCG(seed, 11))
		c := bores.Casting{Clean: 0.1}
		for i := range 3 + r.IntN(5) {
			c.Bores = append(c.Bores, bore(string(rune('a'+i)), Length(r.NormFloat64()*0.1), Length(r.NormFloat64()*0.1), Length(r.Float64()*300), 61+Length(5*r.Float64())))
		}
		var through *align.Vec3
		if seed%2 == 1 {
			through = &c.Bores[0].Centre
			c.Bores[0].Most = 0
		}
		l, err := c.Align()
		if err != nil {
			t.Fatal(err)
		}
		low, high := lawson(c.Bores[seed%2:], c.Clean, through)
		if l.Share < low*(1-1e-6) || l.Share > high*(1+1e-6) || high > low*1.02 {
			t.Errorf("seed %d: share %g, of all axes from %g to %g", seed, l.Share, low, high)
		}
		if len(l.Govern) == 0 {
			t.Errorf("seed %d: no bore governs", seed)
		}
	}
}

// A casting that some axis brings into line passes: what cannot be sleeved stays where it is, and what is bored to its
// size alone moves no farther than that takes with it.
//
// Source: castings made round an axis, so that each bore can be brought to it.
func TestAlign_passesWhereOneDoes(t *testing.T) {
	for seed := range uint64(60) {
		r := rand.New(rand.NewPCG(seed, 12))
		c := bores.Casting{Clean: 0.1, Wall: 1.5}
		for i := range 3 + r.IntN(4) {
			z := 60*float64(i) + 30*r.Float64()
			off, turn := 0.0, 2*math.Pi*r.Float64()
			b := bore(string(rune('a'+i)), 0, 0, Length(z), 61) // no sleeve
			switch r.IntN(3) {
			case 0:
				b.Most, off = 66, 2*r.Float64()
			case 1:
				off = 0.1 * r.Float64()
				b.Finished = 60.2 + Length(2*off)
			}
			b.Centre.X, b.Centre.Y = Length(0.3+1e-3*z+off*math.Cos(turn)), Length(-0.2+2e-3*z+off*math.Sin(turn))
			c.Bores = append(c.Bores, b)
		}
		if seed%3 == 0 {
			c.Bores[0].Most, c.Bores[0].Finished = 0, 0
			c.Bores[0].Centre.X, c.Bores[0].Centre.Y = Length(0.3+1e-3*float64(c.Bores[0].Centre.Z)), Length(-0.2+2e-3*float64(c.Bores[0].Centre.Z))
		}
		l, err := c.Align()
		if err != nil {
			t.Fatal(err)
		}
		if !l.Passes() || l.Share > 1+1e-9 {
			t.Errorf("seed %d: share %g, %+v", seed, l.Share, l.Moves)
		}
	}
}

// The bores that take the greatest share are named, also where the axis is that of others; nothing left in the casting is
// told from nothing known.
//
// Source: hand calculation: slack (61 − 60)/2 − 0.1 = 0.4 of which 0.3 is three quarters; bored to 60 + 2 × 0.4 = 60.8, the sleeve takes all of 61.
func TestAlign_page(t *testing.T) {
	c := bores.Casting{
		Bores: []bores.Bore{bore("a", 0, 0, 0, 0), bore("b", 0.3, 0, 50, 61), bore("c", 0, 0, 100, 0), bore("d", 0.1, 0, 150, 66)},
		Clean: 0.1, Wall: 0.5,
	}
	l, err := c.Align()
	if err != nil {
		t.Fatal(err)
	}
	if len(l.Govern) != 1 || l.Govern[0] != "b" || !check.Close(Length(l.Share), 0.75, 1e-6) {
		t.Errorf("%v takes %g", l.Govern, l.Share)
	}
	var out strings.Builder
	if err := l.Page(Millimetres).Text(&out); err != nil || !strings.Contains(out.String(), "61 mm    0.500 mm     0 mm") || !strings.Contains(out.String(), "75 % of the room to move where it takes most: b.") {
		t.Errorf("%v\n%s", err, out.String())
	}
}

// A bore that takes more than its slack is named, and bores side by side give no axis.
func TestAlign_noRoom(t *testing.T) {
	c := bores.Casting{
		Bores: []bores.Bore{bore("a", 0, 0, 0, 0), bore("b", 0.3, 0, 50, 61), bore("c", 0, 0, 100, 0), bore("d", 0.1, 0, 150, 66)},
		Clean: 0.1, Wall: 1.5, // no sleeve for b: hardly any slack
	}
	l, err := c.Align()
	if err != nil || l.Passes() {
		t.Fatal(err)
	}
	var out strings.Builder
	if err := l.Page(Millimetres).Text(&out); err != nil || !strings.Contains(strings.Join(strings.Fields(out.String()), " "), "more than the room to move that the casting leaves, most of all: b.") {
		t.Errorf("%v\n%s", err, out.String())
	}
	c.Bores[2].Centre.Z, c.Bores[2].Centre.X = 1e-4, 0.1
	if _, err := c.Align(); !errors.Is(err, fault.ErrOutOfRange) || !strings.Contains(err.Error(), "one behind the other") {
		t.Error(err)
	}
	c.Bores[2].Centre.Z = 0
	if _, err := c.Align(); err == nil || strings.Contains(err.Error(), "casting/") || strings.Contains(err.Error(), "/shafts") {
		t.Error(err)
	}
}

// The pictures show each bore where it is, off the axis, in the order along it and not of the table.
//
// Source: hand calculation: the middle bore is 0.05 mm left and 0.08 mm down of the line of the outer ones.
func TestPage_pictures(t *testing.T) {
	l, err := bores.Casting{Bores: []bores.Bore{bore("rear, \"é\"", 0.1, 0, 200, 0), bore("middle", 0, -0.08, 100, 66), bore("front", 0, 0, 0, 0)}}.Align()
	if err != nil {
		t.Fatal(err)
	}
	drawn, err := l.Page(Micrometres).Pictures()
	if err != nil {
		t.Fatal(err)
	}
	for name, far := range map[string]string{"across": "Farthest from the centre: middle, -50", "up": "Farthest from the centre: middle, -80"} {
		text := string(drawn[name])
		if front, rear := strings.Index(text, "front: "), strings.Index(text, "é"); !strings.Contains(text, far) || front < 0 || rear < front {
			t.Errorf("%s: %q, front at %d, rear at %d\n%s", name, far, front, rear, text)
		}
	}
}

// A slip in a column's name would leave every bore where it is.
func TestReadTable_columns(t *testing.T) {
	_, err := bores.ReadTable(strings.NewReader("bore,x,y,z,diameter,Most\na,0,0,0,60,66\n"), Millimetres)
	if !errors.Is(err, fault.ErrUnknownName) || !strings.Contains(err.Error(), `"Most"`) {
		t.Error(err)
	}
}
