package box

import (
	"io"

	"example.com/borestack/align"
	"example.com/borestack/align/draw"
	"example.com/borestack/fault"
	"example.com/borestack/stackup"
	"example.com/borestack/stackup/law"
	"example.com/borestack/tolerance"
)

// What the parts of a batch scatter by, each component a normal law: standard deviations, invented for the lesson.
const (
	wedgeSD    = float64(0.02 * tolerance.Millimetre / Across)
	registerSD = 0.006 // mm, of a register's centre
	boreSD     = 0.010 // mm, of the tail bush's centre
)

// Batch is many boxes made to one set of knobs, each a little different, the plate lying anywhere in its clearance.
type Batch struct {
	Margins []float64 // radial, mm, of those that go together
	Samples int
	Seed    uint64
	Nominal float64
	Good    int              // with room, and going together
	Width   tolerance.Length // of the picture, as in [View]
}

// Batch draws and evaluates boxes. The same seed gives the same boxes: the first of a long run are those of a short one.
func (k Knobs) Batch(samples int, seed uint64) (*Batch, error) {
	if err := k.Validate(); err != nil {
		return nil, err
	}
	if samples < 1 || samples > 1<<16 {
		return nil, fault.At("samples", "out of range", "1 to 65,536", fault.ErrOutOfRange)
	}
	s := k.Stack()
	normal := func(sd float64) law.Law { l, _ := law.NewNormal(0, sd); return l } // a constant above: always valid
	var sources []align.Source
	var laws []law.Law
	vary := func(name string, of [2]align.Number, sd float64) {
		for i, axis := range [2]string{" across", " up"} {
			sources = append(sources, align.Source{Name: name + axis, Moves: []align.Move{{Of: of[i], Gain: 1}}})
			laws = append(laws, normal(sd))
		}
	}
	vary("plate wedge", [2]align.Number{
		align.NumberOf(func(s *align.Stack) *float64 { return &s.Parts[2].Rear.Slope.X }),
		align.NumberOf(func(s *align.Stack) *float64 { return &s.Parts[2].Rear.Slope.Y }),
	}, wedgeSD)
	vary("plate register", [2]align.Number{
		align.NumberOf(func(s *align.Stack) *tolerance.Length { return &s.Parts[2].Front.Pilot.Centre.X }),
		align.NumberOf(func(s *align.Stack) *tolerance.Length { return &s.Parts[2].Front.Pilot.Centre.Y }),
	}, registerSD)
	vary("tail bush", [2]align.Number{
		align.NumberOf(func(s *align.Stack) *tolerance.Length { return &s.Parts[3].Bores[0].Centre.X }),
		align.NumberOf(func(s *align.Stack) *tolerance.Length { return &s.Parts[3].Bores[0].Centre.Y }),
	}, boreSD)

	lies := []align.Lie{align.LiesRest, align.LiesUniform, align.LiesRest}
	plan, err := s.Compile(sources, lies, []align.Output{{What: align.Margin}, {What: align.Assembles}})
	if err != nil {
		return nil, err
	}
	for range plan.Drawn() {
		for c := range align.FloatColumns {
			drawn, _ := law.NewUniform(0, 1)
			if c > 0 { // the float is drawn from the first alone
				drawn, _ = law.NewUniform(-1, -1)
			}
			laws = append(laws, drawn)
			sources = append(sources, align.Source{Name: "how the plate lies"})
		}
	}
	e := plan.NewEvaluator()
	x, y := columns(len(laws)), columns(plan.Outputs())
	out := &Batch{Samples: samples, Seed: seed}
	for block := 0; block*stackup.BlockSize < samples; block++ {
		n := min(stackup.BlockSize, samples-block*stackup.BlockSize)
		for i, l := range laws {
			stream := law.NewStream(seed, sources[i].Name, uint64(block))
			l.Draw(x[i][:n], &stream)
		}
		if err := e.Evaluate(y, x, n); err != nil {
			return nil, err
		}
		for i := range n {
			if y[1][i] != 1 {
				continue
			}
			out.Margins = append(out.Margins, y[0][i])
			if y[0][i] >= 0 {
				out.Good++
			}
		}
	}
	return out, nil
}

func columns(n int) [][]float64 {
	out := make([][]float64, n)
	for i := range out {
		out[i] = make([]float64, stackup.BlockSize)
	}
	return out
}

// Draw draws the batch's margins on a scale that does not move, so that the distribution is seen to.
func (b *Batch) Draw(w io.Writer, unit tolerance.Unit) error {
	low, step, bins := -0.06*tolerance.Millimetre, 0.0025*tolerance.Millimetre, 31 // the least room in the box, which no margin exceeds, is 0.015 mm
	if unit == tolerance.Inches {
		low, step = -2.4*tolerance.Thou, 0.1*tolerance.Thou
	}
	h := histogram(b.Margins, low.Millimetres(), step.Millimetres(), bins, unit)
	h.Quantity = "margin of the shaft line"
	h.Limits.Least = tolerance.Given(0.0)
	h.Note = whole(b.Samples) + " invented boxes, seed " + whole(int(b.Seed)) + ", the plate lying anywhere in its clearance."
	if lost := b.Samples - len(b.Margins); lost > 0 {
		h.Under += lost
		h.Note += " " + whole(lost) + " do not go together; they are counted as below."
	}
	return draw.Histogram(w, h, draw.Options{ID: "batch", Unit: unit, Width: b.Width})
}
