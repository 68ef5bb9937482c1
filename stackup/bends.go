package stackup

import (
	"context"
	"fmt"
	"math"

	"example.com/borestack/stackup/internal/num"
)

// Bend is an output that an input moves otherwise than along a line: what one standard deviation to either side
// (half the support, for a law without one) does to it.
type Bend struct {
	Output, Column int
	Up, Down       float64
}

// Bounds of a bend.
const (
	// bendShare is how great the even part of an input's effect is, beside the spread that all gains together give,
	// from which it is told: for a normal input y = x + x²/4 is still taken for a line, whose spread is then 6 % short.
	bendShare = 0.25
	// bendRounding is what rounding may leave of an output that does not move, relative to the output.
	bendRounding = 1e-12
)

// Doubt says why the first order says little of an output: an input that moves it alike to either side, as any
// deviation does the size of a vector that is zero at the nominal, or much more to one side. Root sum of squares
// and the worst case of the linear model are then too small; [Study.Run] and [Study.Search] take the model in
// full. It is empty where there is no sign of that.
func (l *Linear) Doubt(o int) string {
	for i := range l.Bends {
		if b := &l.Bends[i]; b.Output == o {
			return fmt.Sprintf("column %d moves output %d by %.3g upwards and %.3g downwards, not along a line", b.Column, o, b.Up, b.Down)
		}
	}
	return ""
}

// findBends compares both sides of every input: one spread away, or, where the model has no number there, at the
// small steps that the gains y are from, scaled up.
func (l *Linear) findBends(ctx context.Context, e *guarded, spreads []float64, y [][]float64) error {
	up, down := num.Columns(len(spreads), len(l.At)), num.Columns(len(spreads), len(l.At))
	spread := make([]float64, len(l.At)) // squared, of all gains together
	x2, y2 := num.Columns(len(spreads), 2), num.Columns(len(l.At), 2)
	for c, h := range spreads {
		if h == 0 {
			continue
		}
		if err := ctx.Err(); err != nil {
			return stoppedDifferences(ctx)
		}
		x2[c][0], x2[c][1] = h, -h
		err := raise(e.Evaluate(y2, x2, 2), false)
		x2[c][0], x2[c][1] = 0, 0
		for o, at := range l.At {
			up[c][o], down[c][o] = y2[o][0]-at, y2[o][1]-at
			if sum := up[c][o] + down[c][o]; err != nil || sum-sum != 0 {
				up[c][o], down[c][o] = (y[o][2*c+1]-at)/differenceShare, (y[o][2*c+2]-at)/differenceShare
			}
			spread[o] += l.Gain[o][c] * h * l.Gain[o][c] * h
		}
	}
	for o, at := range l.At {
		for c := range spreads {
			even := math.Abs(up[c][o]+down[c][o]) / 2
			if even > bendShare*math.Sqrt(spread[o]) && even > bendRounding*math.Abs(at) {
				l.Bends = append(l.Bends, Bend{o, c, up[c][o], down[c][o]})
			}
		}
	}
	return nil
}

// inChunks evaluates n rows, a batch at once, for as long as ctx is not done.
func inChunks(ctx context.Context, e *guarded, y, x [][]float64, n int) error {
	part := func(v [][]float64, from, to int) [][]float64 {
		out := make([][]float64, len(v))
		for c := range v {
			out[c] = v[c][from:to]
		}
		return out
	}
	for from := 0; from < n; from += BatchSize {
		if err := ctx.Err(); err != nil {
			return stoppedDifferences(ctx)
		}
		to := min(from+BatchSize, n)
		if err := e.Evaluate(part(y, from, to), part(x, from, to), to-from); err != nil {
			return raise(fmt.Errorf("stackup: differences: %w", err), false)
		}
	}
	return nil
}

func stoppedDifferences(ctx context.Context) error {
	return fmt.Errorf("stackup: stopped in the differences: %w", context.Cause(ctx))
}
