package report

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/paper"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/tolerance"
)

func (t *teller) placed() {
	s := t.page.Section("stack", "The stack, as understood")
	s.Wide = true
	table := s.Table(paper.Words("part"), paper.Numbers("x", "y", "z"))
	for _, q := range t.res.Assembly.Placed {
		o := q.BaseFromPart.Origin()
		table.Row(of(t.at.named["part/"+q.Part]), paper.Cell{Text: spell.Name(q.Part)}, t.p.cell(o.X), t.p.cell(o.Y), t.p.cell(o.Z))
	}
	s.Text("Where the origin of every part's frame came to lie in the frame of the first part (%s), each joint where it lies.", t.p.Unit)
}

func (t *teller) readings() {
	a := t.res.Assembly
	if len(a.Readings) == 0 {
		return
	}
	s := t.page.Section("readings", "Readings")
	s.Wide = true
	table := s.Table(paper.Words("readings"), paper.Numbers("stations", "mean", "swing once round", "which says", "residual sd", "sd of the mean", "sd of the swing", "closing"))
	optional := t.p.fine().optionalCell
	for _, f := range a.Readings {
		first, says := paper.Cell{Text: "-"}, "-"
		if !f.OnThickness {
			first = t.firstHarmonic(&f)
			if t.stack != nil {
				says = sweptWords(t.p, t.stack, &f)
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
	for _, h := range f.Harmonics {
		if h.N == 1 {
			c := t.p.cell(h.Size)
			if h.Size < noOffset {
				c.Value = nil
			}
			return c
		}
	}
	return paper.Cell{Text: "-"}
}

// A dial's first harmonic says where the readings are greatest, which is seldom what is wanted: a bore swept from inside reads
// least where its centre lies. Words say where the centre is off, or where the part is thick; the JSON report keeps the readings.

// sweptSign is the sign with which a reading that grows as the plunger is pushed in follows what is said of it: a spigot reads
// most where its centre is, a bore opposite, a face where the part is thick.
func sweptSign(s *align.Sweep, bore bool) float64 {
	sign := 1.0
	if bore {
		sign = -1
	}
	if s.Out {
		sign = -sign
	}
	return sign
}

// firstOf is the first harmonic of a fit as a vector towards where the readings are greatest, times sign; false without one.
func firstOf(fit *align.ReadingFit, sign float64) (align.Vec2, bool) {
	for _, h := range fit.Harmonics {
		if h.N == 1 {
			sin, cos := math.Sincos(float64(h.Clock))
			size := tolerance.Length(sign) * h.Size
			return align.Vec2{X: tolerance.Length(sin) * size, Y: tolerance.Length(cos) * size}, true
		}
	}
	return align.Vec2{}, false
}

// sweptCentre is where a sweep of a register or bore puts the centre, from the axis that the dial turned about: droop and lift
// make it seem high. False where the readings say no direction.
func sweptCentre(s *align.Sweep, fit *align.ReadingFit, bore bool) (align.Vec2, bool) {
	e, ok := firstOf(fit, sweptSign(s, bore))
	e.Y -= s.Droop + s.Lift
	return e, ok
}

// sweptWords says what the first harmonic of a set of readings means, on the part as measured: where the centre is off, or
// where the part is thick. A dash where it says nothing: a thickness, whose plane is among the parts, or no direction.
func sweptWords(p printer, s *align.Stack, fit *align.ReadingFit) string {
	sweep, bore, face := sweepAt(s, fit.Path)
	if sweep == nil {
		return "-"
	}
	v, ok := firstOf(fit, sweptSign(sweep, bore))
	if !face {
		v, ok = sweptCentre(sweep, fit, bore)
	}
	switch off := p.Plain(v.Size()); {
	case !ok, face && off == "0":
		return "-"
	case face:
		return "part thick at " + spell.Hand(v.Clock())
	case off == "0":
		return "centre on the axis"
	default:
		return "centre off by " + off + " towards " + spell.Hand(v.Clock())
	}
}

// sweepAt finds the sweep that a pointer to readings leads to: of a bore or pilot bore, of a spigot, or of a face. Nil: it
// leads to none.
func sweepAt(s *align.Stack, path string) (sweep *align.Sweep, bore, face bool) {
	at := strings.Split(path+"////", "/") // parts, which, and below it bores, which, or front or rear, and what of it
	i, _ := strconv.Atoi(at[2])
	k, _ := strconv.Atoi(at[4])
	if at[1] != "parts" || i >= len(s.Parts) {
		return nil, false, false
	}
	p := &s.Parts[i]
	if at[3] == "bores" && k < len(p.Bores) {
		return p.Bores[k].Sweep, true, false
	}
	switch f := map[string]*align.Face{"front": p.Front, "rear": p.Rear}[at[3]]; {
	case f == nil:
	case at[4] == "sweep":
		return f.Sweep, false, true
	case at[4] == "pilot" && f.Pilot != nil:
		return f.Pilot.Sweep, f.Pilot.Kind == align.PilotBore, false
	}
	return nil, false, false
}
