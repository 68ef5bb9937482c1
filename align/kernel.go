package align

import (
	"gonum.org/v1/gonum/spatial/r3"

	"example.com/borestack/align/internal/bend"
	"example.com/borestack/align/internal/floatset"
	"example.com/borestack/align/internal/shaftline"
)

// kernel works out one stack again and again in its own memory: parts, seats, places, circles,
// shaft line. It is for one goroutine. [Stack.Solve] and the plan's evaluator both use it, so their
// numbers are the same.
type kernel struct {
	stack Stack
	lay   *layout

	parts    []mountedPart
	flush    []seating
	led      []seating // pilot-led alternatives of strained joints
	seats    []*seating
	strained []int // joints with both alternatives
	placed   []Pose
	floats   []floatset.Vec // where each joint lies now

	circles []shaftline.Circle // those of line
	line    shaftline.Solver
	bender  bend.Solver
	bent    []int // circles of the group last bent
	bentOf  []int // that group; nil once a circle has moved
	refs    []placedReference
	list    []axisAt // centres of the line last worked out
	still   stillness
	placing int                // counts placings of the parts
	pick    []floatset.Numbers // per joint: what its float is drawn from; nil outside samples
	ledHow  int                // the combination of strained joints that governs: bit k set, joint strained[k] is pilot-led
}

// placedReference is a reference line as the parts were placed.
type placedReference struct {
	line    axisLine
	placing int
}

// centre is a bore's centre in S, worked out once for each placing of the parts.
func (k *kernel) centre(b boreAt) r3.Vec {
	q := &k.parts[b.part].bores[b.bore]
	if q.placing != k.placing {
		q.inS, q.placing = r3.Add(k.placed[b.part].apply(q.c), k.parts[b.part].moved), k.placing
	}
	return q.inS
}

// slope is a bore's axis slope in S.
func (k *kernel) slope(b boreAt) (sx, sy float64) {
	q := &k.parts[b.part].bores[b.bore]
	d := k.placed[b.part].rotate(r3.Vec{X: q.sx, Y: q.sy, Z: 1})
	return d.X / d.Z, d.Y / d.Z
}

// reference is reference line i in S, worked out once for each placing of the parts.
func (k *kernel) reference(i int) axisLine {
	r := &k.refs[i]
	if r.placing != k.placing {
		r.line, r.placing = k.lineOf(i), k.placing
	}
	return r.line
}

// lineOf works out reference line i.
func (k *kernel) lineOf(i int) axisLine {
	r := &k.lay.refs[i]
	if r.axis {
		a := k.axisAt(r.bores[0])
		return a.line()
	}
	k.list = k.list[:0]
	for _, b := range r.bores {
		c := k.centre(b)
		k.list = append(k.list, axisAt{x: c.X, y: c.Y, z: c.Z})
	}
	return bestLine(k.list)
}

// axisAt is a bore's axis in S.
func (k *kernel) axisAt(b boreAt) axisAt {
	c := k.centre(b)
	sx, sy := k.slope(b)
	return axisAt{c.X, c.Y, c.Z, sx, sy}
}

// chain is axial chain i's sum.
func (k *kernel) chain(i int) float64 {
	var sum float64
	for n := range k.stack.Chains[i].Links {
		l := &k.stack.Chains[i].Links[n]
		d := float64(l.Length)
		if at := k.lay.chains[i][n]; at.from.part >= 0 {
			d = k.faceZ(at.to) - k.faceZ(at.from)
		}
		sum += l.Gain.Or(1) * d
	}
	return sum
}

// faceZ is z in S where the part's frame axis meets its face.
func (k *kernel) faceZ(f faceAt) float64 { return k.onFace(f).Z }

// onFace is where that is.
func (k *kernel) onFace(f faceAt) r3.Vec {
	return k.placed[f.part].apply(r3.Vec{Z: k.parts[f.part].faces[f.side].p.Z})
}

// stillness says which parts no source moves, and which joints lie between such parts and are not
// moved themselves.
type stillness struct{ parts, joints []bool }

// support is the i-th support in the layout's order.
func (k *kernel) support(i int) *Support {
	at := &k.lay.supports[i]
	return &k.stack.Shafts[at.shaft].Supports[at.index]
}

// pocketHolder is the holder of pocket i's circles.
func (k *kernel) pocketHolder(i int) int { return len(k.lay.supports) + i }

// clearance is the running clearance of support i at the temperatures of its part and shaft,
// diametral; known is false when it could not be brought to temperature because neither journal nor
// bore diameter is given.
func (k *kernel) clearance(i int) (c float64, known bool) {
	at := &k.lay.supports[i]
	sup := k.support(i)
	part := &k.parts[at.part]
	shaft := &k.stack.Shafts[at.shaft]
	c = float64(sup.Clearance)
	warm := float64(shaft.Temperature.Or(20)) - 20
	grow := part.expansion*part.warm - shaft.Material.Value.Expansion*warm
	if grow == 0 {
		return c, true
	}
	d := float64(sup.Journal.Value)
	if !sup.Journal.Given {
		b := &k.stack.Parts[at.part].Bores[at.bore]
		if !b.Diameter.Given {
			return c, false
		}
		d = float64(b.Diameter.Value)
	}
	return c + d*grow, true
}

// circleName is the bore or pocket that a circle belongs to.
func (k *kernel) circleName(c *shaftline.Circle) string {
	if pocket := c.Holder - len(k.lay.supports); pocket >= 0 {
		return k.stack.Pockets[pocket].Name
	}
	return k.support(c.Holder).Bore
}
