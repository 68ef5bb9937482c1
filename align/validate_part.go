package align

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"example.com/borestack/align/internal/clock"
	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// part checks a part, and returns it as mounted where nothing was wrong so far.
func (c *checker) part(p *Part) *mountedPart {
	before := len(c.faults)
	c.warm("/temperature", p.Temperature, p.Material.Given)
	c.warm("/measured_at", p.MeasuredAt, p.Material.Given)
	if !c.values(p) {
		return nil
	}
	c.face("/front", p.Front, p)
	c.face("/rear", p.Rear, p)
	c.each("/bores", len(p.Bores), func(i int) {
		if b := &p.Bores[i]; b.Sweep != nil {
			c.refuse(b.Centre.X != 0 || b.Centre.Y != 0, fault.ErrConflict, "/centre", "a centre across the line or a sweep, not both", "[%v, %v]", b.Centre.X, b.Centre.Y)
			c.sweep("/sweep", b.Sweep, p, false)
			c.sweptCircle("/sweep/about", p, i)
		}
	})
	if len(c.faults) > before {
		return nil
	}
	m := newMountedPart(p)
	m.mount(p)
	c.planes(p, &m)
	return &m
}

// planes refuses a face whose points or readings make a plane steeper than a slope may be stated,
// and a part that is thinner than nothing: at its z axis the rear face must lie behind the front
// face. Neither temperature nor how it is turned changes that.
func (c *checker) planes(p *Part, m *mountedPart) {
	before := len(c.faults)
	for side, f := range [2]*Face{p.Front, p.Rear} {
		if f == nil || f.measured() == "" {
			continue
		}
		if rise := math.Hypot(m.faces[side].p.SX, m.faces[side].p.SY); !(rise <= steepest) {
			c.add(fault.ErrOutOfRange, [2]string{"/front", "/rear"}[side]+f.measured(), fmt.Sprintf("%.3g", rise), fmt.Sprintf("a face that rises by at most %v times the distance across it", steepest))
		}
	}
	if len(c.faults) > before || p.Front == nil || p.Rear == nil || m.rear.p.Z > m.front.p.Z {
		return
	}
	l := p.Located()
	want := fmt.Sprintf("a rear face behind the front face: more than %v at the part's z axis", l.Front.Z)
	to := "/rear/z"
	if p.Rear.Sweep == nil && p.Rear.measured() != "" { // a sweep gives the slope alone
		to = "/rear" + p.Rear.measured()
		want += fmt.Sprintf(", where these give %v", l.Rear.Z)
	}
	c.add(fault.ErrConflict, to, l.Rear.Z.String(), want)
}

// measured is where a face keeps what its plane was measured by; empty for a plane that is stated.
func (f *Face) measured() string {
	switch {
	case len(f.Points) > 0:
		return "/points"
	case f.Thickness != nil:
		return "/thickness/readings"
	case f.Sweep != nil:
		return "/sweep/readings"
	}
	return ""
}

// sweptCircle refuses bores swept about each other in a circle.
func (c *checker) sweptCircle(below string, p *Part, i int) {
	at := i
	for range p.Bores {
		s := p.Bores[at].Sweep
		if s == nil || s.About == "" {
			return
		}
		if at = p.boreOf(s.About); at < 0 {
			return
		}
		if at == i {
			c.add(fault.ErrConflict, below, strconv.Quote(p.Bores[i].Sweep.About), "a bore that is not itself swept about this one")
			return
		}
	}
}

// boreOf finds the bore of the part that "part/bore" names; -1: none.
func (p *Part) boreOf(name string) int {
	_, bore, _ := strings.Cut(name, "/")
	return slices.IndexFunc(p.Bores, func(b Bore) bool { return b.Name == bore })
}

func (c *checker) face(at string, f *Face, p *Part) {
	if f == nil {
		return
	}
	c.below(at, func() {
		ways := oneOf(len(f.Points) > 0, f.Thickness != nil, f.Sweep != nil)
		c.refuse(ways > 1, fault.ErrConflict, "", "one of points, thickness and sweep", "several")
		if ways == 1 {
			c.refuse(f.Slope != Slope{}, fault.ErrConflict, "/slope", "no slope beside points, thickness or a sweep, which give it", "[%v, %v]", f.Slope.X, f.Slope.Y)
			c.refuse(f.Sweep == nil && f.Z != 0, fault.ErrConflict, "/z", "no z beside points or thickness, which give it", "%v", f.Z)
		}
		if n := len(f.Points); n > 0 {
			c.refuse(n < 3 || collinear(f.Points), fault.ErrOutOfRange, "/points", "at least three points that are not on one line", "a list of %d", n)
		}
		if f.Thickness != nil {
			c.below("/thickness", func() { c.thickness(f.Thickness, p, f == p.Rear) })
		}
		c.sweep("/sweep", f.Sweep, p, true)
		if q := f.Pilot; q != nil && q.Sweep != nil {
			c.refuse(q.Centre != Vec2{}, fault.ErrConflict, "/pilot/centre", "a centre or a sweep, not both", "[%v, %v]", q.Centre.X, q.Centre.Y)
			c.sweep("/pilot/sweep", q.Sweep, p, false)
		}
	})
}

