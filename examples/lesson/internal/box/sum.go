package box

import (
	"io"
	"math"
	"slices"
	"strconv"

	"example.com/borestack/align/draw"
	"example.com/borestack/fault"
	"example.com/borestack/stackup"
	"example.com/borestack/stackup/law"
	"example.com/borestack/tolerance"
)

// Sum is parts that are each off centre by a known amount in no known direction, added up.
type Sum struct {
	Offsets []float64 // mm
	Sizes   []float64 // of the sums, mm
	Seed    uint64
	RSS     float64
	Worst   float64
	Beyond  float64          // share of the sums that exceeds the root sum of squares
	Width   tolerance.Length // of the picture, as in [View]
}

// Eccentric adds parts up at random clock angles, that many times.
func Eccentric(offsets []float64, samples int, seed uint64) (*Sum, error) {
	out := &Sum{Offsets: offsets, Seed: seed, RSS: stackup.RootSumOfSquares(offsets)}
	if samples < 1 || samples > 1<<20 {
		return nil, fault.At("samples", "out of range", "1 to 1,048,576", fault.ErrOutOfRange)
	}
	x, y := make([]float64, samples), make([]float64, samples)
	px, py := make([]float64, samples), make([]float64, samples)
	for i, e := range offsets {
		ring, err := law.NewRing(0, 0, e)
		if err != nil {
			return nil, err
		}
		out.Worst += e
		stream := law.NewStream(seed, "part "+strconv.Itoa(i+1), 0)
		ring.Draw([][]float64{px, py}, nil, &stream)
		for n := range x {
			x[n] += px[n]
			y[n] += py[n]
		}
	}
	beyond := 0
	for n := range x {
		out.Sizes = append(out.Sizes, math.Hypot(x[n], y[n]))
		if out.Sizes[n] > out.RSS {
			beyond++
		}
	}
	out.Beyond = float64(beyond) / float64(samples)
	return out, nil
}

// Draw draws the sums, with the root sum of squares as their limit; that is an edge of the bars, so that they tell on which side of it a sum lies.
func (s *Sum) Draw(w io.Writer, unit tolerance.Unit) error {
	const within = 20 // bars up to the root sum of squares
	step := s.RSS / within
	h := histogram(s.Sizes, 0, step, int(math.Ceil(s.Worst/step)), unit)
	h.Quantity = "offset of the sum"
	h.Limits.Greatest = tolerance.Given(h.Edges[within])
	h.Note = whole(len(s.Sizes)) + " assemblies, seed " + whole(int(s.Seed)) + ", every part at a random clock angle. \"At most\" is the root sum of squares."
	return draw.Histogram(w, h, draw.Options{ID: "sum", Unit: unit, Width: s.Width})
}

// histogram counts values (mm) into equal bins from low, in the unit. Where zero is an edge it is one exactly, so that what is just short of it counts as short.
func histogram(values []float64, low, step float64, bins int, unit tolerance.Unit) draw.Bins {
	h := draw.Bins{Unit: unit.String(), Histogram: stackup.Histogram{Counts: make([]int, bins)}}
	edges := make([]float64, bins+1)
	for i := range edges {
		edges[i] = low + step*float64(i)
		if math.Abs(edges[i]) < step*1e-6 {
			edges[i] = 0
		}
		h.Edges = append(h.Edges, tolerance.Length(edges[i]).In(unit))
	}
	for _, v := range values {
		at, on := slices.BinarySearch(edges, v)
		if !on {
			at--
		}
		switch {
		case at < 0:
			h.Under++
		case at >= bins:
			h.Over++
		default:
			h.Counts[at]++
		}
	}
	return h
}

// whole prints a count with commas.
func whole(n int) string {
	s := strconv.Itoa(n)
	for i := len(s) - 3; i > 0; i -= 3 {
		s = s[:i] + "," + s[i:]
	}
	return s
}

// Sentence says what the root sum of squares is worth here.
func (s *Sum) Sentence(unit tolerance.Unit) string {
	return "Root sum of squares: " + Say(tolerance.Length(s.RSS), unit) + ", passed by " + strconv.FormatFloat(100*s.Beyond, 'f', 0, 64) + " % of all assemblies. The worst: " + Say(tolerance.Length(s.Worst), unit) + "."
}
