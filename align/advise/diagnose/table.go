package diagnose

import (
	"io"
	"slices"

	"example.com/borestack/align/internal/table"
	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// ends are the words of the ends.
var ends = map[string]End{"": Middle, "front": Front, "rear": Rear}

// ReadTable reads sights from a table with the columns seen and of, and where its sights have them at, value,
// clock, u and radius: what is seen (sweep, face, end play, worn, bright, weeps), the bore, chain, mesh or joint,
// front or rear where it matters, a value and its standard uncertainty in the unit, a clock position in degrees
// from 12 or as 4:30, seen from the tail, and the radius in the unit. Which of them a sight has follows from what is
// seen (see [Seen]); another, or one that is missing, is a fault. Lines that begin with # are skipped. Every
// fault is told, by its line.
func ReadTable(r io.Reader, unit tolerance.Unit) (out []Seen, err error) {
	fields := []string{"at", "value", "clock", "u", "radius"}
	t, err := table.Read(r, "seen", "of")
	if err != nil {
		return nil, err
	}
	t.Only(append([]string{"seen", "of"}, fields...)...)
	t.Degrees("clock")
	for _, row := range t.Rows {
		v := Seen{Of: row.Text("of")}
		for kind := range kinds {
			if kinds[kind].word == row.Text("seen") {
				v.Kind = Kind(kind)
			}
		}
		has, known := v.sight(), v.Kind != 0
		if !known {
			row.Wrong("seen", "sweep, face, end play, worn, bright or weeps", fault.ErrSyntax)
		}
		for _, column := range fields {
			must, empty := slices.Contains(has.must, column), row.Text(column) == ""
			switch {
			case must && empty:
				row.Wrong(column, "what a sight of this kind has", fault.ErrSyntax)
			case known && !empty && !must && !slices.Contains(has.may, column):
				row.Wrong(column, "nothing: a sight of this kind has none", fault.ErrSyntax)
			}
		}
		if v.At, known = ends[row.Text("at")]; !known {
			row.Wrong("at", "front, rear or nothing", fault.ErrSyntax)
		}
		v.Value, v.Clock, v.U = row.Length("value", unit), row.Angle("clock"), row.Length("u", unit)
		v.Radius = row.Length("radius", unit)
		out = append(out, v)
	}
	return out, t.Err()
}
