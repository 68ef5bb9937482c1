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
		if f, face := r.find(p.pointer).(*Face); face {
			for _, at := range f.Points {
				write(p.name, "", "", r.Units.Length, at[0].written(), at[1].written(), at[2].written())
			}
			continue
		}
		b := r.block(p.pointer)
		if b == nil {
			if n := r.number(p.pointer); n.Text != "" { // else a class of fit stands in its place
				write(p.name, "", n.Text, r.Units.Length)
			}
			continue
		}
		for i, v := range b.Readings {
			if len(v.Repeats) == 0 {
				write(p.name, strconv.Itoa(i+1), "", b.unitOf(r))
			}
			for _, n := range v.Repeats {
				write(p.name, strconv.Itoa(i+1), n.written(), b.unitOf(r))
			}
		}
		if b.Closing != nil {
			write(p.name, "closing", b.Closing.written(), b.unitOf(r))
		}
	}
	out.Flush()
	if err := out.Error(); err != nil {
		return fmt.Errorf("record: %w", err)
	}
	return nil
}