// collinearShare is the share of their spread within which points lie on one line: a micrometre in
// a metre, which no reading tells.
const collinearShare = 1e-6

// collinear reports whether points seen along z lie on one line.
func collinear(pts []Vec3) bool {
	var mx, my float64
	for _, p := range pts {
		mx += float64(p.X) / float64(len(pts))
		my += float64(p.Y) / float64(len(pts))
	}
	var xx, xy, yy float64
	for _, p := range pts {
		x, y := float64(p.X)-mx, float64(p.Y)-my
		xx, xy, yy = xx+x*x, xy+x*y, yy+y*y
	}
	return !(xx*yy-xy*xy > collinearShare*collinearShare*(xx+yy)*(xx+yy))
}

func (c *checker) thickness(t *Thickness, p *Part, rear bool) {
	c.readings(&t.Readings)
	if !rear {
		c.add(fault.ErrConflict, "", "on a front face", "thickness on the rear face: the front face is its datum")
		return
	}
	f := p.Front
	c.refuse(f != nil && (f.Z != 0 || f.Slope != Slope{} || f.measured() != ""), fault.ErrConflict, "", "a front face at z = 0 without slope: thickness readings make it the datum", "beside a front face with a plane of its own")
}

// sweep checks a sweep, if there is one.
func (c *checker) sweep(at string, s *Sweep, p *Part, onFace bool) {
	if s == nil {
		return
	}
	c.below(at, func() {
		c.readings(&s.Readings)
		if onFace {
			c.positive("/radius", s.Radius)
			c.refuse(s.Droop != 0, fault.ErrConflict, "/droop", "no droop on a face: it belongs to bores and spigots", "%v", s.Droop)
			c.refuse(s.Lift != 0, fault.ErrConflict, "/lift", "no lift on a face: it belongs to bores and spigots", "%v", s.Lift)
		} else {
			c.refuse(s.Radius != 0, fault.ErrConflict, "/radius", "no radius: it belongs to face sweeps", "%v", s.Radius)
		}
		if s.About != "" && !(p.boreOf(s.About) >= 0 && strings.HasPrefix(s.About, p.Name+"/")) {
			c.known("/about", "bore of the same part", s.About, boreNames([]Part{*p}))
		}
	})
}

func (c *checker) readings(r *Readings) {
	if r.At != nil && len(r.At) != len(r.Values) {
		c.add(fault.ErrConflict, "/at", fmt.Sprintf("a list of %d", len(r.At)), fmt.Sprintf("as many angles as readings: %d", len(r.Values)))
		return
	}
	c.refuse(r.At != nil && r.First != 0, fault.ErrConflict, "/first", "first or at, not both", "%v", r.First)
	c.refuse(r.Closing.Given && (len(r.Values) == 0 || len(r.Values[0]) == 0), fault.ErrConflict, "/closing", "a first station that was read", "%v", r.Closing.Value)
	switch at, places := r.places(); {
	case places < len(at):
		c.add(fault.ErrRepeated, "/at", fmt.Sprintf("%d stations at %d angles", len(at), places), "each station once; repeats as a list in readings")
	case places < 3:
		c.add(fault.ErrOutOfRange, "/readings", fmt.Sprintf("%d stations read", places), "at least three stations")
	case clock.AreHours(at):
		c.add(fault.ErrOutOfRange, "/at", fmt.Sprintf("%d stations within 12°", places), "stations that go round, in degrees: 3 o'clock is 90°")
	}
}

// places are the angles at which stations were read, in order within a turn, and how many of them differ.
func (r *Readings) places() (order []float64, places int) {
	const same = 1e-9 // rad
	order, _ = r.stations(nil, nil)
	for i, a := range order {
		order[i] = float64(tolerance.Angle(a).Normalized())
	}
	slices.Sort(order)
	for i, a := range order {
		if i == 0 || a-order[i-1] > same {
			places++
		}
	}
	if places > 1 && order[0]+2*math.Pi-order[len(order)-1] <= same {
		places--
	}
	return order, places
}
