package draw

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// Aim is what [Target] draws. The zero value of what is optional leaves it out.
type Aim struct {
	Bore    string                               // "part/bore", one that carries a shaft
	Limit   tolerance.Optional[tolerance.Offset] // greatest offset from the main reference, centre to centre
	Because string                               // where the limit comes from
}

// targetRadius is the greatest of the target's field, in user units.
const targetRadius = 168

// Target draws one support as seen from the tail: where its bore centre lies from the main reference line, how far the float of all joints takes it, the circle in which the axis of the shaft has room, the best straight shaft there, and the limit.
//
// a must be the result of s. It returns an error that wraps [fault.ErrUnknownName] when no shaft runs in that bore, [fault.ErrConflict] when a is not of s, [fault.ErrOutOfRange] for a limit that is not possible, or a fault of the options.
func Target(w io.Writer, s align.Stack, a *align.Assembly, aim Aim, o Options) error {
	c, sc, err := sceneOf("target", &s, a, o, "Target of "+spell.Name(aim.Bore))
	if err != nil {
		return err
	}
	if l, ok := aim.Limit.Get(); ok && !(l >= 0 && !math.IsInf(float64(l), 0)) {
		return fault.At("/limit", fmt.Sprint(float64(l)), "a finite limit of at least 0", fault.ErrOutOfRange)
	}
	known := namesOf(a.Supports, func(b *align.SupportedBore) string { return b.Bore })
	i := slices.Index(known, aim.Bore)
	if i < 0 {
		return unknown("/bore", aim.Bore, "bore that carries a shaft", known)
	}
	b, q := &a.Supports[i], sc.spots[i]
	out := align.Output{What: align.OffsetSize, Of: aim.Bore}
	over, err := a.Range(out)
	if err != nil {
		return fmt.Errorf("draw: target: %w", err)
	}
	reach, err := reachOf(&s, a, out)
	if err != nil {
		return err
	}
	answer := "Offset " + c.p.offset(b.Offset) + " (centre to centre), TIR " + c.p.Length(2*b.Offset.Size()) + ", from " + sc.reference + "."
	c.head(append([]string{answer}, warnings(a)...)...)

	if g := q.governs(); g != "" {
		c.paragraph(text, bodySize, bodyPitch, "It "+g+".")
	}
	if q.out > 0 {
		c.paragraph(warn, bodySize, bodyPitch, "THE SHAFT LEAVES ITS ROOM by "+c.p.Length(tolerance.Length(q.out))+".")
	}
	c.y += 6
	r := c.radius(targetRadius, 18)
	t := target{field{canvas: c, radius: r, cx: margin + 14 + r, cy: c.y + 16 + r}}
	x, y := c.beside(t.cx+t.radius+34, t.cy-t.radius, t.cy+t.radius+26)
	t.fit(q, sc, aim, over, reach)
	t.rings()
	keys := t.marks(&s, a, i, sc, aim, over, reach)
	c.y = math.Max(t.cy+t.radius+22, c.keys(x, y, keys))
	scale := c.magnified(t.scale)
	c.notes(scale, "Seen from the tail, 12 o'clock up. Offsets are centre to centre; clearances are diametral.")
	c.describe("Seen from the tail, 12 o'clock up", answer, keyWords(keys), scale)
	return write(w, c)
}

// marks draws all that is known of support i, from the limit to the shaft, and returns the key to it.
func (t *target) marks(s *align.Stack, a *align.Assembly, i int, sc *scene, aim Aim, over align.Range, reach []align.Vec2) []keyLine {
	c, b, q := t.canvas, &a.Supports[i], sc.spots[i]
	keys := []keyLine{{c.stroke(chain), "centre of the rings: " + sc.reference}}
	add := func(sample func(x, y float64), text string) { keys = append(keys, keyLine{sample, text}) }
	if l, ok := aim.Limit.Get(); ok {
		c.titled("limit", "limit", func() { c.circle(heavy, t.cx, t.cy, float64(l)*t.scale) })
		text := "limit: offset at most " + c.p.Length(l.Length()) + ", TIR at most " + c.p.Length(l.TIR().Length())
		if aim.Because != "" {
			text += " (" + spell.Clean(aim.Because) + ")"
		}
		add(c.stroke(heavy), text)
	}
	x, y := t.at(q.x, q.y)
	class := q.class(dash)
	c.titled("room", "room of the shaft's axis", func() { c.circle(class, x, y, q.room*t.scale) })
	roomWords := "room of the shaft's axis, radius " + c.p.Length(tolerance.Length(q.room)) + " (clearance " + c.p.Length(b.Clearance.Length()) + " diametral"
	if support(s, i).Runout != 0 {
		roomWords += " less runout " + c.p.Length(support(s, i).Runout.Length())
	}
	add(c.stroke(class), roomWords+")")
	if g := q.governs(); g != "" {
		c.titled("governs", q.name+" "+g, func() { c.triangle(mark, x, y+q.room*t.scale+7, 6) })
		add(func(x, y float64) { c.triangle(mark, x, y, 6) }, "it "+g)
	}
	if over.Floats && over.Low.Given && over.High.Given {
		t.reach(reach)
		add(c.stroke(thin), "reach of the bore centre as the parts are pushed: offset "+c.p.Plain(tolerance.Length(over.Low.Value))+" to "+c.p.Length(tolerance.Length(over.High.Value)))
	} else {
		add(nil, "nothing that it depends on can be pushed")
	}
	c.titled("offset", "offset of "+aim.Bore, func() {
		c.arrow(ink, solid, t.cx, t.cy, x, y)
		c.circle(solid, x, y, 3.3)
	})
	add(func(x, y float64) { c.circle(solid, x, y, 3.3) }, "bore centre, "+c.p.offset(b.Offset))
	if g, ok := sc.shaft(q.shaft); ok {
		gx, gy := g.at(q.z)
		px, py := t.at(gx, gy)
		class := q.class(accent)
		c.titled("shaft", "best straight shaft "+g.name, func() { c.cross(class, px, py, 5) })
		v := align.Vec2{X: tolerance.Length(gx - q.x), Y: tolerance.Length(gy - q.y)}
		add(func(x, y float64) { c.cross(class, x, y, 5) }, "best straight shaft "+spell.Name(g.name)+": "+c.p.offset(v)+" from the bore centre")
	}
	return keys
}

