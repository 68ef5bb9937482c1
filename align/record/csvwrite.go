package record

import (
	"encoding/csv"
	"fmt"
	"io"
	"strconv"
)

// WriteTable writes the table that [Fill] reads, with everything that a table can fill of the record as
// it stands: a row for every reading and for the closing one, empty where there is none, for every
// measured point, and for every clearance. Of a blank it is what a spreadsheet is to fill in. Numbers keep their digits, in
// the unit that their row names; commas part the cells.
func (r *Record) WriteTable(w io.Writer) error {
	rows := [][]string{{"place", "station", "reading", "unit", "x", "y", "z"}}
	points := false
	for _, p := range r.places() {
		to, unit := r.fillable(p.pointer)
		row := func(station, reading string) {
			rows = append(rows, []string{p.name, station, reading, unit, "", "", ""})
		}
		switch x := to.(type) {
		case *Face:
			for _, at := range x.Points {
				rows = append(rows, []string{p.name, "", "", unit, at[0].written(), at[1].written(), at[2].written()})
				points = true
			}
		case *Number:
			if x.Text != "" { // else a class of fit stands in its place
				row("", x.Text)
			}
		case *Readings:
			for i, v := range x.Readings {
				if len(v.Repeats) == 0 {
					row(strconv.Itoa(i+1), "")
				}
				for _, n := range v.Repeats {
					row(strconv.Itoa(i+1), n.written())
				}
			}
			closing := ""
			if x.Closing != nil {
				closing = x.Closing.written()
			}
			row("closing", closing)
		}
	}
	if !points {
		for i := range rows {
			rows[i] = rows[i][:4]
		}
	}
	if err := csv.NewWriter(w).WriteAll(rows); err != nil {
		return fmt.Errorf("record: %w", err)
	}
	return nil
}
