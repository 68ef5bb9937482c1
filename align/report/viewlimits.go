package report

import (
	"fmt"
	"strings"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/align/study"
	"example.com/borestack/tolerance"
)

// limitChapter is every limit and how it came out, as a table, and what the shaft line needs.
func (v *viewer) limitChapter() chapter {
	c := v.collect(v.limits)[0]
	c.ID, c.Title = "limits", "Limits: what was asked, and how it came out"
	rest := c.list()
	if n := len(v.res.Verdicts); n > 0 {
		c.Passages = []passage{{Table: v.limitSheet()}}
		if rest = rest[n:]; len(rest) > 0 {
			c.Passages = append(c.Passages, passage{List: rest})
		}
	}
	return c
}

func (v *viewer) limitSheet() *sheet {
	s := &sheet{
		Caption: "Every limit of the record. Room is from the worst to the nearest limit.",
		Head:    []string{"limit", "verdict", "value", "room"},
		Right:   []bool{false, false, true, true},
	}
	for i := range v.res.Verdicts {
		s.Rows = append(s.Rows, v.limitRow(&v.res.Verdicts[i], &v.doc.Verdicts[i]))
	}
	return s
}

// limitRow is one limit: what the text report says of it, in fields.
func (v *viewer) limitRow(r *study.Verdict, d *verdictDoc) sheetRow {
	q := v.quantity(r.Limit.Output)
	what := cell{Text: v.outputWords(r.Limit)}
	if b := q.bounds(r.Limit.Least, r.Limit.Greatest); b != "" {
		what.Text += ": " + b
	}
	if r.Limit.AtRest {
		what.Small = append(what.Small, "judged where the joints rest")
	}
	what.Small = append(what.Small, origin(r))
	value := cell{Text: "cannot be said"}
	if r.Value.Given {
		value = cell{Text: q.show(r.Value.Value), Value: d.Value}
	}
	if r.Best.Given && r.Worst.Given && r.Best.Value != r.Worst.Value {
		value.Small = append(value.Small, fmt.Sprintf("best %s, worst %s over the float", q.show(r.Best.Value), q.show(r.Worst.Value)))
	}
	if r.U > 0 {
		value.Small = append(value.Small, fmt.Sprintf("standard uncertainty %s from the readings", q.show(r.U)))
	}
	room := cell{Text: "-"}
	if _, said := roomOf(v.res, r).Get(); said && r.Limit.Output.What != align.Assembles {
		room = cell{Text: strings.TrimPrefix(v.inside(r, q), "; "), Value: d.Room}
	}
	room.Small = append(room.Small, v.limitNotes(r, q)...)
	word := cell{Text: r.Word.String(), Word: r.Word.String()}
	return sheetRow{Cells: []cell{what, word, value, room}, At: v.at.limit(r.Limit)}
}

// origin says where a limit comes from.
func origin(v *study.Verdict) string {
	if v.Limit.Because == "" {
		return "its origin is not stated"
	}
	return "the limit's origin: " + spell.Clean(v.Limit.Because)
}

// figure is a number to be seen at a glance.
type figure struct {
	What  string
	Words bool // it is told in words
	cell
}

// figures are the numbers that the verdict rests on.
func (v *viewer) figures() []figure {
	var out []figure
	add := func(what string, c cell) { out = append(out, figure{what, false, c}) }
	if n := len(v.res.Verdicts); n > 0 {
		held := 0
		for i := range v.res.Verdicts {
			if v.res.Verdicts[i].Word == tolerance.Pass {
				held++
			}
		}
		add("Limits that pass", cell{Text: fmt.Sprintf("%d of %d", held, n), Value: known(float64(held))})
	}
	if l := v.res.Assembly.Line; l != nil && assembles(v.res.Assembly) {
		c := cell{Text: v.p.both(l.Margin), Value: &v.doc.Line.Margin}
		if r := l.OverFloat; r != nil {
			c.Small = append(c.Small, v.p.plain(r.WorstMargin)+" to "+v.p.length(r.BestMargin)+" over the float")
		}
		add("Margin of the shaft line (radial)", c)
		if use, ok := l.Use.Get(); ok {
			add("Use of clearance", cell{Text: spell.Percent(use), Value: v.doc.Line.Use})
		}
		if g := names(l.Governs); len(g) > 0 {
			out = append(out, figure{"What drives the use", true, cell{Text: spell.Listed(g, 3)}})
		}
		if g := names(l.MarginGoverns); len(g) > 0 {
			out = append(out, figure{"What caps the margin", true, cell{Text: spell.Listed(g, 3)}})
		}
	}
	if n := len(v.res.Doubts); n > 0 {
		add("In doubt", cell{Text: fmt.Sprint(n), Value: known(float64(n)), Small: []string{placeOf(v.rec, v.res.Doubts[0].Path)}})
	}
	for _, q := range v.res.Variations {
		least := leastYield(q)
		if least == nil {
			continue
		}
		what := "Least yield of a batch"
		if q.Because == "gauge" {
			what = "Least probability for this box"
		}
		add(what, cell{Text: twoDecimals(least.Sampled.Yield) + " %", Value: known(least.Sampled.Yield), Small: []string{outputShort(least.Limit.Output)}})
	}
	return out
}

