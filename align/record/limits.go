package record

import (
	"fmt"
	"math"
	"strings"

	"example.com/borestack/align"
	"example.com/borestack/tolerance"
)

// Limit is one limit that the result is held against, in the output's base unit: millimetres, radians or a ratio.
type Limit struct {
	Path            string // where the record states it
	Output          align.Output
	State           string // empty: as measured
	Least, Greatest tolerance.Optional[float64]
	AtRest          bool   // judged where the joints rest, not over the float
	Because         string // where the limit comes from
}

// quantity reads an output's kind, and the size of its record unit in base units.
func (r *Record) quantity(kind string) (align.Quantity, float64) {
	unit := 1.0
	if u, err := tolerance.ParseUnit(r.Units.Length); err == nil {
		unit = float64(u.Size())
	}
	switch kind {
	case "margin":
		return align.Margin, unit
	case "use":
		return align.Use, 1
	case "offset":
		return align.OffsetSize, unit
	case "tir":
		return align.TIRSize, unit
	case "tilt":
		return align.TiltSize, 1
	case "gap":
		return align.GapSize, unit
	case "turn":
		return align.TurnAngle, math.Pi / 180
	case "thickness_variation":
		return align.ThicknessVariation, unit
	case "in_plane":
		return align.InPlane, unit
	case "out_of_plane":
		return align.OutOfPlane, unit
	case "chain":
		return align.ChainLength, unit
	case "side_load":
		return align.SideForce, 1
	case "clearance":
		return align.RunningClearance, unit
	}
	return align.Assembles, 1
}

// UnitOf returns the size of one record unit of an output in base units: millimetres, radians or 1.
func (r *Record) UnitOf(o align.Output) float64 {
	for _, kind := range strings.Split("margin,use,offset,tir,tilt,gap,turn,thickness_variation,in_plane,out_of_plane,chain,side_load,clearance,assembles", ",") {
		if q, unit := r.quantity(kind); q == o.What {
			return unit
		}
	}
	return 1
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
			Least: scaled(a.Least, unit), Greatest: scaled(a.Greatest, unit), AtRest: a.Over == "rest", Because: a.Because,
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
			Least: scaled(c.Least, unit), Greatest: scaled(c.Greatest, unit), Because: "the chain's own limits",
		})
	}
	return out
}
