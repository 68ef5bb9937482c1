package align

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// Bounds on a stack. Real machines stay far below; they keep a hostile record from taking for ever.
const (
	maxParts      = 40
	maxShafts     = 20
	maxSupports   = 100
	maxPockets    = 40
	maxPins       = 64 // a joint; bolts likewise
	maxReadings   = 2000
	maxPoints     = 20000
	maxCandidates = 1000
	maxTried      = 4_000_000 // candidates times readings and points of the stack, which each is checked with
	maxStates     = 20
	maxChains     = 200 // and links in each
	maxSections   = 100 // of a shaft, and loads on it
	maxListed     = 200 // faults listed by one check
)

// checker collects faults with their places.
type checker struct {
	faults []error
	broken map[int]bool // parts with faults of their own
}

func (c *checker) add(class error, path, value, want string) {
	if len(c.faults) < maxListed {
		c.faults = append(c.faults, &fault.FieldError{Path: path, Value: value, Want: want, Err: class})
	}
}

// finite and in range, or a fault.
func (c *checker) length(path string, v tolerance.Length) bool {
	switch {
	case math.IsNaN(float64(v)) || math.IsInf(float64(v), 0):
		c.add(fault.ErrNotFinite, path, fmt.Sprint(float64(v)), "a finite length")
	case math.Abs(v.Metres()) > 100:
		c.add(fault.ErrOutOfRange, path, v.String(), "a size of at most 100 m")
	default:
		return true
	}
	return false
}

func (c *checker) positive(path string, v tolerance.Length) {
	if c.length(path, v) && v <= 0 {
		c.add(fault.ErrOutOfRange, path, v.String(), "more than 0")
	}
}

func (c *checker) notNegative(path string, v tolerance.Length) {
	if c.length(path, v) && v < 0 {
		c.add(fault.ErrOutOfRange, path, v.String(), "0 or more")
	}
}

// steepest is the greatest slope, a ratio, that a face or an axis may have: no such part is turned or bored.
const steepest = 10

func (c *checker) ratio(path string, v float64) {
	if math.IsNaN(v) || math.Abs(v) > steepest {
		c.add(fault.ErrOutOfRange, path, fmt.Sprint(v), fmt.Sprintf("a slope as a ratio, at most %v", steepest))
	}
}

func (c *checker) finite(path string, v float64) {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		c.add(fault.ErrNotFinite, path, fmt.Sprint(v), "a finite number")
	}
}

// choice checks one of a few named values, counted from 0.
func (c *checker) choice(path string, got, most uint8, want string) {
	if got > most {
		c.add(fault.ErrOutOfRange, path, fmt.Sprint(got), want)
	}
}

func (c *checker) slope(path string, s Slope) {
	c.ratio(path+"/0", s.X)
	c.ratio(path+"/1", s.Y)
}

func (c *checker) vec2(path string, v Vec2) {
	c.length(path+"/0", v.X)
	c.length(path+"/1", v.Y)
}

func (c *checker) vec3(path string, v Vec3) {
	c.length(path+"/0", v.X)
	c.length(path+"/1", v.Y)
	c.length(path+"/2", v.Z)
}

// name checks one name, and that it is new.
func (c *checker) name(path, name string, seen map[string]bool) {
	switch {
	case name == "" || strings.TrimSpace(name) != name || strings.Contains(name, "/"):
		c.add(fault.ErrOutOfRange, path, strconv.Quote(name), "a name, not empty, without \"/\" or spaces at its ends")
	case seen[name]:
		c.add(fault.ErrRepeated, path, strconv.Quote(name), "each name once")
	}
	seen[name] = true
}

// known checks that a name is one of a kind.
func (c *checker) known(path, kind, name string, known map[string]bool) bool {
	if known[name] {
		return true
	}
	var list []string
	for k := range known {
		list = append(list, k)
	}
	want := "the name of a " + kind
	if near, ok := tolerance.Nearest(name, sorted(list)); ok {
		want = fmt.Sprintf("the name of a %s: perhaps %q", kind, near)
	}
	c.add(fault.ErrUnknownName, path, strconv.Quote(name), want)
	return false
}

