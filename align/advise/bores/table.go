package bores

import (
	"io"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/table"
	"example.com/borestack/tolerance"
)

// ReadTable reads bores from a table with the columns bore, x, y, z and diameter, and where known finished
// and most (see [Bore]): lengths in the unit. Another column is a fault. Lines that begin with # are skipped.
// Every fault is told, by its line.
func ReadTable(r io.Reader, unit tolerance.Unit) (out []Bore, err error) {
	t, err := table.Read(r, "bore", "x", "y", "z", "diameter")
	if err != nil {
		return nil, err
	}
	t.Only("bore", "x", "y", "z", "diameter", "finished", "most")
	for _, row := range t.Rows {
		number := func(column string) tolerance.Length { return tolerance.Length(row.Number(column)) * unit.Size() }
		out = append(out, Bore{
			Name:     row.Text("bore"),
			Centre:   align.Vec3{X: number("x"), Y: number("y"), Z: number("z")},
			Diameter: number("diameter"), Finished: row.Length("finished", unit), Most: row.Length("most", unit),
		})
	}
	return out, t.Err()
}
