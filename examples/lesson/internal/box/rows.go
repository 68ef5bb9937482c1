package box

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"example.com/borestack/align"
	"example.com/borestack/tolerance"
)

// Row is one thing that can be measured or reckoned, and what it comes to.
type Row struct{ Name, Value string }

// Say prints a length as the lesson does: to the micrometre, or to a tenth of a thousandth of an inch.
func Say(l tolerance.Length, unit tolerance.Unit) string {
	digits := 3
	if unit == tolerance.Inches {
		digits = 4
	}
	s := strconv.FormatFloat(l.In(unit), 'f', digits, 64)
	if zero := strconv.FormatFloat(0, 'f', digits, 64); s == "-"+zero {
		s = zero
	}
	return strings.Replace(s, "-", "−", 1) + " " + unit.String()
}

// oClock says a clock angle as a time to the nearest half hour.
func oClock(a tolerance.Angle) string {
	halves := int(math.Round(a.Normalized().Degrees()/15)) % 24
	hour := halves / 2
	if hour == 0 {
		hour = 12
	}
	return fmt.Sprintf("%d:%02d", hour, halves%2*30)
}

// Sentence is the verdict with its reason.
func (v *View) Sentence(unit tolerance.Unit) string {
	say := func(l tolerance.Length) string { return Say(l, unit) }
	switch {
	case !v.GoesOn:
		j := v.plateJoint()
		return "The plate does not go on: every clearance lacks " + say(j.Interference.Length()) + " on diameter. " + list(j.Fouls) + " in the way."
	case v.Verdict == tolerance.Fail:
		return "Straight shafts have no room however the plate is pushed: at best the clearances lack " + say(-v.Best) + " on radius."
	case v.Verdict == tolerance.Depends:
		push := ""
		for _, p := range v.Assembly.Line.OverFloat.Push {
			if p.Joint == PlateJoint && p.By > 0 {
				push = " Before tightening, push the plate " + say(p.By) + " towards " + oClock(p.Clock) + "."
			}
		}
		return "Straight shafts have room only if the plate is pushed well: margin " + say(v.Worst) + " at worst, " + say(v.Best) + " at best, on radius." + push
	}
	return "Straight shafts have room however the plate lies: " + say(v.Worst) + " is left on radius at worst."
}

// list joins names: "peg and second peg stand".
func list(names []string) string {
	switch len(names) {
	case 0:
		return "Something stands"
	case 1:
		return "The " + names[0] + " stands"
	}
	s := "The " + names[0]
	for _, n := range names[1:] {
		s += " and the " + n
	}
	return s + " stand"
}

// Rows are what gauges would read on this box, and the margins.
func (v *View) Rows(unit tolerance.Unit) []Row {
	say := func(l tolerance.Length) string { return Say(l, unit) }
	micrometer := "the same all round"
	if v.Knobs.Wedge > 0 {
		thick := v.Knobs.WedgeClock + v.Knobs.Turn
		micrometer = say(v.Knobs.Wedge) + " thicker at " + oClock(thick) + " than opposite"
	}
	feeler := "nothing goes in: flush all round"
	if v.Gap > 0 {
		feeler = say(v.Gap) + " goes in at " + oClock(v.Knobs.Turn) + " and " + oClock(v.Knobs.Turn+tolerance.Degree*180)
	}
	dial := func(o align.Vec2) string {
		if size(o) < 5e-5 {
			return "TIR " + say(0) + ": on the input shaft's line"
		}
		return "TIR " + say(2*size(o)) + ": offset " + say(size(o)) + " towards " + oClock(tolerance.Clock(float64(o.X), float64(o.Y)))
	}
	j := v.plateJoint()
	lies := "register clearance " + say(j.Pilot.Clearance.Length()) + " on diameter; the plate can be shaken " + say(v.Shake)
	if t, ok := j.TurnRange.Get(); ok && len(j.Pins) > 0 && t[1] > t[0] {
		lies += " and turned " + strconv.FormatFloat((t[1]-t[0]).Degrees(), 'f', 3, 64) + "°"
	}
	use, tight, margin := v.driven(), v.capped(), say(v.Rest)+" at rest; "+say(v.Worst)+" to "+say(v.Best)+" as it may lie"
	if !v.GoesOn {
		const nothing = "nothing to say: the plate does not go on"
		use, tight, margin = nothing, nothing, nothing
	}
	return []Row{
		{"Micrometer round the plate", micrometer},
		{"Feeler, case to plate", feeler},
		{"Dial in the main bearing's bore", dial(v.Main)},
		{"Dial in the tail bush's bore", dial(v.Tail)},
		{"Play of the plate", lies},
		{"Misalignment uses up", use},
		{"Margin, on radius", margin},
		{"What caps the margin", tight},
	}
}

// driven says what misalignment uses of the clearances where the plate rests, and which supports drive that.
func (v *View) driven() string {
	l := v.Assembly.Line
	use, ok := l.Use.Get()
	if !ok || use < 0.005 || len(l.Governs) == 0 {
		return "none of the clearances"
	}
	return strconv.Itoa(int(math.Round(100*use))) + " % of the clearances; what drives it most: " + places(l.Governs, 2)
}

// capped names the supports that cap the margin where the plate rests, often the tightest bearings, whatever the misalignment.
func (v *View) capped() string {
	if l := v.Assembly.Line; len(l.MarginGoverns) > 0 {
		return places(l.MarginGoverns, 3)
	}
	return "no one support"
}

// places are at most that many supports and pockets, by the names of their bores.
func places(list []tolerance.Share, most int) string {
	var out []string
	for _, g := range list[:min(most, len(list))] {
		_, bore, within := strings.Cut(g.Name, "/")
		if !within {
			bore = g.Name
		}
		out = append(out, bore)
	}
	return strings.Join(out, ", ")
}
