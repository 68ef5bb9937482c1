package record

import (
	"fmt"
	"math"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/tolerance"
)

// Remark is what one place of the record was taken to mean, or looks like.
type Remark struct {
	Path string // JSON Pointer
	Text string // a sentence
}

// String says where and what.
func (u Remark) String() string { return u.Path + ": " + u.Text }

// remarks collect what is said of a record and its stack.
type remarks struct {
	rec  *Record
	unit tolerance.Unit
	list []Remark
}

// say adds a remark; what a class of fit gives rests on the class.
func (u *remarks) say(path, format string, args ...any) {
	u.list = append(u.list, Remark{u.rec.restsOn(path), fmt.Sprintf(format, args...)})
}

// remark is what is said of a record that decodes; nothing of another.
func (r *Record) remark(say func(u *remarks, s *align.Stack)) []Remark {
	s, err := r.Stack()
	if err != nil || s.Validate() != nil {
		return nil
	}
	u := &remarks{rec: r, unit: r.unit()}
	say(u, &s)
	return u.list
}

// Understood says what no rule can check and an eye can: what a dial would show of a centre that
// was typed (an offset, or its TIR?), where a round's readings were taken to be (the sense of the
// clock, the end it is seen from), and what a block in a unit of its own comes to. Parts first,
// then candidates.
func (r *Record) Understood() []Remark {
	return r.remark(func(u *remarks, s *align.Stack) { r.eachPart(s, u.part) })
}

func (u *remarks) part(written *Part, p *align.Part, at string) {
	for _, side := range written.sides() {
		if q := side.face.Pilot; q != nil && q.Centre != nil {
			u.centre(at+"/"+side.name+"/pilot/centre", "the pilot of "+spell.Name(p.Name), side.of(p).Pilot.Centre)
		}
	}
	for i := range p.Bores {
		if written.Bores[i].Centre != nil {
			c := p.Bores[i].Centre
			u.centre(fmt.Sprintf("%s/bores/%d/centre", at, i), spell.Name(p.Bores[i].Name)+" in "+spell.Name(p.Name), align.Vec2{X: c.X, Y: c.Y})
		}
	}
	eachRoundPoints(written, at, u.pointsRound)
	eachRound(written, at, u.unit.String(), u.round)
}

// centre says a centre that is nearly on the axis as a dial would show it.
func (u *remarks) centre(path, what string, c align.Vec2) {
	const nearly = 2 * tolerance.Millimetre // farther off is meant to be elsewhere
	off := tolerance.Length(math.Hypot(float64(c.X), float64(c.Y)))
	if off == 0 || off > nearly {
		return
	}
	u.say(path, "%s stands %s off the part's z axis, towards %s: that is %s TIR on a dial turned about it",
		what, off.Format(u.unit), tolerance.Clock(float64(c.X), float64(c.Y)).Hours(), (2 * off).Format(u.unit))
}

// round says where a round's readings are.
func (u *remarks) round(q *round) {
	most := 0
	for k, v := range q.value {
		if v > q.value[most] {
			most = k
		}
	}
	text := ""
	if len(q.value) > 1 {
		a, b := q.station[0], q.station[1]
		text = fmt.Sprintf("reading %d, %s %v, is %s; reading %d, %s, %s", a+1, q.say(q.value[0], 1), q.unit, q.clock(a), b+1, q.say(q.value[1], 1), q.clock(b))
	}
	if q.span() > 0 {
		k := q.station[most]
		text += fmt.Sprintf("; the greatest, %s, %s", q.say(q.value[most], 1), q.clock(k))
		if q.SeenFrom != "nose" {
			nose := tolerance.Angle(-q.degrees(k) * math.Pi / 180)
			text += " seen from the tail, " + nose.Hours() + " from the nose"
		}
	}
	if q.own && q.unit != u.unit {
		text += fmt.Sprintf("; they range over %s %v, which is %s", q.say(q.span(), 1), q.unit, (tolerance.Length(q.span()) * q.unit.Size()).Format(u.unit))
	}
	u.say(q.at, "%s", text)
}
