package record

import (
	"encoding/csv"
	"fmt"
	"io"
	"strconv"
)

// WriteTable writes the table that [Fill] reads, with everything that a table can fill of the record as
// it stands: a row for every reading, or an empty one where there is none, for every measured point, and
// for every clearance. Of a blank it is what a spreadsheet is to fill in. Numbers keep their digits, in
// the unit that their row names; commas part the cells.
func (r *Record) WriteTable(w io.Writer) error {
	out := csv.NewWriter(w)
	places := r.places()
	points := false
	for _, p := range places {
		f, face := r.find(p.pointer).(*Face)
		points = points || face && len(f.Points) > 0
	}
	write := func(place, station, reading, unit string, more ...string) {
		row := []string{place, station, reading, unit}
		if points {
			row = append(row, append(more, "", "", "")[:3]...)
		}
		_ = out.Write(row) // the writer keeps its first error
	}
	write("place", "station", "reading", "unit", "x", "y", "z")
	for _, p := range places {
		to, unit := r.fillable(p.pointer)
		switch x := to.(type) {
		case *Face:
			for _, at := range x.Points {
				write(p.name, "", "", unit, at[0].written(), at[1].written(), at[2].written())
			}
		case *Number:
			if x.Text != "" { // else a class of fit stands in its place
				write(p.name, "", x.Text, unit)
			}
		case *Readings:
			for i, v := range x.Readings {
				if len(v.Repeats) == 0 {
					write(p.name, strconv.Itoa(i+1), "", unit)
				}
				for _, n := range v.Repeats {
					write(p.name, strconv.Itoa(i+1), n.written(), unit)
				}
			}
			if x.Closing != nil {
				write(p.name, "closing", x.Closing.written(), unit)
			}
		}
	}
	out.Flush()
	if err := out.Error(); err != nil {
		return fmt.Errorf("record: %w", err)
	}
	return nil
}
