package draw

import (
	"math"
	"slices"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/tolerance"
)

// scene is where everything of the shaft line is, as deviations from the main reference line, in millimetres.
type scene struct {
	reference string // its name, or what it is
	short     string // the same, for a narrow column
	spots     []spot // supports in the order of the results, then pockets
	shafts    []segment
	joints    []crossing
}

// spot is what carries a shaft, a support or a pocket: its centre and axis slope from the reference line, and the room of the shaft's axis, radial. The centre of a pocket is the shaft that it is bored in.
type spot struct {
	name   string // "part/bore", or the pocket's
	shaft  string // that runs in it
	z      float64
	x, y   float64
	tilt   align.Slope
	half   float64 // half the width of a bush; 0: a bearing or pocket
	room   float64 // (clearance - runout)/2, at least 0
	runout tolerance.TIR
	pocket bool
	used   float64 // the share of that room which its straight shaft uses
	out    float64 // by how much its straight shaft leaves that room, radial; 0: it stays inside

	drives, caps bool // it drives what of the clearance is used up; it caps the margin
}

// govern finds out what the spot decides.
func (q *spot) govern(l *align.ShaftLine) {
	in := func(list []tolerance.Share) bool {
		return slices.ContainsFunc(list, func(g tolerance.Share) bool { return g.Name == q.name })
	}
	q.drives, q.caps = in(l.Governs), in(l.MarginGoverns)
}

// governs says what the spot decides; empty: nothing.
func (q *spot) governs() string {
	return spell.If(q.drives, "uses up the clearance") + spell.If(q.drives && q.caps, " and ") + spell.If(q.caps, "caps the margin")
}

// segment is a straight shaft from the reference line: x + sx z, y + sy z, drawn from one z to another.
type segment struct {
	name         string
	x, y, sx, sy float64
	from, to     float64
}

func (s segment) at(z float64) (x, y float64) { return s.x + s.sx*z, s.y + s.sy*z }

// crossing is where two faces meet on the axis.
type crossing struct {
	name string
	z    float64
	gap  bool
}

// newScene reads where everything is.
func newScene(s *align.Stack, a *align.Assembly) (*scene, error) {
	along := nowhere()
	for _, b := range a.Supports {
		along.add(float64(b.Z))
	}
	if !(along.size() > 0) {
		return nil, nothing("shaft line", "all supports are at one place along the shaft line")
	}
	ref := &a.Reference
	sc := &scene{reference: referenceName(s), short: "reference line"}
	if len(s.References) > 0 {
		sc.short = sc.reference
	}
	for i, b := range a.Supports {
		sup := support(s, i)
		q := spot{name: b.Bore, shaft: b.Shaft, z: float64(b.Z), x: float64(b.Offset.X), y: float64(b.Offset.Y), tilt: b.Tilt, runout: sup.Runout, room: math.Max(float64(b.Clearance)-float64(sup.Runout), 0) / 2}
		if b.Kind == align.Bush {
			q.half = float64(sup.Width) / 2
		}
		sc.spots = append(sc.spots, q)
	}
	for _, l := range a.Line.Shafts {
		z := reachOfShaft(s, a, l.Name)
		sc.shafts = append(sc.shafts, segment{
			name: l.Name, from: z.lo, to: z.hi,
			x: float64(l.AtZero.X - ref.AtZero.X), y: float64(l.AtZero.Y - ref.AtZero.Y), sx: l.Slope.X - ref.Slope.X, sy: l.Slope.Y - ref.Slope.Y,
		})
	}
	for _, p := range s.Pockets {
		in, ok := sc.shaft(p.Between[1])
		if !ok {
			continue
		}
		x, y := in.at(float64(p.Z))
		sc.spots = append(sc.spots, spot{name: p.Name, shaft: p.Between[0], z: float64(p.Z), x: x, y: y, room: math.Max(float64(p.Clearance), 0) / 2, pocket: true})
	}
	sc.judge(a)
	for i := range a.Joints {
		sc.joints = append(sc.joints, crossing{a.Joints[i].Name, jointZ(a, i), a.Joints[i].Gap.Greatest > 0})
	}
	return sc, nil
}

// reachOfShaft is from where to where a shaft has supports and pockets.
func reachOfShaft(s *align.Stack, a *align.Assembly, name string) span {
	z := nowhere()
	for i, b := range a.Supports {
		if b.Shaft == name {
			h := float64(support(s, i).Width) / 2
			z.add(float64(b.Z)-h, float64(b.Z)+h)
		}
	}
	for _, p := range s.Pockets {
		if slices.Contains(p.Between[:], name) {
			z.add(float64(p.Z))
		}
	}
	return z
}

func (sc *scene) shaft(name string) (segment, bool) {
	if i := slices.IndexFunc(sc.shafts, func(g segment) bool { return g.name == name }); i >= 0 {
		return sc.shafts[i], true
	}
	return segment{}, false
}

// judge finds what governs, how much of its room every straight shaft uses, and where a straight shaft leaves its room: at a bearing or pocket, or at either mouth of a bush.
func (sc *scene) judge(a *align.Assembly) {
	for i := range sc.spots {
		q := &sc.spots[i]
		q.govern(a.Line)
		g, ok := sc.shaft(q.shaft)
		if !ok {
			continue
		}
		for _, d := range [2]float64{-q.half, q.half} {
			x, y := g.at(q.z + d)
			off := math.Hypot(x-q.x-q.tilt.X*d, y-q.y-q.tilt.Y*d)
			if off > samePlace {
				q.used = math.Max(q.used, off/q.room)
			}
			if off-q.room > samePlace {
				q.out = math.Max(q.out, off-q.room)
			}
		}
	}
}

// support is the i-th support in the order of the results.
func support(s *align.Stack, i int) *align.Support {
	for k := range s.Shafts {
		if n := len(s.Shafts[k].Supports); i >= n {
			i -= n
			continue
		}
		return &s.Shafts[k].Supports[i]
	}
	return &align.Support{}
}

func referenceName(s *align.Stack) string {
	if len(s.References) > 0 {
		return "reference " + spell.Name(s.References[0].Name)
	}
	first := s.Shafts[slices.IndexFunc(s.Shafts, func(q align.Shaft) bool { return len(q.Supports) > 0 })] // a scene has supports
	if len(first.Supports) == 1 {
		return "the axis of " + spell.Name(first.Supports[0].Bore)
	}
	return "the line through the first two supports of " + spell.Name(first.Name)
}

// samePlace is how far results of the same stack may differ, mm and radians: far above rounding, far below what any gauge tells.
const samePlace = 1e-6

// jointZ is where joint i's rear part meets it, on its frame axis, in S: at its origin where it has no face there.
func jointZ(a *align.Assembly, i int) float64 {
	p := &a.Placed[i+1]
	return float64(p.Faces[0].Or(p.BaseFromPart.Origin().Z))
}

// ahead is the sign of a mounted part's z and x: -1 when the part is turned end for end.
func ahead(p *align.Part) float64 {
	if p.Turned {
		return -1
	}
	return 1
}

func shapeOf(a *align.Assembly, part string) (align.PartShape, bool) {
	if i := slices.IndexFunc(a.Parts, func(p align.PartShape) bool { return p.Name == part }); i >= 0 {
		return a.Parts[i], true
	}
	return align.PartShape{}, false
}
