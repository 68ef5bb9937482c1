package report

import (
	"example.com/borestack/align"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/align/record"
	"example.com/borestack/tolerance"
)

// guardBand is the guard band of a verdict, in standard uncertainties.
const guardBand = tolerance.GuardFactor95

// quantity spells an output's numbers, which come in its base unit.
type quantity struct {
	show func(v float64) string
	what align.Quantity
}

func (t *teller) quantity(o align.Output) quantity {
	show := func(v float64) string { return t.p.telling(tolerance.Length(v)) }
	switch o.What {
	case align.Use:
		show = spell.Percent
	case align.TiltSize:
		show = ratio
	case align.SideForce:
		show = newtons
	case align.TurnAngle:
		show = func(v float64) string { return spell.Degrees(tolerance.Angle(v)) }
	case align.Assembles:
		show = func(v float64) string {
			if v >= 1 {
				return "yes"
			}
			return "no"
		}
	}
	return quantity{show, o.What}
}

// bounds says the limits: "at least 0 mm", "at most 0.05 mm", "from 0.1 to 0.2 mm".
func (q quantity) bounds(least, greatest tolerance.Optional[float64]) string {
	switch {
	case q.what == align.Assembles:
		return ""
	case least.Given && greatest.Given:
		return "from " + q.show(least.Value) + " to " + q.show(greatest.Value)
	case least.Given:
		return "at least " + q.show(least.Value)
	case greatest.Given:
		return "at most " + q.show(greatest.Value)
	}
	return "without a limit"
}

// outputWords says what a limit is on.
func (t *teller) outputWords(l record.Limit) string {
	s := outputName(l.Output)
	if l.State != "" {
		s += " in state " + spell.Name(l.State)
	}
	return s
}

// outputName says what an output is, with the convention that it is read in.
func outputName(o align.Output) string {
	switch o.What {
	case align.Margin:
		return outputShort(o) + " (radial)"
	case align.OffsetSize:
		return outputShort(o) + " (centre to centre)"
	case align.TIRSize:
		return outputShort(o) + " (twice the offset)"
	}
	return outputShort(o)
}

// outputShort says what an output is.
func outputShort(o align.Output) string {
	from := ""
	if o.From != "" {
		from = " from " + spell.Name(o.From)
	}
	of := spell.Name(o.Of)
	switch o.What {
	case align.Margin:
		return "margin of the shaft line"
	case align.Use:
		return "use of clearance"
	case align.OffsetSize:
		return "offset of " + of + from
	case align.TIRSize:
		return "TIR of " + of + from
	case align.TiltSize:
		return "tilt of " + of + from
	case align.GapSize:
		return "greatest gap at " + of
	case align.TurnAngle:
		return "turn at " + of
	case align.ThicknessVariation:
		return "thickness variation of " + of
	case align.InPlane:
		return "in-plane deviation of " + of
	case align.OutOfPlane:
		return "out-of-plane deviation of " + of
	case align.ChainLength:
		return "gap of chain " + of
	case align.SideForce:
		return "side load at " + of
	case align.RunningClearance:
		return "running clearance of " + of
	}
	if of == "" {
		return "every joint assembles"
	}
	return of + " assembles"
}
