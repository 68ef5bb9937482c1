package chance

import (
	"context"
	"errors"
	"math"

	"example.com/borestack/examples/lesson/internal/box"
	"example.com/borestack/stackup"
	"example.com/borestack/stackup/law"
	"example.com/borestack/tolerance"
)

// What the two chains are made of. A part's process is normal and centred, its standard deviation a third of the
// tolerance: what root sum of squares takes for granted.
const (
	Tolerance = 0.03 // mm, of every part, to either side
	sd        = Tolerance / 3
	room      = 0.2 // mm, of end play without any deviation
	lengths   = 4   // parts in the chain of lengths
	offsets   = 3   // parts in the chain of offsets, each with a deviation across and one up

	MostOff = 0.2 // mm, by which the chain of offsets may be off to begin with
)

// tail is the share that three standard deviations leave out at either end of a normal distribution.
var tail = math.Erfc(3/math.Sqrt2) / 2

// Way is what one way of adding up says: from, to, and the standard error of either end.
type Way struct {
	Name             string
	Low, High, Error float64
}

// Chain is one chain added up: worst case, root sum of squares and Monte Carlo.
type Chain struct {
	Name  string
	Ways  [3]Way
	Exact [2]float64 // what Monte Carlo comes to with ever more samples

	Promised float64 // share that root sum of squares leaves outside its ends
	Outside  float64 // share of the samples outside them
	Error    float64 // standard error of Outside
}

// Short is by how much root sum of squares ends before the exact distribution does.
func (c *Chain) Short() float64 { return c.Exact[1] - c.Ways[1].High }

// Ways are a chain on which root sum of squares is right, and one on which it misleads.
type Ways struct {
	Off       float64 // of the offsets, to begin with
	Samples   int
	Sum, Size Chain
}

// Add adds up both chains: lengths, and the size √(x² + y²) of an offset that is off to begin with.
func Add(off float64, samples int, seed uint64) (*Ways, error) {
	if err := within("off", off, 0, MostOff); err != nil {
		return nil, err
	}
	out := &Ways{Off: off, Samples: samples}
	normal, bad := law.NewNormal(0, sd)
	plane, worse := law.NewBivariate(0, 0, sd*sd, sd*sd, 0)
	if err := errors.Join(bad, worse); err != nil {
		return nil, err
	}
	play := stackup.Study{Model: stackup.Func{In: lengths, Out: 1, Of: func(y, x []float64) error {
		y[0] = room + x[0]
		for _, v := range x[1:] {
			y[0] -= v
		}
		return nil
	}}}
	for _, name := range [lengths]string{"seat depth", "ring", "spacer", "collar"} {
		play.Inputs = append(play.Inputs, stackup.Input{Name: name, Law: normal})
	}
	eccentric := stackup.Study{Model: stackup.Func{In: 2 * offsets, Out: 1, Of: func(y, x []float64) error {
		across, up := off, 0.0
		for i := 0; i < len(x); i += 2 {
			across, up = across+x[i], up+x[i+1]
		}
		y[0] = math.Hypot(across, up)
		return nil
	}}}
	for _, name := range [offsets]string{"case register", "plate bore", "tail bush"} {
		eccentric.Inputs = append(eccentric.Inputs, stackup.Input{Name: name, Joint: plane})
	}

	exactSum, bad := law.NewNormal(room, sd*math.Sqrt(lengths))
	exactSize, worse := law.NewNormalSize(off, 0, offsets*sd*sd, offsets*sd*sd, 0)
	if err := errors.Join(bad, worse); err != nil {
		return nil, err
	}
	half := lengths * Tolerance
	out.Sum = Chain{Name: "End play: four lengths along one line", Ways: [3]Way{{Low: room - half, High: room + half}}}
	// the sum's centre fills a square about its start: its far corner, and what of it is nearest to nothing
	half = offsets * Tolerance
	out.Size = Chain{Name: "Offset of the tail: size of three arrows", Ways: [3]Way{{Low: max(off-half, 0), High: math.Hypot(off+half, half)}}}
	bad = out.Sum.fill(&play, room, lengths, exactSum, samples, seed)
	worse = out.Size.fill(&eccentric, off, offsets, exactSize, samples, seed)
	return out, errors.Join(bad, worse)
}

// fill adds root sum of squares and Monte Carlo to a chain of so many equal tolerances about mid.
func (c *Chain) fill(s *stackup.Study, mid float64, parts int, exact law.Law, samples int, seed uint64) error {
	tolerances := make([]float64, parts)
	for i := range tolerances {
		tolerances[i] = Tolerance
	}
	rss := stackup.RootSumOfSquares(tolerances)
	c.Ways[1].Low, c.Ways[1].High = mid-rss, mid+rss
	c.Exact = [2]float64{exact.Quantile(tail), exact.Quantile(1 - tail)}
	c.Promised = 2 * tail
	s.Responses = []stackup.Response{{Name: c.Name, Limits: tolerance.Between(mid-rss, mid+rss)}}
	y, err := run(s, samples, seed)
	if err != nil {
		return err
	}
	low, a := y[0].Quantile(tail)
	high, b := y[0].Quantile(1 - tail)
	c.Ways[2].Low, c.Ways[2].High, c.Ways[2].Error = low, high, max(a, b)
	c.Outside, c.Error = 1-y[0].Yield, y[0].YieldError
	for i, name := range [3]string{"worst case", "root sum of squares", "Monte Carlo"} {
		c.Ways[i].Name = name
	}
	return nil
}

// run samples a study, and sums up all its responses.
func run(s *stackup.Study, samples int, seed uint64) ([]stackup.Summary, error) {
	acc, err := s.Run(context.Background(), stackup.Settings{Samples: samples, Seed: seed})
	if err != nil {
		return nil, err
	}
	var out []stackup.Summary
	for i := range s.Responses {
		out = append(out, acc.Summary(i))
	}
	return out, nil
}

// Sentence says what root sum of squares is worth on either chain.
func (w *Ways) Sentence(unit tolerance.Unit) string {
	say := func(v float64) string { return box.Say(tolerance.Length(v), unit) }
	of := func(c *Chain) string { return percent(c.Outside, 2) + " ± " + percent(c.Error, 2) + " are" }
	s := "Root sum of squares promises that " + percent(w.Sum.Promised, 2) + " are outside its ends. Of the end plays, " + of(&w.Sum) + ". Of the offsets, " + of(&w.Size)
	switch short := w.Size.Short(); {
	case short > 0.001:
		s += ", and its upper end is short by " + say(short) + "."
	default:
		s += ": far from zero a size is nearly a length along one line, and the upper end is right to " + say(math.Abs(short)) + "."
	}
	if w.Size.Ways[1].Low < 0 {
		s += " It even lets the offset be less than nothing."
	}
	return s
}