// known is a number of the JSON report.
func known(v float64) *float64 { return &v }

// supportChapter is the table of supports, with the number behind every field.
func (v *viewer) supportChapter() []chapter {
	list := v.collect(v.supports)
	at := v.at.supports()
	for i := range list {
		c := &list[i]
		c.ID = "supports"
		c.rowsFrom(func(k int) []string {
			if k < len(at) {
				return at[k]
			}
			return nil
		})
		k := 0
		s := c.table()
		for r := range s.Rows {
			if s.Rows[r].Group {
				continue
			}
			d, cells := &v.doc.Supports[k], s.Rows[r].Cells
			for col, value := range map[int]*float64{1: &d.Z, 2: &d.Offset.Size, 4: &d.TIR, 5: known(d.Tilt.Size * 1000), 7: &d.Clearance, 8: d.Room} {
				cells[col].Value = value
			}
			k++
		}
	}
	return list
}

// readingChapter is what every set of readings came to.
func (v *viewer) readingChapter() []chapter {
	a := v.res.Assembly
	if len(a.Readings) == 0 {
		return nil
	}
	s := &sheet{Head: []string{"readings", "stations", "mean", "first harmonic", "which says", "residual sd", "sd of the mean", "sd of the first harmonic", "closing"}, Right: []bool{false, true, true, true, true, true, true, true, true}}
	optional := func(o tolerance.Optional[tolerance.Length], value *float64) cell {
		if !o.Given {
			return cell{Text: "-"}
		}
		return cell{Text: v.p.plain(o.Value), Value: value}
	}
	stack, stackErr := v.rec.Stack()
	for i := range a.Readings {
		f, d := &a.Readings[i], &v.doc.Sweeps[i]
		first, says := cell{Text: "-"}, cell{Text: "-"}
		for _, h := range f.Harmonics {
			if h.N == 1 && !f.OnThickness {
				first.Text = v.p.plain(h.Size)
			}
		}
		if !f.OnThickness && stackErr == nil {
			says.Text = sweptWords(v.p, &stack, f)
		}
		for _, h := range d.Harmonics {
			if h.N == 1 && !f.OnThickness {
				first.Value = known(h.Size)
			}
		}
		s.Rows = append(s.Rows, sheetRow{
			Cells: []cell{
				{Text: spell.Clean(strings.TrimSuffix(placeOf(v.rec, f.Path), " ("+f.Path+")"))},
				{Text: fmt.Sprint(f.Stations), Value: known(float64(f.Stations))},
				{Text: v.p.plain(f.Mean), Value: &d.Mean},
				first, says,
				optional(f.Residual, d.Residual), optional(f.MeanU, d.MeanUncertainty), optional(f.FirstU, d.FirstUncertainty), optional(f.Closing, d.Closing),
			},
			At: of(f.Path),
		})
	}
	note := fmt.Sprintf("Lengths in %s. A thickness has its wedge instead of a first harmonic: see the parts. What a sweep says is of the part as measured, seen from the tail: where the centre is off, droop and lift taken out, or where the part is thick. \"sd\" is a standard deviation: of single readings, and the standard uncertainty of mean and first harmonic where one is stated.", v.p.unit)
	return []chapter{{ID: "readings", Title: "Readings", Passages: []passage{{Table: s}, {Text: note}}}}
}
