package record

import (
	"fmt"
	"math"

	"example.com/borestack/align"
	"example.com/borestack/tolerance"
)

// Limit is one limit that the result is held against, in the output's base unit: millimetres, radians or a ratio.
type Limit struct {
	tolerance.Limits
	Path    string // where the record states it
	Output  align.Output
	State   string // empty: as measured
	AtRest  bool   // judged where the joints rest, not over the float
	Because string // where the limit comes from
}

// outputKind is an output's word in a record, and the size of its record unit in base units; 0: a
// length.
type outputKind struct {
	word string
	what align.Quantity
	unit float64
}

// outputKinds lists the outputs that a record can name.
func outputKinds() []outputKind {
	return []outputKind{
		{"margin", align.Margin, 0},
		{"use", align.Use, 1},
		{"offset", align.OffsetSize, 0},
		{"tir", align.TIRSize, 0},
		{"tilt", align.TiltSize, 1},
		{"gap", align.GapSize, 0},
		{"turn", align.TurnAngle, math.Pi / 180},
		{"thickness_variation", align.ThicknessVariation, 0},
		{"in_plane", align.InPlane, 0},
		{"out_of_plane", align.OutOfPlane, 0},
		{"chain", align.ChainLength, 0},
		{"assembles", align.Assembles, 1},
		{"side_load", align.SideForce, 1},
		{"clearance", align.RunningClearance, 0},
	}
}

// OutputKind is an output's word in a record; empty where a record cannot name it.
func OutputKind(q align.Quantity) string {
	for _, k := range outputKinds() {
		if k.what == q {
			return k.word
		}
	}
	return ""
}

// in is the size of the kind's record unit in base units.
func (k outputKind) in(r *Record) float64 {
	if k.unit > 0 {
		return k.unit
	}
	return float64(r.LengthUnit())
}

// LengthUnit is the size of the record's unit of length; a millimetre where it names none.
func (r *Record) LengthUnit() tolerance.Length {
	if u, err := tolerance.ParseUnit(r.Units.Length); err == nil {
		return u.Size()
	}
	return tolerance.Millimetre
}

// quantity reads an output's kind, and the size of its record unit in base units: no quantity at
// all for a word that nobody knows, which every evaluation refuses.
func (r *Record) quantity(word string) (align.Quantity, float64) {
	for _, k := range outputKinds() {
		if k.word == word {
			return k.what, k.in(r)
		}
	}
	return 0, 1
}

// UnitOf returns the size of one record unit of an output in base units: millimetres, radians or 1.
func (r *Record) UnitOf(o align.Output) float64 {
	_, unit := r.quantity(OutputKind(o.What))
	return unit
}

// Limits returns the limits in accept, in order, and then those of the chains.
func (r *Record) Limits() []Limit {
	var out []Limit
	scaled := func(n *Number, unit float64) (o tolerance.Optional[float64]) {
		if n != nil {
			o = tolerance.Given(n.Value * unit)
		}
		return o
	}
	for i := range r.Accept {
		a := &r.Accept[i]
		what, unit := r.quantity(a.Output.Kind)
		out = append(out, Limit{
			Path: fmt.Sprintf("/accept/%d", i), Output: align.Output{What: what, Of: a.Output.Of, From: a.Output.From}, State: a.Output.State,
			Limits: tolerance.Limits{Least: scaled(a.Least, unit), Greatest: scaled(a.Greatest, unit)}, AtRest: a.Over == "rest", Because: a.Because,
		})
	}
	for i := range r.Chains {
		c := &r.Chains[i]
		if c.Least == nil && c.Greatest == nil {
			continue
		}
		_, unit := r.quantity("chain")
		out = append(out, Limit{
			Path: fmt.Sprintf("/chains/%d", i), Output: align.Output{What: align.ChainLength, Of: c.Name},
			Limits: tolerance.Limits{Least: scaled(c.Least, unit), Greatest: scaled(c.Greatest, unit)}, Because: "the chain's own limits",
		})
	}
	return out
}
