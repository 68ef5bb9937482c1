package advise

import (
	"math"
	"slices"
	"strings"

	"example.com/borestack/align"
	"example.com/borestack/tolerance"
)

// marked is the clock angle of station k of r, clockwise seen from the tail of the part as measured.
func marked(r *align.Readings, k int) tolerance.Angle {
	a := r.First + tolerance.Angle(2*math.Pi*float64(k)/float64(len(r.Values)))
	if r.At != nil {
		a = r.At[k]
	}
	if r.FromNose {
		a = -a
	}
	return a
}

// addTo adds what of gives at each station's angle to every reading there.
func addTo(r *align.Readings, of func(theta tolerance.Angle) tolerance.Length) {
	for k := range r.Values {
		d := of(marked(r, k))
		for n := range r.Values[k] {
			r.Values[k][n] += d
		}
		if k == 0 && r.Closing.Given {
			r.Closing.Value += d
		}
	}
}

// along is the component of v in the direction of a clock angle.
func along(v align.Vec2, theta tolerance.Angle) tolerance.Length {
	sn, cs := math.Sincos(float64(theta))
	return v.X*tolerance.Length(sn) + v.Y*tolerance.Length(cs)
}

// shiftSwept makes the readings those of a centre that is v further on: with "in" positive a spigot reads +e·u(θ), a bore -e·u(θ). The readings keep their uncertainty.
func shiftSwept(w *align.Sweep, bore bool, v align.Vec2) {
	sign := tolerance.Length(1)
	if bore != w.Out {
		sign = -1
	}
	addTo(&w.Readings, func(t tolerance.Angle) tolerance.Length { return sign * along(v, t) })
}

// moveBore moves a support bore by By towards Clock, on the part as measured. Features that were swept about it stay where they are.
func (c Correction) moveBore(s *align.Stack) error {
	part, bore, _ := strings.Cut(c.Place, "/")
	if i := partNamed(s, part); i >= 0 {
		if b := slices.IndexFunc(s.Parts[i].Bores, func(b align.Bore) bool { return b.Name == bore }); b >= 0 {
			shiftBore(&s.Parts[i], b, towards(c.By, c.Clock))
			return nil
		}
	}
	return c.unknown("a bore of the stack, \"part/bore\"")
}

// shiftBore moves bore b by v in the part's frame, and takes the same off the sweeps that turned about it.
func shiftBore(p *align.Part, b int, v align.Vec2) {
	q := &p.Bores[b]
	if q.Sweep != nil {
		shiftSwept(q.Sweep, true, v)
	} else {
		q.Centre.X += v.X
		q.Centre.Y += v.Y
	}
	about := p.Name + "/" + q.Name
	back := align.Vec2{X: -v.X, Y: -v.Y}
	for k := range p.Bores {
		if w := p.Bores[k].Sweep; k != b && w != nil && sameBore(w.About, about) {
			shiftSwept(w, true, back)
		}
	}
	for _, f := range []*align.Face{p.Front, p.Rear} {
		if f != nil && f.Pilot != nil && f.Pilot.Sweep != nil && sameBore(f.Pilot.Sweep.About, about) {
			shiftSwept(f.Pilot.Sweep, f.Pilot.Kind == align.PilotBore, back)
		}
	}
}

// sameBore compares bores of one part: a candidate keeps its own name in the sweeps it brought.
func sameBore(a, b string) bool {
	_, x, _ := strings.Cut(a, "/")
	_, y, _ := strings.Cut(b, "/")
	return a != "" && x == y
}
