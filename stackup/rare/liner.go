package rare

import (
	"context"
	"fmt"
	"math"
	"math/bits"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mathext"

	"example.com/borestack/internal/gauss"
	"example.com/borestack/stackup"
	"example.com/borestack/stackup/internal/num"
	"example.com/borestack/stackup/internal/sobol"
	"example.com/borestack/stackup/law"
)

// liner draws lines, n a replicate.
type liner struct {
	*stackup.Sampler
	a       *Aim
	n       int
	columns []sobol.Column // those of lineNumbers, then of what the line passes through
	streams [lineNumbers]law.Stream
	u       [][]float64 // by column: of a batch
	lines   []line
	fixed   []int       // columns of X that are not made of normal numbers
	own     [][]float64 // their values, by line
	at, per []float64   // of the line in hand, by point: the logarithm of its likelihood at t = 0, and what it grows by
	x, y    []float64   // of a rule of Gauss over 0 to 1
}

// lineNumbers are the numbers that a line takes besides those that it passes through: which point, and where it is
// mended.
const lineNumbers = 2

func newLiner(ctx context.Context, a *Aim, n int) *liner {
	w := &liner{Sampler: stackup.NewNormalSampler(ctx, a.study), a: a, n: n, lines: make([]line, stackup.BatchSize)}
	w.columns = make([]sobol.Column, len(w.Z)+lineNumbers)
	w.u = num.Columns(len(w.columns), stackup.BatchSize)
	column := 0
	for i := range a.study.Inputs {
		from, to := w.Numbers(i)
		for range a.study.Inputs[i].Columns() {
			if from == to {
				w.fixed = append(w.fixed, column)
			}
			column++
		}
	}
	w.own = num.Columns(len(w.fixed), stackup.BatchSize)
	w.at, w.per = make([]float64, len(a.points)), make([]float64, len(a.points))
	w.x, w.y = make([]float64, tailNodes), make([]float64, tailNodes)
	gauss.Legendre(w.x, w.y, 0, 1)
	return w
}

// replicate works out one.
func (w *liner) replicate(seed uint64, k int) (out lineSums, err error) {
	w.Begin("/lines", seed, k)
	for c := range w.streams {
		w.streams[c] = law.NewStream(seed, fmt.Sprintf("/lines/%d", c), uint64(k))
		w.scramble(c, &w.streams[c]) // the numbers of a line first: they matter most
	}
	for i := range w.a.study.Inputs {
		from, to := w.Numbers(i)
		for c := from; c < to; c++ {
			w.scramble(lineNumbers+c, w.Stream(i))
		}
	}
	for at := 0; at < w.n; at += stackup.BatchSize {
		if err := w.batch(&out, min(stackup.BatchSize, w.n-at)); err != nil {
			return out, err
		}
	}
	return out, nil
}

func (w *liner) scramble(c int, s *law.Stream) {
	w.columns[c].Scramble(c, bits.Len(uint(w.n))-1, s)
}

// batch adds n lines.
func (w *liner) batch(out *lineSums, n int) error {
	for c := range w.u {
		w.columns[c].Fill(w.u[c][:n])
	}
	for i := range w.a.study.Inputs {
		if from, to := w.Numbers(i); from == to {
			w.DrawInput(i, n)
		}
	}
	for k, c := range w.fixed {
		copy(w.own[k], w.X[c])
	}
	for i := range n {
		w.begin(i)
	}
	if err := w.cross(out, n); err != nil {
		return err
	}
	return w.close(out, n)
}

// begin makes line i: what is drawn of the deviations is left in u, less what lies along the line.
func (w *liner) begin(i int) {
	mix, k := w.a.mix, 0
	for left := w.u[0][i] * (1 - usual); k < len(mix.shares)-1; k++ {
		if left -= mix.shares[k]; left < 0 {
			break
		}
	}
	p := &w.a.points[k]
	var along float64
	for c, v := range p.out {
		z := mathext.NormalQuantile(w.u[lineNumbers+c][i])
		w.u[lineNumbers+c][i] = z
		along += v * z
	}
	for c, v := range p.out {
		w.u[lineNumbers+c][i] -= along * v
	}
	w.lines[i] = line{point: k, t: floats.Dot(p.out, p.z), safe: math.Inf(-1), beyond: math.Inf(1)}
}

// put makes row at the place t of line i.
func (w *liner) put(row, i int, t float64) {
	p := &w.a.points[w.lines[i].point]
	for c, v := range p.out {
		w.Z[c][row] = w.u[lineNumbers+c][i] + t*v
	}
	for k, c := range w.fixed {
		w.X[c][row] = w.own[k][i]
	}
}

// cross finds where lines cross their limits.
func (w *liner) cross(out *lineSums, n int) error {
	open := make([]int, 0, stackup.BatchSize)
	for range lineRounds {
		open = open[:0]
		for i := range n {
			if !w.lines[i].found {
				w.put(len(open), i, w.lines[i].t)
				open = append(open, i)
			}
		}
		if len(open) == 0 {
			break
		}
		if err := w.evaluate(out, len(open)); err != nil {
			return err
		}
		for row, i := range open {
			q := &w.lines[i]
			p := &w.a.points[q.point]
			q.next(within(w.a.response(), p.Side, w.Y, row), p.steep)
		}
	}
	for i := range n {
		if q := &w.lines[i]; !q.found && math.IsInf(q.beyond, 1) {
			q.crossing = q.beyond // no failure was met
		}
	}
	return nil
}

func (w *liner) evaluate(out *lineSums, n int) error {
	w.Fill(n)
	out.evaluations += n
	if err := w.Rows("lines", n); err != nil {
		return err
	}
	return w.a.response().Known(w.Y, n)
}

// close adds the chances of n lines, each mended by a draw.
func (w *liner) close(out *lineSums, n int) error {
	for i := range n {
		w.put(i, i, w.lines[i].mend(w.u[1][i]))
	}
	if err := w.evaluate(out, n); err != nil {
		return err
	}
	mix := w.a.mix
	for i := range n {
		q := &w.lines[i]
		share := mix.shares[q.point] / (1 - usual)
		t := q.mend(w.u[1][i])
		var mended float64
		failed := !w.a.response().Good(w.Y, i)
		if failed || !math.IsInf(q.crossing, 1) {
			out.seen |= 1 << q.point
		}
		if failed != (t > q.crossing) {
			mended = q.mendWeight(t) * w.share(i, t) / share
			if !failed {
				mended = -mended
			}
		}
		v := w.beyond(i)/share + mended
		out.sum += v
		out.mended += math.Abs(mended)
		if q.off > 0 {
			out.off += q.off * math.Exp(-q.crossing*q.crossing/2) / math.Sqrt(2*math.Pi) * w.share(i, q.crossing) / share
		}
		out.most = math.Max(out.most, math.Abs(v))
	}
	return nil
}
