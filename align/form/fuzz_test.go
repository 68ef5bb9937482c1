package form_test

import (
	"encoding/binary"
	"errors"
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/borestack/fault"
)

// decode makes points of bytes: small integers, so that ties, repeats and lines are common, or raw numbers of any size.
func decode(data []byte) []r3.Vec {
	if len(data) == 0 {
		return nil
	}
	raw := data[0]&1 == 1
	data = data[1:]
	var v []float64
	for len(data) > 0 && len(v) < 3*40 {
		if raw {
			if len(data) < 8 {
				break
			}
			v = append(v, math.Float64frombits(binary.LittleEndian.Uint64(data)))
			data = data[8:]
			continue
		}
		v = append(v, float64(int8(data[0])))
		data = data[1:]
	}
	points := make([]r3.Vec, len(v)/3)
	for i := range points {
		points[i] = r3.Vec{X: v[3*i], Y: v[3*i+1], Z: v[3*i+2]}
	}
	return points
}

// FuzzFits checks that no points make a fit panic, that every refusal is a FieldError, and what holds of every result.
func FuzzFits(f *testing.F) {
	f.Add([]byte{0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 16})
	f.Add([]byte{0, 1, 1, 1, 255, 255, 1, 1, 255, 255, 255, 1, 255})
	f.Add([]byte{0, 0, 0, 0, 0, 9, 1, 9, 0, 0, 9, 9, 2, 5, 5, 5, 3, 7, 1, 8, 2, 6})
	f.Add(append([]byte{1}, make([]byte, 96)...))
	f.Fuzz(func(t *testing.T, data []byte) {
		points := decode(data)
		size := 0.0
		for _, p := range points {
			for _, q := range points[:1] {
				size = math.Max(size, r3.Norm(r3.Sub(p, q)))
			}
		}
		offset := 0.0
		for _, p := range points {
			offset = math.Max(offset, math.Max(math.Abs(p.X), math.Max(math.Abs(p.Y), math.Abs(p.Z))))
		}
		tol := 1e-11*size + 1e-15*offset
		totals := map[string]float64{}
		for _, fit := range fitters {
			v, err := fit.run(points)
			var at *fault.FieldError
			switch {
			case err == nil && (math.IsNaN(v) || math.IsInf(v, 0) || v < -tol):
				t.Errorf("%s: %v", fit.name, v)
			case err == nil:
				totals[fit.name] = v
			case !errors.As(err, &at):
				t.Errorf("%s: %v", fit.name, err)
			}
		}
		for _, name := range []string{"plane", "circle", "cylinder"} {
			least, ok := totals[name+" least squares"]
			zone, both := totals[name+" minimum zone"]
			if ok && both && zone > least+tol {
				t.Errorf("%s: minimum zone %.17g, least squares %.17g, size %g", name, zone, least, size)
			}
		}
	})
}