func (c *checker) atMost(path string, n, most int) bool {
	if n > most {
		c.add(fault.ErrTooMany, path, strconv.Itoa(n), fmt.Sprintf("at most %d", most))
	}
	return n <= most
}

// Validate reports every fault of the stack, joined, in its order: each is a [fault.FieldError] whose path is a JSON Pointer into the record of the same layout. It does not judge whether the machine is any good.
func (s Stack) Validate() error {
	c := &checker{broken: map[int]bool{}}
	if len(s.Parts) == 0 {
		c.add(fault.ErrMissing, "/parts", "a list of 0", "at least one part")
		return errors.Join(c.faults...)
	}
	fits := c.atMost("/parts", len(s.Parts), maxParts) && c.atMost("/shafts", len(s.Shafts), maxShafts) &&
		c.atMost("/pockets", len(s.Pockets), maxPockets) && c.atMost("/chains", len(s.Chains), maxChains) &&
		c.atMost("/states", len(s.States), maxStates) && c.atMost("/references", len(s.References), maxSupports) && c.atMost("/meshes", len(s.Meshes), maxChains)
	if !fits {
		return errors.Join(c.faults...)
	}
	seen := map[string]bool{}
	for i := range s.Parts {
		at := fmt.Sprintf("/parts/%d", i)
		c.name(at+"/name", s.Parts[i].Name, seen)
		before := len(c.faults)
		c.part(at, &s.Parts[i])
		c.broken[i] = len(c.faults) > before
	}
	if len(s.Joints) != len(s.Parts)-1 {
		c.add(fault.ErrConflict, "/joints", fmt.Sprintf("a list of %d", len(s.Joints)), fmt.Sprintf("%d joints for %d parts", len(s.Parts)-1, len(s.Parts)))
	} else {
		names := map[string]bool{}
		for i := range s.Joints {
			at := fmt.Sprintf("/joints/%d", i)
			if name := s.JointName(i); names[name] {
				c.add(fault.ErrRepeated, at+"/name", strconv.Quote(name), "each name once")
			} else if s.Joints[i].Name != "" {
				c.name(at+"/name", name, map[string]bool{})
			}
			names[s.JointName(i)] = true
			c.joint(at, &s, i)
		}
	}
	bores := boreNames(s.Parts)
	c.shafts(&s, bores)
	c.references(&s, bores)
	c.meshes(&s, bores)
	c.chains(&s)
	c.candidates(&s)
	c.states(&s)
	return errors.Join(c.faults...)
}

func boreNames(parts []Part) map[string]bool {
	bores := map[string]bool{}
	for i := range parts {
		for _, b := range parts[i].Bores {
			bores[parts[i].Name+"/"+b.Name] = true
		}
	}
	return bores
}

func (c *checker) part(at string, p *Part) {
	before := len(c.faults)
	c.warm(at+"/temperature", p.Temperature, p.Material.Given)
	c.warm(at+"/measured_at", p.MeasuredAt, p.Material.Given)
	if p.Material.Given {
		c.finite(at+"/material/expansion", p.Material.Value.Expansion)
	}
	names := map[string]bool{}
	for i := range p.Bores {
		c.name(fmt.Sprintf("%s/bores/%d/name", at, i), p.Bores[i].Name, names)
	}
	c.face(at+"/front", p.Front, p, false)
	c.face(at+"/rear", p.Rear, p, true)
	for i := range p.Bores {
		b := &p.Bores[i]
		q := fmt.Sprintf("%s/bores/%d", at, i)
		c.vec3(q+"/centre", b.Centre)
		c.slope(q+"/slope", b.Slope)
		c.fitErrors(q+"/errors", b.Errors)
		if b.Diameter.Given {
			c.positive(q+"/diameter", b.Diameter.Value)
		}
		if b.Sweep != nil {
			if b.Centre.X != 0 || b.Centre.Y != 0 {
				c.add(fault.ErrConflict, q+"/centre", fmt.Sprintf("[%v, %v]", b.Centre.X, b.Centre.Y), "a centre across the line or a sweep, not both")
			}
			c.sweep(q+"/sweep", b.Sweep, p, false)
			c.sweptCircle(q+"/sweep/about", p, i)
		}
	}
	c.vec3(at+"/moved", p.Moved)
	if len(c.faults) == before {
		c.steep(at, p)
	}
	if len(c.faults) == before {
		c.thick(at, p)
	}
}

