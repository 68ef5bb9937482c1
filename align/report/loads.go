package report

import (
	"math"
	"strconv"
	"strings"

	"example.com/borestack/align"
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
	t.page.heading("Side loads (estimate: straight bores, rigid but for the stiffness stated)")
	rows := [][]string{{"support", "shaft", "force N", "towards", "shaft tilt mrad", "of permitted"}}
	for i := range l.At {
		s := &l.At[i]
		size := math.Hypot(s.Force.X, s.Force.Y)
		towards := "-"
		if threeFigures(size) != "0" {
			towards = tolerance.Clock(s.Force.X, s.Force.Y).Hours()
		}
		share := "-"
		if s.TiltRatio.Given {
			share = spell.Percent(s.TiltRatio.Value)
		}
		rows = append(rows, []string{spell.Name(s.Name), spell.Name(s.Shaft), threeFigures(size), towards, spell.Mrad(steepness(s.Tilt)), share})
	}
	t.page.table(rows)
	t.page.hang(2, 2, "Force is that of the housing on the shaft, in a pocket on the shaft named; tilt is the bent shaft against the bore's axis.")
	for _, s := range l.Shafts {
		t.page.item("%s bends by %s; greatest bending stress %s N/mm² at z %s, without notches", spell.Name(s.Name), t.p.telling(s.Bend), threeFigures(s.Stress), t.p.size(s.StressAt))
	}
}

// heaviest says in one sentence which support carries most and how much its shaft bends; empty when nothing presses.
func (t *teller) heaviest() string {
	s := heaviestIn(t.res.Assembly, t.p)
	if s == "" {
		return ""
	}
	return upperFirst(s) + " (estimate)."
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

func upperFirst(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}
