package num

import "math"

// rounded is the share of two values' sizes below which they differ by rounding, a value being the difference of
// numbers some ten thousand times its size (an end play of two lengths): a slope of that is none, and has no
// share of anything. A spread that it leaves out is less than 1e-10 of the value.
const rounded = 1.5e-12

// Slopes are some numbers at a point, and their central differences with a step along each coordinate: none
// for a step of 0, or where rounding alone makes the difference. x are the columns whose first n rows evaluate takes; value is number k of row i after
// that.
func Slopes(x [][]float64, at, step []float64, numbers int, evaluate func(n int) error, value func(k, i int) float64) (here []float64, slopes [][]float64, err error) {
	here, slopes = make([]float64, numbers), Columns(numbers, len(at))
	put := func(i int) {
		for c, v := range at {
			x[c][i] = v
		}
	}
	put(0)
	if err := evaluate(1); err != nil {
		return nil, nil, err
	}
	for k := range here {
		here[k] = value(k, 0)
	}
	for from := 0; from < len(at); {
		to := min(from+len(x[from])/2, len(at))
		for c := from; c < to; c++ {
			i := 2 * (c - from)
			put(i)
			put(i + 1)
			x[c][i] += step[c]
			x[c][i+1] -= step[c]
		}
		if err := evaluate(2 * (to - from)); err != nil {
			return nil, nil, err
		}
		for k := range slopes {
			for c := from; c < to; c++ {
				i := 2 * (c - from)
				up, down := value(k, i), value(k, i+1)
				d, rounding := up-down, rounded*(math.Abs(up)+math.Abs(down))
				if step[c] != 0 && (!(math.Abs(d) <= rounding) || math.IsInf(rounding, 1)) {
					slopes[k][c] = d / (2 * step[c])
				}
			}
		}
		from = to
	}
	return here, slopes, nil
}