// fitErrors refuses causes of error that are no numbers.
func (c *checker) fitErrors(at string, list []FitError) {
	for i, e := range list {
		q := fmt.Sprintf("%s/%d", at, i)
		c.vec2(q, Vec2{e.X, e.Y})
		c.slope(q+"/slope", e.Slope)
		c.length(q+"/diameter", e.Diameter)
	}
}

// steep refuses a face whose points or readings make a plane steeper than a slope may be stated.
func (c *checker) steep(at string, p *Part) {
	l := p.Located()
	for _, side := range []struct {
		name  string
		face  *Face
		plane LocatedFace
	}{{"/front", p.Front, l.Front}, {"/rear", p.Rear, l.Rear}} {
		from := ""
		switch f := side.face; {
		case f == nil:
			continue
		case len(f.Points) > 0:
			from = "/points"
		case f.Thickness != nil:
			from = "/thickness/readings"
		case f.Sweep != nil:
			from = "/sweep/readings"
		default:
			continue
		}
		if rise := math.Hypot(side.plane.Slope.X, side.plane.Slope.Y); !(rise <= steepest) {
			c.add(fault.ErrOutOfRange, at+side.name+from, fmt.Sprintf("%.3g", rise), fmt.Sprintf("a face that rises by at most %v times the distance across it", steepest))
		}
	}
}

// thick refuses a part that is thinner than nothing: at its z axis the rear face must lie behind the front face.
func (c *checker) thick(at string, p *Part) {
	if p.Front == nil || p.Rear == nil {
		return
	}
	l := p.Located()
	if l.Rear.Z > l.Front.Z {
		return
	}
	want := fmt.Sprintf("a rear face behind the front face: more than %v at the part's z axis", l.Front.Z)
	switch {
	case len(p.Rear.Points) > 0:
		at += "/rear/points"
	case p.Rear.Thickness != nil:
		at += "/rear/thickness/readings"
	default:
		c.add(fault.ErrConflict, at+"/rear/z", l.Rear.Z.String(), want)
		return
	}
	c.add(fault.ErrConflict, at, l.Rear.Z.String(), fmt.Sprintf("%s, where these give %v", want, l.Rear.Z))
}

