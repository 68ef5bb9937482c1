package advise

import (
	"fmt"

	"example.com/borestack/align/internal/paper"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/tolerance"
)

// Page is the measuring sheet for printing, lengths in the unit: a line for every station, to be filled in by hand.
func (p *Programme) Page(unit tolerance.Unit) *Page {
	s := sheetOf("Measuring sheet", p.Title, unit)
	s.heading("Before you begin")
	// Source: common practice, no published source.
	for _, line := range []string{
		"clean every face, stone off nicks, replace missing or damaged dowels; let parts and gauges lie 2 to 4 hours in the same room, and write the room's temperature down: ______ °C",
		"mark 12 o'clock on every part; stations run clockwise seen from the tail end looking forward, unless the task says nose",
		"turn by hand alone what is dialled; the pointer must come back to its first reading, or the round is void",
		"take a round, take the dial off, set it up again, take the round again: repeats that are not taken afresh say nothing",
	} {
		s.item("%s", line)
	}
	s.item("wanted: the result (%s) to a standard uncertainty of %s, so that its guard band is a tenth of the tolerance", outputWords(Effect{Output: p.For}), s.Both(p.Wanted))
	for i := range p.Tasks {
		s.task(i+1, &p.Tasks[i])
	}
	if len(p.Keep) > 0 {
		s.heading("Sizes in the record: measure or confirm, diameters first")
		for _, k := range p.Keep {
			s.item("%s   measured: ________", k)
		}
	}
	s.heading("Where care pays")
	for i, t := range p.Heaviest() {
		if i < 3 && t.Share > 0 {
			s.item("%s of the %s: %.0f %% of the result's variance, were all read equally well", t.What, t.Part, 100*t.Share)
		}
	}
	return &s.Page
}

// task writes one task with its blanks.
func (s *sheet) task(n int, t *Task) {
	s.heading("%d. %s: %s", n, spell.Upper(t.Part), t.What)
	s.item("gauge: %s, about %s standard uncertainty a reading; %d times each", t.Gauge.Name, s.Both(t.Gauge.U), t.Repeats)
	switch {
	case !t.Needed.Given:
		s.item("the result hardly feels it: once round is enough to find a slip")
	case t.Enough:
		s.item("good enough when the mean of a station is known to %s", s.Both(t.Needed.Value))
	default:
		s.item("wanted to %s, which this gauge does not reach: expect a wider guard band", s.Both(t.Needed.Value))
	}
	switch t.take {
	case takeThickness:
		s.item("front face is the datum, micrometer square to it, at the marked stations; it sees wedge and thickness, not bow")
	case takeFace:
		s.item("end float taken up the same way at every station; plunger in is positive")
	default:
		s.item("read the dial's droop on a stiff mandrel first (half the 12-to-6 difference): ________; plunger in is positive")
	}
	if t.About != "" {
		s.item("the dial turns about the axis of %s", t.About)
	}
	head := []string{"station", "seen from the " + side(t.FromNose, "nose", "tail")}
	for k := range t.Repeats {
		head = append(head, fmt.Sprintf("reading %d", k+1))
	}
	table := s.table(paper.Words(head...))
	line := func(name, at string) {
		row := paper.Cells(name, at)
		for range t.Repeats {
			row = append(row, paper.Cell{Text: "________"})
		}
		table.Row(nil, row...)
	}
	for k, a := range t.Stations {
		line(fmt.Sprint(k+1), spell.Direction(a))
	}
	line("closing", "the first again")
	s.item("goes to %s of the record", t.At)
}
