package stackup

import (
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

// findBends compares both sides of every input: one spread away, or, where the model has no number there, at
// small steps, scaled up.
func (l *Linear) findBends(w *Sampler, spreads []float64) error {
	up, down := num.Columns(len(spreads), len(l.At)), num.Columns(len(spreads), len(l.At))
	for c, h := range spreads {
		for o := range l.At {
			up[c][o], down[c][o] = math.NaN(), math.NaN()
		}
		for _, share := range [2]float64{1, differenceShare} {
			if h == 0 {
				break
			}
			for k := range w.X {
				w.X[k][0], w.X[k][1] = 0, 0
			}
			w.X[c][0], w.X[c][1] = h*share, -h*share
			if err := w.differences(2); w.Stopped() != nil {
				return err
			} else if err != nil {
				continue
			}
			for o, at := range l.At {
				if sum := up[c][o] + down[c][o]; sum-sum != 0 {
					up[c][o], down[c][o] = (w.Y[o][0]-at)/share, (w.Y[o][1]-at)/share
				}
			}
		}
	}
	for o, at := range l.At {
		var spread float64 // squared, of all gains together
		for c, h := range spreads {
			spread += l.Gain[o][c] * h * l.Gain[o][c] * h
		}
		for c := range spreads {
			even := math.Abs(up[c][o]+down[c][o]) / 2
			if even > bendShare*math.Sqrt(spread) && even > bendRounding*math.Abs(at) {
				l.Bends = append(l.Bends, Bend{o, c, up[c][o], down[c][o]})
			}
		}
	}
	return nil
}