// warm checks that away from 20 °C a material is given.
func (c *checker) warm(path string, t tolerance.Optional[tolerance.Celsius], material bool) {
	if !t.Given {
		return
	}
	v := float64(t.Value)
	switch {
	case math.IsNaN(v) || v < -273.15 || v > 2000:
		c.add(fault.ErrOutOfRange, path, fmt.Sprint(v), "a temperature in °C from -273.15 to 2000")
	case t.Value != tolerance.Reference && !material:
		c.add(fault.ErrMissing, path, fmt.Sprintf("%v", v), "a material beside a temperature other than 20 °C")
	}
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
	c.length(at+"/z", f.Z)
	c.slope(at+"/slope", f.Slope)
	if f.Diameter.Given {
		c.positive(at+"/diameter", f.Diameter.Value)
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
	c.points(at+"/points", f.Points)
	if t := f.Thickness; t != nil {
		c.thickness(at, t, p, rear)
	}
	if f.Sweep != nil {
		c.sweep(at+"/sweep", f.Sweep, p, true)
	}
	if q := f.Pilot; q != nil {
		c.choice(at+"/pilot/kind", uint8(q.Kind), uint8(PilotBore), "a spigot or a bore")
		c.vec2(at+"/pilot/centre", q.Centre)
		c.positive(at+"/pilot/diameter", q.Diameter)
		c.slope(at+"/pilot/slope", q.Slope.Value)
		c.fitErrors(at+"/pilot/errors", q.Errors)
		if q.Sweep != nil {
			if (q.Centre != Vec2{}) {
				c.add(fault.ErrConflict, at+"/pilot/centre", fmt.Sprintf("[%v, %v]", q.Centre.X, q.Centre.Y), "a centre or a sweep, not both")
			}
			c.sweep(at+"/pilot/sweep", q.Sweep, p, false)
		}
	}
	names := map[string]bool{}
	if !c.atMost(at+"/dowels", len(f.Dowels), maxPins) {
		return
	}
	for i, d := range f.Dowels {
		q := fmt.Sprintf("%s/dowels/%d", at, i)
		c.name(q+"/name", d.Name, names)
		c.vec2(q+"/centre", d.Centre)
		c.positive(q+"/diameter", d.Diameter)
	}
}

// points checks that measured points make a plane.
func (c *checker) points(at string, pts []Vec3) {
	if len(pts) == 0 || !c.atMost(at, len(pts), maxPoints) {
		return
	}
	for i, p := range pts {
		c.vec3(fmt.Sprintf("%s/%d", at, i), p)
	}
	if len(pts) < 3 || collinear(pts) {
		c.add(fault.ErrOutOfRange, at, fmt.Sprintf("a list of %d", len(pts)), "at least three points that are not on one line")
	}
}

// collinear reports whether points seen along z lie on one line, within a millionth of their spread.
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
	return !(xx*yy-xy*xy > 1e-12*(xx+yy)*(xx+yy))
}

func (c *checker) thickness(at string, t *Thickness, p *Part, rear bool) {
	c.positive(at+"/thickness/radius", t.Radius)
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
	c.notNegative(at+"/droop", s.Droop)
	c.notNegative(at+"/lift", s.Lift)
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
	own := map[string]bool{}
	for _, b := range p.Bores {
		own[p.Name+"/"+b.Name] = true
	}
	c.known(at+"/about", "bore of the same part", s.About, own)
}

func (c *checker) readings(at string, r *Readings) {
	if !c.atMost(at+"/readings", len(r.Values), maxReadings) {
		return
	}
	for i, v := range r.Values {
		for k, x := range v {
			path := fmt.Sprintf("%s/readings/%d", at, i)
			if len(v) > 1 {
				path += fmt.Sprintf("/%d", k)
			}
			c.length(path, x)
		}
	}
	if r.At != nil && len(r.At) != len(r.Values) {
		c.add(fault.ErrConflict, at+"/at", fmt.Sprintf("a list of %d", len(r.At)), fmt.Sprintf("as many angles as readings: %d", len(r.Values)))
		return
	}
	if r.At != nil && r.First != 0 {
		c.add(fault.ErrConflict, at+"/first", r.First.String(), "first or at, not both")
	}
	for i, a := range r.At {
		c.finite(fmt.Sprintf("%s/at/%d", at, i), float64(a))
	}
	if r.Closing.Given && (len(r.Values) == 0 || len(r.Values[0]) == 0) {
		c.add(fault.ErrConflict, at+"/closing", r.Closing.Value.String(), "a first station that was read")
	}
	for path, u := range map[string]tolerance.Optional[tolerance.Length]{"/uncertainty": r.Uncertainty, "/shared_uncertainty": r.SharedUncertainty} {
		if u.Given {
			c.notNegative(at+path, u.Value)
		}
	}
	theta, _ := r.stations(nil, nil)
	turn := func(a float64) float64 { return float64(tolerance.Angle(a).Normalized()) }
	distinct := 0
	order := make([]float64, len(theta))
	for i, a := range theta {
		order[i] = turn(a)
	}
	sortFloats(order)
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
