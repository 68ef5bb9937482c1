//go:build js && wasm

// Command page is the lesson in the browser: it gives the page a few functions, each a plain question to the library, and draws nothing itself. Arguments and results are strings, numbers and plain objects; whatever cannot be answered comes back as an object with an "error".
package main

import (
	"math"
	"strings"
	"syscall/js"

	"example.com/borestack/examples/lesson/internal/box"
	"example.com/borestack/examples/lesson/internal/chance"
	"example.com/borestack/examples/lesson/internal/teach"
	"example.com/borestack/tolerance"
)

func main() {
	p := &page{}
	functions := map[string]any{}
	for name, f := range map[string]func(args []js.Value) (any, error){
		"see": p.see, "batch": p.batch, "sum": p.sum, "steps": p.steps, "plates": p.plates, "done": p.done,
		"exercise": p.exercise, "mark": p.mark, "ways": p.ways, "count": p.count, "lot": p.lot, "maker": p.maker, "screen": p.screen,
	} {
		functions[name] = js.FuncOf(func(_ js.Value, args []js.Value) any {
			out, err := f(args)
			if err != nil {
				return map[string]any{"error": err.Error()}
			}
			return out
		})
	}
	js.Global().Set("borestack", functions)
	js.Global().Get("lessonReady").Invoke()
	select {}
}

// page is what the functions keep from one call to the next: what was last seen, and how wide pictures are drawn.
type page struct {
	seen  teach.Seen
	width tolerance.Length // 0: as the library draws them
}

// screen(narrow) says whether pictures are for a telephone.
func (p *page) screen(args []js.Value) (any, error) {
	p.width = 0
	if args[0].Bool() {
		p.width = box.Narrow
	}
	return nil, nil
}

func unitOf(v js.Value) tolerance.Unit {
	if v.String() == "in" {
		return tolerance.Inches
	}
	return tolerance.Millimetres
}

func degrees(v js.Value) tolerance.Angle { return tolerance.Angle(v.Float()) * tolerance.Degree }

func knobs(v js.Value) box.Knobs {
	return box.Knobs{
		Wedge: tolerance.Length(v.Get("wedge").Float()), WedgeClock: degrees(v.Get("wedgeClock")),
		Offset: tolerance.Offset(v.Get("offset").Float()), OffsetClock: degrees(v.Get("offsetClock")),
		Bow: tolerance.Length(v.Get("bow").Float()), Turn: degrees(v.Get("turn")),
		Pilot: tolerance.Diametral(v.Get("pilot").Float()), Dowels: v.Get("dowels").Int(),
		Case: tolerance.Celsius(v.Get("case").Float()), Measured: v.Get("measured").Bool(),
	}
}

func object(k box.Knobs) map[string]any {
	return map[string]any{
		"wedge": float64(k.Wedge), "wedgeClock": k.WedgeClock.Degrees(), "offset": float64(k.Offset), "offsetClock": k.OffsetClock.Degrees(),
		"bow": float64(k.Bow), "turn": k.Turn.Degrees(), "pilot": float64(k.Pilot), "dowels": k.Dowels, "case": float64(k.Case), "measured": k.Measured,
	}
}

// see(knobs, unit, line, seat, moving) works out a box: verdict, rows, the sketch, and the pictures asked for; at a glance while it is moving.
func (p *page) see(args []js.Value) (any, error) {
	look := box.See
	if args[4].Bool() {
		look = box.Glance
	}
	v, err := look(knobs(args[0]))
	if err != nil {
		return nil, err
	}
	p.seen.View, v.Width = v, p.width
	unit := unitOf(args[1])
	var sketch, line, seat strings.Builder
	if err := v.Sketch(&sketch, unit); err != nil {
		return nil, err
	}
	if args[2].Bool() {
		if err := v.ShaftLine(&line, unit); err != nil {
			return nil, err
		}
	}
	if args[3].Bool() {
		if err := v.Seat(&seat, unit); err != nil {
			return nil, err
		}
	}
	var rows []any
	for _, r := range v.Rows(unit) {
		rows = append(rows, r.Name, r.Value)
	}
	return map[string]any{
		"rank": v.Verdict.String(), "verdict": v.Headline(), "sentence": v.Sentence(unit), "rows": rows,
		"sketch": sketch.String(), "line": line.String(), "seat": seat.String(),
	}, nil
}

// batch(knobs, unit, samples) draws the margins of many such boxes.
func (p *page) batch(args []js.Value) (any, error) {
	b, err := knobs(args[0]).Batch(args[2].Int(), 1)
	if err != nil {
		return nil, err
	}
	b.Width = p.width
	var svg strings.Builder
	if err := b.Draw(&svg, unitOf(args[1])); err != nil {
		return nil, err
	}
	return map[string]any{"svg": svg.String(), "good": float64(b.Good) / float64(b.Samples)}, nil
}

