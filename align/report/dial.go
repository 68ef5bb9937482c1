package report

import (
	"fmt"
	"math"
	"slices"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/paper"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/tolerance"
)

// push says which way to push each part before tightening, as readings of a dial: where to set it, where its zero is, what to
// read when it is right and within how much, what to read after tightening, and what to do when it does not come.
//
// Source: common practice, no published source.
func (t *teller) push() {
	l := t.res.Assembly.Line
	if l == nil || l.OverFloat == nil || !assembles(t.res.Assembly) {
		return
	}
	r := l.OverFloat
	s := t.page.Section("push", "Before tightening")
	moved := slices.ContainsFunc(r.Push, func(q align.Push) bool {
		return t.p.Plain(q.By) != "0" || t.p.Plain(tolerance.Length(q.Turn)*t.arm(q.Joint)) != "0"
	})
	if !moved {
		s.Item("leave the parts where they rest: no push brings more room (%s)", t.p.Length(r.BestMargin))
	} else {
		d := t.dials(r.Push)
		for i := range d.settings {
			d.steps(s, &d.settings[i])
		}
		d.after(s)
	}
	s.When(r.BestMargin < 0, "no push brings room: a part has to change")
	if slices.ContainsFunc(r.Push, func(q align.Push) bool { _, differs := t.ownTwelve(t.frontOf(q.Joint)); return differs }) {
		s.Item("o'clock here is as the machine stands, 12 o'clock up, seen from the tail")
	}
	s.Item("bolts nearest the dowels first; then slacken, tighten again and measure again before condemning a part")
}

// setting is one joint as three dials read it: at 3 o'clock and 12 o'clock of the part in front, which show its shift, and at
// the arm, which shows its turn. A dial reads more as its plunger is pushed in, and zero halfway between the ends of its travel.
type setting struct {
	push               *align.Push
	i                  int // of the joint
	arm                tolerance.Length
	zero, read, travel [3]tolerance.Length
	swing              tolerance.Length // of the push alone
}

type dials struct {
	*teller
	settings []setting
	within   tolerance.Length                     // of every reading: half of what the pushes gain is kept; 0: as closely as a dial tells
	gives    tolerance.Optional[tolerance.Length] // the margin with the readings as they are told
}

// dials works out what the readings, rounded as they are told, give, and how far they may be off.
func (t *teller) dials(push []align.Push) *dials {
	d := &dials{teller: t}
	for i := range push {
		d.settings = append(d.settings, t.setting(&push[i]))
	}
	l, step := t.res.Assembly.Line, t.step()
	// the readings as told, then for every round range each reading off by it either way
	ranges := [...]float64{20, 10, 5, 3, 2, 1}
	n := 6 * len(d.settings)
	offs := [][]float64{make([]float64, n/2)}
	for _, r := range ranges {
		for k := range n {
			row := make([]float64, n/2)
			row[k/2] = r * float64(step) * (1 - 2*float64(k%2))
			offs = append(offs, row)
		}
	}
	margins := d.margins(offs)
	if margins == nil || margins[0] <= float64(l.Margin)+noOffset {
		return d
	}
	told := margins[0]
	d.gives = tolerance.Given(tolerance.Length(told))
	// the greatest range that keeps half of the gain, all readings off at once
	for i, r := range ranges {
		lost := 0.0
		for k := 1 + i*n; k < 1+(i+1)*n; k += 2 {
			lost += told - min(told, margins[k], margins[k+1])
		}
		if lost <= (told-float64(l.Margin))/2 {
			d.within = tolerance.Length(r) * step
			break
		}
	}
	return d
}

// step is the least length that a dial shows.
func (t *teller) step() tolerance.Length {
	return tolerance.Length(math.Pow10(-spell.Decimals(t.p.Unit))) * t.p.Unit.Size()
}

func (t *teller) setting(q *align.Push) setting {
	a := t.res.Assembly
	s := setting{push: q, arm: t.arm(q.Joint)}
	s.i = max(jointAt(a, q.Joint), 0)
	j := &a.Joints[s.i]
	sin, cos := math.Sincos(float64(q.Clock))
	x, y := tolerance.Length(sin)*q.By, tolerance.Length(cos)*q.By
	// a float is told along the axes of the part in front, a push along the machine's: a rotation's inverse is its transpose
	m := a.Placed[s.i].BaseFromPart.Matrix()
	s.swing = tolerance.Length(q.Turn) * s.arm
	turn := j.TurnRange.Value
	at := [3]tolerance.Length{
		j.Float.X + tolerance.Length(m[0][0])*x + tolerance.Length(m[1][0])*y,
		j.Float.Y + tolerance.Length(m[0][1])*x + tolerance.Length(m[1][1])*y,
		tolerance.Length(j.Float.Turn+q.Turn) * s.arm,
	}
	ends := [3][2]tolerance.Length{j.ReachX, j.ReachY, {tolerance.Length(turn[0]) * s.arm, tolerance.Length(turn[1]) * s.arm}}
	for k := range at {
		s.zero[k] = (ends[k][0] + ends[k][1]) / 2
		s.travel[k] = ends[k][1] - ends[k][0]
		s.read[k] = tolerance.Length(math.Round(float64((at[k]-s.zero[k])/t.step()))) * t.step()
	}
	return s
}