func keyWords(keys []keyLine) string {
	return strings.Join(namesOf(keys, func(k *keyLine) string { return k.text }), "; ")
}

// magnified draws the scale bar of a picture without a lengthwise scale, and says how large it is on paper.
func (c *canvas) magnified(scale float64) string {
	c.y += 14
	c.scaleBar(margin, c.y, scale, false, "")
	c.y += 4
	return spell.Upper(c.printed()) + ", it is " + times(scale/unitsPerMM) + " life size; the bar holds at any size."
}

type target struct{ field }

// fit chooses a round magnification that shows everything.
func (t *target) fit(q spot, sc *scene, aim Aim, over align.Range, reach []align.Vec2) {
	most := max(math.Hypot(q.x, q.y)+q.room, float64(aim.Limit.Value), over.High.Value)
	if g, ok := sc.shaft(q.shaft); ok {
		x, y := g.at(q.z)
		most = math.Max(most, math.Hypot(x, y))
	}
	for _, v := range reach {
		most = math.Max(most, float64(v.Size()))
	}
	if most <= 0 {
		most = 0.01
	}
	t.scale = magnify(t.radius / most)
}

// rings draws rings at round radii, the cross through the reference line, and the clock.
func (t *target) rings() {
	unit := float64(t.o.Unit.Size())
	r := t.radius / t.scale / unit
	step := roundDown(r / 2.4)
	c := t.canvas
	t.upright(chain, t.radius)
	for k := 1.0; k*step <= r*(1+sameStep); k++ {
		px := k * step * unit * t.scale
		c.circle(faint, t.cx, t.cy, px)
		x, y := t.cx+px*math.Sin(5*math.Pi/4), t.cy-px*math.Cos(5*math.Pi/4)
		c.try(halo, x, y+.35*smallSize, smallSize, middle, spell.Trimmed(k*step, 9))
	}
	t.clock(t.radius + 4)
}

func (t *target) reach(region []align.Vec2) {
	var points []float64
	for _, v := range region {
		x, y := t.at(float64(v.X), float64(v.Y))
		points = append(points, x, y)
	}
	t.titled("reach", "reach of the bore centre", func() { t.path(thin, true, points...) })
}

// reachDirections is how many directions bound a region: a disc comes out at most 1/cos(π/24) - 1 = 0.9 % too large. Each is a search over the float, which makes up nearly all of the time that a target takes.
const reachDirections = 24

// farthestReference bounds the shift of a reference: half of the 100 m that a record may hold, so that a bore moved by it is still a bore. An offset |o| drawn by it is out by |o|/2D of itself.
const farthestReference = 50_000 // mm

// leastTurn is the least turn of parts that is reckoned with, so that D below is at most 10,000 |o|.
const leastTurn = 1e-4

