package record

import (
	"fmt"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/quantity"
	"example.com/borestack/tolerance"
)

// Limit is one limit that the result is held against, in the output's base unit: millimetres,
// radians or a ratio.
type Limit struct {
	tolerance.Limits
	Path    string // where the record states it
	Output  align.Output
	State   string // empty: as measured
	AtRest  bool   // see [Limit.Rests]
	Because string // where the limit comes from
}

// Rests reports whether the limit is judged where the joints rest, not over the float: where it says so, and where
// it is on a component of an offset or tilt. What floats may do is a matter of the size.
func (l *Limit) Rests() bool {
	switch l.Output.What {
	case align.OffsetX, align.OffsetY, align.TiltX, align.TiltY:
		return true
	}
	return l.AtRest
}

// OutputKind is an output's word in a record; empty where a record cannot name it.
func OutputKind(q align.Quantity) string { return quantity.Of(q).Word }

// unit is the record's unit of length; millimetres where it names none.
func (r *Record) unit() tolerance.Unit {
	u, err := tolerance.ParseUnit(r.Units.Length)
	if err != nil {
		return tolerance.Millimetres
	}
	return u
}

// LengthUnit is the size of the record's unit of length; a millimetre where it names none.
func (r *Record) LengthUnit() tolerance.Length { return r.unit().Size() }

// UnitOf returns the size of one record unit of an output in base units: millimetres, radians or 1.
func (r *Record) UnitOf(o align.Output) float64 {
	return quantity.Of(o.What).Measure.InRecord(r.unit())
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
		// no quantity at all for a word that nobody knows, which every evaluation refuses
		kind, unit := align.Quantity(0), 1.0
		if e, known := quantity.ByWord(a.Output.Kind); known {
			kind, unit = e.What, e.Measure.InRecord(r.unit())
		}
		out = append(out, Limit{
			Path: fmt.Sprintf("/accept/%d", i), Output: align.Output{What: kind, Of: a.Output.Of, From: a.Output.From}, State: a.Output.State,
			Limits: tolerance.Limits{Least: scaled(a.Least, unit), Greatest: scaled(a.Greatest, unit)}, AtRest: a.Over == "rest", Because: a.Because,
		})
	}
	for i := range r.Chains {
		c := &r.Chains[i]
		if c.Least == nil && c.Greatest == nil {
			continue
		}
		unit := quantity.Length.InRecord(r.unit())
		out = append(out, Limit{
			Path: fmt.Sprintf("/chains/%d", i), Output: align.Output{What: align.ChainLength, Of: c.Name},
			Limits: tolerance.Limits{Least: scaled(c.Least, unit), Greatest: scaled(c.Greatest, unit)}, Because: "the chain's own limits",
		})
	}
	return out
}

// Name names the limit in the words of a record: "tir of tail/bush, warm".
func (l Limit) Name() string {
	name := OutputKind(l.Output.What)
	if l.Output.Of != "" {
		name += " of " + l.Output.Of
	}
	if l.State != "" {
		name += ", " + l.State
	}
	return name
}
