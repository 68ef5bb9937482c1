package spell

import "example.com/borestack/tolerance"

// Lengths spells lengths in one unit.
type Lengths struct{ Unit tolerance.Unit }

// Plain is a deviation without its unit: a micrometre resolved, two figures of anything smaller,
// "0" for what is smaller still.
func (s Lengths) Plain(l tolerance.Length) string {
	return Fixed(l.In(s.Unit), Decimals(s.Unit), Finer)
}

// Length is a deviation with its unit.
func (s Lengths) Length(l tolerance.Length) string { return s.Plain(l) + " " + s.Unit.String() }

// Both is a deviation with its unit, and in millimetres beside inches.
func (s Lengths) Both(l tolerance.Length) string { return s.beside(l, Lengths.Length) }

// Bare is a dimension without its unit: no more decimals than a deviation, and no trailing zeros.
func (s Lengths) Bare(l tolerance.Length) string {
	return Trimmed(l.In(s.Unit), Decimals(s.Unit)+Finer)
}

// Size is a dimension with its unit.
func (s Lengths) Size(l tolerance.Length) string { return s.Bare(l) + " " + s.Unit.String() }

// Sizes is a dimension with its unit, and in millimetres beside inches.
func (s Lengths) Sizes(l tolerance.Length) string { return s.beside(l, Lengths.Size) }

// Place is a position along the shaft line, without its unit.
func (s Lengths) Place(l tolerance.Length) string {
	return Trimmed(l.In(s.Unit), max(Decimals(s.Unit)-1, 0))
}

// beside spells a length, and behind inches and thousandths of an inch the same in millimetres.
func (s Lengths) beside(l tolerance.Length, as func(Lengths, tolerance.Length) string) string {
	out := as(s, l)
	if s.Unit == tolerance.Inches || s.Unit == tolerance.Thousandths {
		out += " (" + as(Lengths{tolerance.Millimetres}, l) + ")"
	}
	return out
}