// reachOf is the region that a bore centre takes, from the main reference, over the float of all joints: nil when nothing floats.
//
// The results give the greatest size of an offset, not its greatest part in a direction u. But the offset from the reference shifted by -D u is o + D u, and |o + D u| = D + o·u + |o⊥|²/2D to second order, so that the greatest size less the size at rest is the greatest of o·u less o·u at rest. A shifted reference follows its parts; their turn γ moves it by γD, square to u, which enters to second order too. With D = |o|/γ both together stay below 2γ|o|, less than the line that draws it.
func reachOf(s *align.Stack, a *align.Assembly, out align.Output) ([]align.Vec2, error) {
	over, err := a.Range(out)
	if err != nil {
		return nil, fmt.Errorf("draw: reach: %w", err)
	}
	if !over.Floats || !over.High.Given || !(over.High.Value > over.Low.Value) {
		return nil, nil
	}
	turn := leastTurn
	for i := range a.Joints {
		if j := &a.Joints[i]; j.TurnRange.Given {
			turn += float64(j.TurnRange.Value[1] - j.TurnRange.Value[0])
		}
	}
	shift := math.Min(over.High.Value/turn, farthestReference)
	t := *s
	t.Candidates, t.States, t.Chains, t.Meshes = nil, nil, nil, nil
	t.Parts, t.References = slices.Clone(s.Parts), slices.Clone(s.References)
	if len(t.References) == 0 {
		t.References = []align.Reference{defaultReference(s)}
	}
	main := t.References[0]
	var outputs []align.Output
	for k := range reachDirections {
		sn, cs := math.Sincos(2 * math.Pi * float64(k) / reachDirections)
		ref := movedReference(main, func(bore string) string { return shifted(&t, a, bore, -shift*sn, -shift*cs) })
		ref.Name = unused(fmt.Sprintf("reach %d", k), t.References, func(r align.Reference) string { return r.Name })
		t.References = append(t.References, ref)
		outputs = append(outputs, align.Output{What: out.What, Of: out.Of, From: ref.Name})
	}
	ranges, _, err := t.Ranges(outputs)
	if err != nil {
		return nil, fmt.Errorf("draw: reach: %w", err)
	}
	at := a.Supports[slices.IndexFunc(a.Supports, func(b align.SupportedBore) bool { return b.Bore == out.Of })].Offset
	far := at.Size() + tolerance.Length(2*over.High.Value)
	region := []align.Vec2{{X: -far, Y: -far}, {X: -far, Y: far}, {X: far, Y: far}, {X: far, Y: -far}}
	for k, r := range ranges {
		sn, cs := math.Sincos(2 * math.Pi * float64(k) / reachDirections)
		most := r.High.Value - r.Rest.Value + float64(at.X)*sn + float64(at.Y)*cs
		region = clip(region, sn, cs, most)
	}
	return region, nil
}

// movedReference is a reference through other bores.
func movedReference(main align.Reference, moved func(bore string) string) (out align.Reference) {
	switch {
	case main.Axis != "":
		out.Axis = moved(main.Axis)
	case len(main.Best) > 0:
		for _, b := range main.Best {
			out.Best = append(out.Best, moved(b))
		}
	default:
		out.Through = [2]string{moved(main.Through[0]), moved(main.Through[1])}
	}
	return out
}

// defaultReference is what offsets are from where no reference is named: the line through the first shaft's first two supports, or its only support's axis.
func defaultReference(s *align.Stack) align.Reference {
	r := align.Reference{Name: "reference"}
	if first := s.Shafts[0].Supports; len(first) > 1 {
		r.Through = [2]string{first[0].Bore, first[1].Bore}
	} else if len(first) == 1 {
		r.Axis = first[0].Bore
	}
	return r
}

// clip keeps the part of a convex region with x ux + y uy ≤ most.
func clip(region []align.Vec2, ux, uy, most float64) []align.Vec2 {
	var out []align.Vec2
	over := func(v align.Vec2) float64 { return float64(v.X)*ux + float64(v.Y)*uy - most }
	for i, v := range region {
		w := region[(i+1)%len(region)]
		dv, dw := over(v), over(w)
		if dv <= 0 {
			out = append(out, v)
		}
		if (dv < 0) != (dw < 0) && dv != dw {
			f := tolerance.Length(dv / (dv - dw))
			out = append(out, align.Vec2{X: v.X + f*(w.X-v.X), Y: v.Y + f*(w.Y-v.Y)})
		}
	}
	return out
}

// shifted adds a bore beside another of the same part, (dx, dy) from it in S, with the same axis slope, and returns its name. It is given as a sweep about the other, whose own centre may come from readings.
func shifted(t *align.Stack, a *align.Assembly, at string, dx, dy float64) string {
	part, bore, _ := strings.Cut(at, "/")
	i := slices.IndexFunc(t.Parts, func(p align.Part) bool { return p.Name == part })
	p := &t.Parts[i]
	b := p.Bores[slices.IndexFunc(p.Bores, func(b align.Bore) bool { return b.Name == bore })]
	// a rotation's inverse is its transpose
	m := a.Placed[i].BaseFromPart.Matrix()
	x, y := tolerance.Length(m[0][0]*dx+m[1][0]*dy), tolerance.Length(m[0][1]*dx+m[1][1]*dy)
	if p.Turned {
		x = -x
	}
	// a bore swept from inside reads -e·u(θ) at θ = 0°, 90°, 180°, 270°
	readings := [][]tolerance.Length{{-y}, {-x}, {y}, {x}}
	p.Bores = append(slices.Clone(p.Bores), align.Bore{
		Name:   unused("shifted "+bore, p.Bores, func(b align.Bore) string { return b.Name }),
		Centre: align.Vec3{Z: b.Centre.Z},
		Slope:  b.Slope,
		Sweep:  &align.Sweep{Readings: align.Readings{Values: readings}, About: at},
	})
	return part + "/" + p.Bores[len(p.Bores)-1].Name
}

// unused is a name that no element of list has.
func unused[T any](base string, list []T, nameOf func(T) string) string {
	for slices.ContainsFunc(list, func(v T) bool { return nameOf(v) == base }) {
		base += "'"
	}
	return base
}
