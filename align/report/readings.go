package report

import (
	"fmt"
	"strings"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/paper"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/tolerance"
)

// placed says where every part ended up.
func (t *teller) placed() {
	s := t.page.Section("stack", "The stack, as understood")
	s.Wide = true
	table := s.Table(append(paper.Words("part"), paper.Numbers("x", "y", "z")...)...)
	for _, q := range t.res.Assembly.Placed {
		o := q.BaseFromPart.Origin()
		table.Row(of(t.at.named["part/"+q.Part]), paper.Cell{Text: spell.Name(q.Part)}, t.p.cell(o.X), t.p.cell(o.Y), t.p.cell(o.Z))
	}
	s.Text("Where the origin of every part's frame came to lie in the frame of the first part (%s), each joint where it lies.", t.p.Unit)
}

// readings says what every set of readings came to.
func (t *teller) readings() {
	a := t.res.Assembly
	if len(a.Readings) == 0 {
		return
	}
	s := t.page.Section("readings", "Readings")
	s.Wide = true
	table := s.Table(append(paper.Words("readings"), paper.Numbers("stations", "mean", "swing once round", "which says", "residual sd", "sd of the mean", "sd of the swing", "closing")...)...)
	optional := func(o tolerance.Optional[tolerance.Length]) paper.Cell {
		if !o.Given {
			return paper.Cell{Text: "-"}
		}
		return t.p.fine().cell(o.Value)
	}
	for i := range a.Readings {
		f := &a.Readings[i]
		first, says := paper.Cell{Text: "-"}, "-"
		if !f.OnThickness {
			first = t.firstHarmonic(f)
			if t.stack != nil {
				says = sweptWords(t.p, t.stack, f)
			}
		}
		name := spell.Clean(strings.TrimSuffix(t.at.place(f.Path), " ("+f.Path+")"))
		table.Row(of(f.Path), paper.Cell{Text: name}, paper.Number(fmt.Sprint(f.Stations), float64(f.Stations), ""), t.p.cell(f.Mean),
			first, paper.Cell{Text: says}, optional(f.Residual), optional(f.MeanU), optional(f.FirstU), optional(f.Closing))
	}
	s.Text("Lengths in %s. The swing is the part of the readings that rises and falls once a turn. A thickness has its wedge instead: see the parts. What a sweep says is of the part as measured, seen from the tail: where the centre is off, droop and lift taken out, or where the part is thick. \"sd\" is a standard deviation: of single readings, and the standard uncertainty of mean and swing where one is stated.", t.p.Unit)
}

// firstHarmonic is the size of a fit's first harmonic; one that is rounding has no number in full, as in the JSON report.
func (t *teller) firstHarmonic(f *align.ReadingFit) paper.Cell {
	c := paper.Cell{Text: "-"}
	for _, h := range f.Harmonics {
		if h.N == 1 {
			c = t.p.cell(h.Size)
			if h.Size < noOffset {
				c.Value = nil
			}
		}
	}
	return c
}
