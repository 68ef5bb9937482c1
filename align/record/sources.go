package record

import (
	"reflect"
	"strconv"

	"example.com/borestack/align"
	"example.com/borestack/fault"
)

// sourceCheck refuses what one number lacks or has twice: nothing that says where a bore, a pilot or
// a rear face is, or two things that do. Presence alone decides, so that a zero that was written
// counts. What follows from a fault already found is left out.
type sourceCheck struct {
	*decoder
	written []error // the faults found before
}

func (d *decoder) sources(r *Record) {
	c := &sourceCheck{d, d.faults}
	r.eachPart(nil, func(p *Part, _ *align.Part, at string) { c.part(at, p) })
	r.eachSize(c.size)
}

// present are those of the keys of a block that are written.
func present(block any, keys ...string) (out []string) {
	for _, key := range keys {
		if v, _ := under(reflect.ValueOf(block).Elem(), key); !v.IsZero() {
			out = append(out, key)
		}
	}
	return out
}

func (c *sourceCheck) missing(at, want string) {
	if f := fault.At(at, "", want, fault.ErrMissing); !within(f, c.written) {
		c.add(f)
	}
}

func (c *sourceCheck) twice(at, want string) {
	f := fault.At(at, "", want, fault.ErrConflict)
	if n, ok := c.root.find(at); ok {
		f.Value = n.show()
	}
	if !within(f, c.written) {
		c.add(f)
	}
}

func (c *sourceCheck) part(at string, p *Part) {
	for _, side := range p.sides() {
		c.face(at+"/"+side.name, side.face)
	}
	if p.Front != nil && p.Rear != nil && len(present(p.Rear, "z", "thickness")) == 0 && len(p.Rear.Points) == 0 {
		c.missing(at+"/rear", "how far the rear face lies behind the front face: z, thickness or points")
	}
	for i := range p.Bores {
		c.bore(at+"/bores/"+strconv.Itoa(i), &p.Bores[i])
	}
}

func (c *sourceCheck) face(at string, f *Face) {
	if keys := present(f, "slope", "points", "thickness", "sweep"); len(keys) > 1 {
		// the slope, where it is one of them: what was measured stands
		c.twice(at+"/"+keys[0], "one of slope, points, thickness and sweep: "+keys[1]+" gives the plane as well")
	}
	if f.Pilot != nil {
		c.pilot(at+"/pilot", f.Pilot)
	}
}

// pilot refuses a pilot that is nowhere or has no diameter, and one that says either twice.
func (c *sourceCheck) pilot(at string, q *Pilot) {
	where := present(q, "centre", "sweep", "round")
	for _, key := range where[min(1, len(where)):] {
		c.twice(at+"/"+key, where[0]+" or "+key+", not both: each says where the pilot is")
	}
	switch size := present(q, "diameter", "fit"); {
	case len(where) == 0:
		c.missing(at, "where the pilot is: centre [x, y] or sweep")
	case q.Round == nil || len(size) == 0:
	case size[0] == "diameter":
		c.twice(at+"/diameter", "diameter or round, not both: the points give it")
	default:
		c.twice(at+"/fit", "fit or round, not both: the points give the diameter")
	}
	if is, err := parseFit(q.Fit.text()); err == nil && (is.rule == ofHole) != (q.Kind == "bore") {
		c.twice(at+"/fit", `a class of holes, such as "150 H7", of a bore; a class of shafts, such as "150 g6", of a spigot`)
	}
	c.slope(at, q.Round, q.Slope)
}

// bore refuses a bore that is nowhere, and one that says twice where it is or how wide.
func (c *sourceCheck) bore(at string, b *Bore) {
	switch {
	case len(present(b, "centre", "sweep", "round")) == 0:
		c.missing(at, "where the bore is: centre [x, y, z], or sweep with z")
	case b.Centre != nil && b.Sweep != nil:
		c.twice(at+"/sweep", "centre or sweep, not both: each says where the bore is")
	case b.Centre != nil && b.Z != nil:
		c.twice(at+"/z", "no z beside centre, whose third number it is; z stands beside sweep")
	}
	if b.Round == nil {
		return
	}
	for _, key := range present(b, "centre", "sweep", "z", "diameter") {
		c.twice(at+"/"+key, "no "+key+" beside round, which gives it")
	}
	c.slope(at, b.Round, b.Slope)
}

// slope refuses a slope beside points that give one.
func (c *sourceCheck) slope(at string, p *RoundPoints, slope *Pair) {
	if p != nil && slope != nil && p.gives.Slope != nil {
		c.twice(at+"/slope", "no slope beside points at several heights, which give it")
	}
}

// size refuses a size that is stated twice, by its key and by its fit, or not at all.
func (c *sourceCheck) size(s sized) {
	switch {
	case s.number.Text == "" && *s.fit == nil:
		c.missing(s.at+"/"+s.key, "this key, or fit")
	case s.number.Text != "" && *s.fit != nil:
		c.twice(s.at+"/fit", s.key+" or fit, not both: what was measured stands")
	}
}