// sum(parts, unit) adds up eccentric parts.
func (p *page) sum(args []js.Value) (any, error) {
	offsets := make([]float64, args[0].Int())
	for i := range offsets {
		offsets[i] = 0.05
	}
	s, err := box.Eccentric(offsets, 20000, 1)
	if err != nil {
		return nil, err
	}
	unit := unitOf(args[1])
	s.Width = p.width
	var svg strings.Builder
	if err := s.Draw(&svg, unit); err != nil {
		return nil, err
	}
	return map[string]any{"svg": svg.String(), "sentence": s.Sentence(unit)}, nil
}

// steps(unit) returns the guided steps.
func (p *page) steps(args []js.Value) (any, error) {
	var out []any
	for _, s := range teach.Steps(unitOf(args[0])) {
		var says []any
		for _, paragraph := range s.Says {
			says = append(says, paragraph)
		}
		out = append(out, map[string]any{"title": s.Title, "says": says, "goal": s.Goal, "set": object(s.Set), "about": s.About})
	}
	return out, nil
}

// plates(knobs) returns the plates on the shelf, each as the knobs that put it in the box.
func (p *page) plates(args []js.Value) (any, error) {
	var out []any
	for _, q := range box.Plates() {
		out = append(out, map[string]any{"name": q.Name, "says": q.Says, "set": object(q.Set(knobs(args[0])))})
	}
	return out, nil
}

// done(step, parts) is whether what was last seen is what a step asked for.
func (p *page) done(args []js.Value) (any, error) {
	steps := teach.Steps(tolerance.Millimetres)
	i := args[0].Int()
	p.seen.Parts = args[1].Int()
	return p.seen.View != nil && i >= 0 && i < len(steps) && steps[i].Done(p.seen), nil
}

// samples are how many the pictures of many boxes are made of.
const samples = 20000

// picture is what the page shows of a picture of many boxes: the picture, a sentence, and what else there is.
func picture(svg, words string) map[string]any { return map[string]any{"svg": svg, "words": words} }

// ways(off, unit) adds up two chains three ways.
func (p *page) ways(args []js.Value) (any, error) {
	w, err := chance.Add(args[0].Get("off").Float(), samples, 1)
	if err != nil {
		return nil, err
	}
	p.seen.Ways = w
	unit := unitOf(args[1])
	out := picture(w.Picture(unit), w.Sentence(unit))
	var table []any
	for _, row := range w.Table(unit) {
		for _, cell := range row {
			table = append(table, cell)
		}
	}
	out["table"] = table
	return out, nil
}

// count(doublings, unit) counts good boxes, many times over; doublings of the least count that is asked for.
func (p *page) count(args []js.Value) (any, error) {
	c, err := chance.Sample(int(math.Round(chance.LeastCount*math.Exp2(args[0].Get("doublings").Float()))), 1)
	if err != nil {
		return nil, err
	}
	p.seen.Count = c
	unit := unitOf(args[1])
	out := picture(c.Picture(unit), c.Sentence(unit))
	out["samples"] = c.Samples
	return out, nil
}

// lot(alike, unit) samples two parts of one lot.
func (p *page) lot(args []js.Value) (any, error) {
	l, err := chance.OneLot(args[0].Get("alike").Float(), samples, 1)
	if err != nil {
		return nil, err
	}
	p.seen.Lot = l
	unit := unitOf(args[1])
	return picture(l.Picture(unit), l.Sentence(unit)), nil
}

// maker(fixture, unit, moving) makes a batch of plates and, unless it is moving, asks what it says.
func (p *page) maker(args []js.Value) (any, error) {
	f := args[0]
	m, err := chance.Fixture{Wedge: tolerance.Length(f.Get("wedge").Float()), Clock: degrees(f.Get("clock")), Turn: f.Get("turn").Bool()}.Plates()
	if err != nil {
		return nil, err
	}
	p.seen.Maker = m
	unit, sheet := unitOf(args[1]), ""
	if !args[2].Bool() {
		if err := m.Ask(); err != nil {
			return nil, err
		}
		if sheet, err = m.Sheet(unit); err != nil {
			return nil, err
		}
	}
	out := picture(m.Pictures(unit), m.Sentence(unit))
	out["sheet"], out["reach"] = sheet, float64(chance.MostFixture*chance.PanelScale)
	return out, nil
}

func exerciseOf(args []js.Value) teach.Exercise {
	return teach.New(min(max(args[0].Int(), 0), teach.Count-1), uint64(args[1].Int()), unitOf(args[2]))
}

// exercise(kind, seed, unit) returns a question.
func (p *page) exercise(args []js.Value) (any, error) {
	e := exerciseOf(args)
	return map[string]any{"title": e.Title, "question": e.Question, "unit": e.Unit, "working": e.Working, "count": teach.Count}, nil
}

// mark(kind, seed, unit, answer) marks an answer.
func (p *page) mark(args []js.Value) (any, error) {
	right, feedback := exerciseOf(args).Mark(args[3].String())
	return map[string]any{"right": right, "feedback": feedback}, nil
}