// margins are the margins with every part where the dials tell, off by those amounts: three in turn for each setting, two
// shifts and what a dial reads of the turn. Nil: that cannot be.
func (d *dials) margins(offs [][]float64) []float64 {
	if d.stack == nil {
		return nil
	}
	s, a := *d.stack, d.res.Assembly
	s.Candidates, s.States, s.Joints = nil, nil, slices.Clone(s.Joints)
	for i := range s.Joints {
		at := a.Joints[i].Float
		s.Joints[i].Float = &at
	}
	var sources []align.Source
	move := func(name string, of align.Number, gain float64) {
		sources = append(sources, align.Source{Name: name, Moves: []align.Move{{Of: of, Gain: gain}}})
	}
	for _, q := range d.settings {
		f, arm := s.Joints[q.i].Float, float64(max(q.arm, tolerance.Millimetre))
		f.X, f.Y = q.zero[0]+q.read[0], q.zero[1]+q.read[1]
		if q.arm > 0 {
			f.Turn = tolerance.Angle((q.zero[2] + q.read[2]) / q.arm)
		}
		name := q.push.Joint
		move(name+" x", align.NumberOf(func(s *align.Stack) *tolerance.Length { return &s.Joints[q.i].Float.X }), 1)
		move(name+" y", align.NumberOf(func(s *align.Stack) *tolerance.Length { return &s.Joints[q.i].Float.Y }), 1)
		move(name+" turn", align.NumberOf(func(s *align.Stack) *tolerance.Angle { return &s.Joints[q.i].Float.Turn }), 1/arm)
	}
	p, err := s.Compile(sources, nil, []align.Output{{What: align.Margin}})
	if err != nil {
		return nil
	}
	in, out := make([][]float64, len(sources)), make([]float64, len(offs))
	for k := range in {
		for _, row := range offs {
			in[k] = append(in[k], row[k])
		}
	}
	if p.NewEvaluator().Evaluate([][]float64{out}, in, len(offs)) != nil {
		return nil
	}
	return out
}

// arm is how far from the axis a dial for the turn of a joint's rear part stands: at its contact ring, or its register. 0:
// nothing says how far.
func (t *teller) arm(joint string) tolerance.Length {
	i := jointAt(t.res.Assembly, joint)
	if t.stack == nil || i < 0 {
		return 0
	}
	switch f := t.stack.Parts[i+1].Facing(false); {
	case f == nil:
		return 0
	case f.Diameter.Given:
		return f.Diameter.Value / 2
	case f.Pilot != nil:
		return f.Pilot.Diameter / 2
	}
	return 0
}

func (d *dials) steps(s *paper.Section, q *setting) {
	rear, front := d.behind(q.push.Joint), "the "+spell.Name(d.frontOf(q.push.Joint))
	shifts, turns := d.p.Plain(q.push.By) != "0", d.p.Plain(q.swing) != "0"
	how := "leave " + rear + " where it rests"
	if shifts {
		how = fmt.Sprintf("push %s towards %s by %s", rear, q.push.Clock.Hours(), d.p.Both(q.push.By))
	}
	if turns {
		way := spell.Either(q.swing < 0, "anticlockwise", "clockwise")
		how += fmt.Sprintf(", and turn it %s by %s at a radius of %s", way, d.p.Both(max(q.swing, -q.swing)), d.p.Size(q.arm))
	}
	item := s.Item("%s (joint %s)", how, spell.Name(q.push.Joint))
	item.From(of(d.at.named["joint/"+q.push.Joint])...)
	if !shifts && !turns {
		return
	}
	add := (*clauses)(&item.More).add
	up, _ := d.ownTwelve(d.frontOf(q.push.Joint))
	where := [3]string{(up + math.Pi/2).Hours(), up.Hours(), ""}
	add("set: two dials on %s, plungers on the rim of %s and pointing at the middle, at %s and %s", front, rear, where[1], where[0])
	order := []int{1, 0}
	if turns {
		where[2] = "for the turn"
		order = append(order, 2)
		add("set: a third dial to a lug or bolt head at a radius of %s, so that turning clockwise pushes its plunger in", d.p.Size(q.arm))
	}
	var travel, read []string
	for _, k := range order {
		at := where[k]
		if k < 2 {
			at = "at " + at
		}
		travel = append(travel, at+" "+d.p.Length(q.travel[k]))
		read = append(read, at+" "+d.reading(q.read[k]))
	}
	add("zero: push gently to both ends and set every dial to zero halfway; the travel should be %s", spell.List(travel))
	add("push until they read %s", spell.List(read))
}

// reading is what a dial reads when it is right, and within how much.
func (d *dials) reading(v tolerance.Length) string {
	sign := func(v tolerance.Length) string {
		s := d.p.Plain(v)
		if v > 0 && s != "0" {
			s = "+" + s
		}
		return s
	}
	s := sign(v) + " " + d.p.Unit.String()
	s += spell.If(d.within > 0, " ("+sign(v-d.within)+" to "+sign(v+d.within)+")")
	return s
}

func (d *dials) after(s *paper.Section) {
	l := d.res.Assembly.Line
	r := l.OverFloat
	s.Item("that takes the margin from %s at rest to %s; pushed the worst way it is %s", d.p.Length(l.Margin), d.p.Length(d.gives.Or(r.BestMargin)), d.p.Length(r.WorstMargin))
	s.When(d.gives.Given && d.within > 0, "with every dial within its range at least half of that gain is kept")
	s.Item("after tightening every dial must read what it read before, within its range; if one has walked, slacken, push again, and tighten the bolts on the far side first")
	s.Item("if a reading does not come, do not force it: look for a burr, dirt or a tight dowel; if the travel is less than it should be, the clearances are not those of the record: measure them again")
}
