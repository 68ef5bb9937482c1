package align

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

func (c *checker) part(at string, p *Part) {
	before := len(c.faults)
	c.warm(at+"/temperature", p.Temperature, p.Material.Given)
	c.warm(at+"/measured_at", p.MeasuredAt, p.Material.Given)
	if !c.values(at, p) {
		return
	}
	c.face(at+"/front", p.Front, p, false)
	c.face(at+"/rear", p.Rear, p, true)
	for i := range p.Bores {
		b := &p.Bores[i]
		q := fmt.Sprintf("%s/bores/%d", at, i)
		if b.Sweep != nil {
			if b.Centre.X != 0 || b.Centre.Y != 0 {
				c.add(fault.ErrConflict, q+"/centre", fmt.Sprintf("[%v, %v]", b.Centre.X, b.Centre.Y), "a centre across the line or a sweep, not both")
			}
			c.sweep(q+"/sweep", b.Sweep, p, false)
			c.sweptCircle(q+"/sweep/about", p, i)
		}
	}
	if len(c.faults) == before {
		c.planes(at, p)
	}
}

// planes refuses a face whose points or readings make a plane steeper than a slope may be stated,
// and a part that is thinner than nothing: at its z axis the rear face must lie behind the front
// face.
func (c *checker) planes(at string, p *Part) {
	l := p.Located()
	before := len(c.faults)
	for side, plane := range [2]LocatedFace{l.Front, l.Rear} {
		f, to := [2]*Face{p.Front, p.Rear}[side], at+[2]string{"/front", "/rear"}[side]
		if f == nil || f.measured() == "" {
			continue
		}
		if rise := math.Hypot(plane.Slope.X, plane.Slope.Y); !(rise <= steepest) {
			c.add(fault.ErrOutOfRange, to+f.measured(), fmt.Sprintf("%.3g", rise), fmt.Sprintf("a face that rises by at most %v times the distance across it", steepest))
		}
	}
	if len(c.faults) > before || p.Front == nil || p.Rear == nil || l.Rear.Z > l.Front.Z {
		return
	}
	want := fmt.Sprintf("a rear face behind the front face: more than %v at the part's z axis", l.Front.Z)
	to := at + "/rear/z"
	if p.Rear.Sweep == nil && p.Rear.measured() != "" { // a sweep gives the slope alone
		to = at + "/rear" + p.Rear.measured()
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
func (c *checker) sweptCircle(path string, p *Part, i int) {
	at := i
	for range p.Bores {
		s := p.Bores[at].Sweep
		if s == nil || s.About == "" {
			return
		}
		_, name, _ := strings.Cut(s.About, "/")
		next := -1
		for k := range p.Bores {
			if p.Bores[k].Name == name {
				next = k
			}
		}
		if next < 0 {
			return
		}
		if at = next; at == i {
			c.add(fault.ErrConflict, path, strconv.Quote(p.Bores[i].Sweep.About), "a bore that is not itself swept about this one")
			return
		}
	}
}

func (c *checker) face(at string, f *Face, p *Part, rear bool) {
	if f == nil {
		return
	}
	ways := 0
	for _, w := range []bool{len(f.Points) > 0, f.Thickness != nil, f.Sweep != nil} {
		if w {
			ways++
		}
	}
	if ways > 1 {
		c.add(fault.ErrConflict, at, "several", "one of points, thickness and sweep")
	}
	if ways == 1 && (f.Slope != Slope{}) {
		c.add(fault.ErrConflict, at+"/slope", fmt.Sprintf("[%v, %v]", f.Slope.X, f.Slope.Y), "no slope beside points, thickness or a sweep, which give it")
	}
	if f.Sweep == nil && ways == 1 && f.Z != 0 {
		c.add(fault.ErrConflict, at+"/z", f.Z.String(), "no z beside points or thickness, which give it")
	}
	if n := len(f.Points); n > 0 && (n < 3 || collinear(f.Points)) {
		c.add(fault.ErrOutOfRange, at+"/points", fmt.Sprintf("a list of %d", n), "at least three points that are not on one line")
	}
	if t := f.Thickness; t != nil {
		c.thickness(at, t, p, rear)
	}
	if f.Sweep != nil {
		c.sweep(at+"/sweep", f.Sweep, p, true)
	}
	if q := f.Pilot; q != nil && q.Sweep != nil {
		if (q.Centre != Vec2{}) {
			c.add(fault.ErrConflict, at+"/pilot/centre", fmt.Sprintf("[%v, %v]", q.Centre.X, q.Centre.Y), "a centre or a sweep, not both")
		}
		c.sweep(at+"/pilot/sweep", q.Sweep, p, false)
	}
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

func (c *checker) thickness(at string, t *Thickness, p *Part, rear bool) {
	c.readings(at+"/thickness", &t.Readings)
	if !rear {
		c.add(fault.ErrConflict, at+"/thickness", "on a front face", "thickness on the rear face: the front face is its datum")
		return
	}
	if f := p.Front; f != nil && (f.Z != 0 || f.Slope != Slope{} || len(f.Points) > 0 || f.Thickness != nil || f.Sweep != nil) {
		c.add(fault.ErrConflict, at+"/thickness", "beside a front face with a plane of its own", "a front face at z = 0 without slope: thickness readings make it the datum")
	}
}

func (c *checker) sweep(at string, s *Sweep, p *Part, onFace bool) {
	c.readings(at, &s.Readings)
	switch {
	case onFace:
		c.positive(at+"/radius", s.Radius)
		if s.Droop != 0 {
			c.add(fault.ErrConflict, at+"/droop", s.Droop.String(), "no droop on a face: it belongs to bores and spigots")
		}
		if s.Lift != 0 {
			c.add(fault.ErrConflict, at+"/lift", s.Lift.String(), "no lift on a face: it belongs to bores and spigots")
		}
	case s.Radius != 0:
		c.add(fault.ErrConflict, at+"/radius", s.Radius.String(), "no radius: it belongs to face sweeps")
	}
	if s.About == "" {
		return
	}
	c.known(at+"/about", "bore of the same part", s.About, nameSet(p.Bores, func(b *Bore) string { return p.Name + "/" + b.Name }))
}

func (c *checker) readings(at string, r *Readings) {
	if r.At != nil && len(r.At) != len(r.Values) {
		c.add(fault.ErrConflict, at+"/at", fmt.Sprintf("a list of %d", len(r.At)), fmt.Sprintf("as many angles as readings: %d", len(r.Values)))
		return
	}
	if r.At != nil && r.First != 0 {
		c.add(fault.ErrConflict, at+"/first", r.First.String(), "first or at, not both")
	}
	if r.Closing.Given && (len(r.Values) == 0 || len(r.Values[0]) == 0) {
		c.add(fault.ErrConflict, at+"/closing", r.Closing.Value.String(), "a first station that was read")
	}
	theta, _ := r.stations(nil, nil)
	turn := func(a float64) float64 { return float64(tolerance.Angle(a).Normalized()) }
	distinct := 0
	order := make([]float64, len(theta))
	for i, a := range theta {
		order[i] = turn(a)
	}
	slices.Sort(order)
	const same = 1e-9 // rad
	for i, a := range order {
		if i == 0 || a-order[i-1] > same {
			distinct++
		}
	}
	if distinct > 1 && order[0]+2*math.Pi-order[len(order)-1] <= same {
		distinct--
	}
	switch {
	case distinct < len(theta):
		c.add(fault.ErrRepeated, at+"/at", fmt.Sprintf("%d stations at %d angles", len(theta), distinct), "each station once; repeats as a list in readings")
	case distinct < 3:
		c.add(fault.ErrOutOfRange, at+"/readings", fmt.Sprintf("%d stations read", distinct), "at least three stations")
	}
}
