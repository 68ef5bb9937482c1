package bores

import (
	"strings"

	"example.com/borestack/align/draw"
	"example.com/borestack/align/internal/paper"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/align/sheet"
	"example.com/borestack/tolerance"
)

// Page says what to do to each bore, lengths in the unit.
func (l *Line) Page(unit tolerance.Unit) *sheet.Page {
	say := spell.Lengths{Unit: unit}
	page := &paper.Page{Title: "Bores to bring into line"}
	s := page.Section("moves", "Move of each bore, from where it is to the common axis")
	table := s.Table(paper.Words("bore", "do"), paper.Numbers("move", "across", "up"), paper.Words("towards"), paper.Numbers("bore to", "sleeve wall", "left in the casting"))
	none := paper.Cell{Text: "-"}
	for i := range l.Moves {
		m := &l.Moves[i]
		length := func(v tolerance.Length, is bool, spelled func(tolerance.Length) string) paper.Cell {
			if !is {
				return none
			}
			return paper.Number(spelled(v), float64(v), "mm")
		}
		towards := none
		if m.By.Size() > atRest {
			towards.Text = spell.Hand(m.By.Clock())
		}
		table.Row(nil, paper.Cell{Text: m.Name}, paper.Cell{Text: m.Deed.String()},
			paper.Number(say.Length(m.By.Size()), float64(m.By.Size()), "mm"),
			paper.Number(say.Plain(m.By.X), float64(m.By.X), "mm"), paper.Number(say.Plain(m.By.Y), float64(m.By.Y), "mm"), towards,
			length(m.To, m.To > 0, say.Size), length(m.Wall, m.Wall > 0, say.Length), length(m.Left, m.Deed != Keep || m.Left > 0, say.Length))
	}
	switch names := strings.Join(l.Govern, ", "); {
	case l.Share > 1: // by far, where there is next to none
		s.Text("The axis takes more than the room to move that the casting leaves, most of all: %s.", names)
	case names != "":
		s.Text("The axis takes %.0f %% of the room to move where it takes most: %s.", 100*l.Share, names)
	}
	s.Text("Across is to the right and up towards 12 o'clock, seen from the tail. What is left in the casting is diameter that the drawing or maker still allows; below zero, what is lacking.")
	s.Text("%s", caution)
	return sheet.New(page, "borestack-bores/1", func() ([]paper.Picture, error) { return l.pictures(unit) })
}

// pictures are how far each bore is off the axis, across and up.
func (l *Line) pictures(unit tolerance.Unit) (out []paper.Picture, err error) {
	for _, view := range []struct {
		name, of string
		off      func(m *Move) tolerance.Length
	}{
		{"across", "off the axis, to the right", func(m *Move) tolerance.Length { return -m.By.X }},
		{"up", "off the axis, up", func(m *Move) tolerance.Length { return -m.By.Y }},
	} {
		s := draw.Series{Of: view.of, Unit: unit.String(), Because: "Seen from the tail; the centre is the common axis."}
		for _, i := range l.along {
			s.Places = append(s.Places, l.Moves[i].Name)
			s.Points = append(s.Points, view.off(&l.Moves[i]).In(unit))
		}
		var b strings.Builder
		if err := draw.Line(&b, s, draw.Options{Unit: unit, ID: view.name}); err != nil {
			return nil, err
		}
		out = append(out, paper.Picture{Caption: spell.Upper(view.of), SVG: b.String(), Name: view.name})
	}
	return out, nil
}

const caution = "An estimate from your readings: mind the maker's least wall, sleeve fit and the centre distance of gears, which move with the axis."
