package report

import (
	"math"
	"slices"
	"strconv"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/paper"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/tolerance"
)

// newtons is a force: three figures, none finer than a newton.
func newtons(v float64) string { return threeFigures(v) + " N" }

// threeFigures rounds to three figures, and to whole numbers at the finest.
func threeFigures(v float64) string {
	step := 1.0
	if a := math.Abs(v); a >= 1000 {
		step = math.Pow10(int(math.Floor(math.Log10(a))) - 2)
	}
	s := strconv.FormatFloat(math.Round(v/step)*step, 'f', 0, 64)
	if s == "-0" {
		return "0"
	}
	return s
}

// sideLoads is what the supports feel.
func (t *teller) sideLoads() {
	l := t.res.Assembly.Loads
	if l == nil {
		return
	}
	s := t.page.Section("loads", "Side loads (estimate: straight bores, rigid but for the stiffness stated)")
	table := s.Table(slices.Concat(paper.Words("support", "shaft"), paper.Numbers("force N"), paper.Words("towards"), paper.Numbers("shaft tilt "+t.p.slopeUnit(), "of permitted"))...)
	supports := t.at.supports()
	for i := range l.At {
		q := &l.At[i]
		size := math.Hypot(q.Force.X, q.Force.Y)
		towards := "-"
		if threeFigures(size) != "0" {
			towards = tolerance.Clock(q.Force.X, q.Force.Y).Hours()
		}
		at := of(t.at.named["pocket/"+q.Name])
		if !q.Pocket && i < len(supports) {
			at = supports[i]
		}
		table.Row(at, paper.Cell{Text: spell.Name(q.Name)}, paper.Cell{Text: spell.Name(q.Shaft)}, paper.Number(threeFigures(size), size, "N"), paper.Cell{Text: towards}, t.p.slopeCell(q.Tilt), shareCell(q.TiltRatio))
	}
	s.Text("Force is that of the housing on the shaft, in a pocket on the shaft named; tilt is the bent shaft against the bore's axis.")
	for _, q := range l.Shafts {
		s.Item("%s bends by %s; greatest bending stress %s N/mm² at z %s, without notches", spell.Name(q.Name), t.p.telling(q.Bend), threeFigures(q.Stress), t.p.Size(q.StressAt)).From(of(t.at.named["shaft/"+q.Name])...)
	}
}

// heaviest says in one sentence which support carries most and how much its shaft bends; empty when nothing presses.
func (t *teller) heaviest() string {
	s := heaviestIn(t.res.Assembly, t.p)
	if s == "" {
		return ""
	}
	return spell.Upper(s) + " (estimate)."
}

// heaviestIn is the same of one box, in the middle of a sentence.
func heaviestIn(a *align.Assembly, p printer) string {
	l := a.Loads
	if l == nil {
		return ""
	}
	var most *align.SideLoad
	for i := range l.At {
		if s := &l.At[i]; most == nil || math.Hypot(s.Force.X, s.Force.Y) > math.Hypot(most.Force.X, most.Force.Y) {
			most = s
		}
	}
	size := math.Hypot(most.Force.X, most.Force.Y)
	if threeFigures(size) == "0" {
		return ""
	}
	out := spoken(most.Name) + " carries about " + newtons(size) + " sideways"
	for _, s := range l.Shafts {
		if s.Name == most.Shaft {
			out += " and " + spoken(s.Name) + " shaft bends " + p.telling(s.Bend)
		}
	}
	return out
}
