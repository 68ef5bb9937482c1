package seat

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"

	"example.com/borestack/align/internal/dense"
	"example.com/borestack/fault"
)

// Of the interpolation of heights round a ring.
const (
	ringShare     = 0.25 // of the ring's radius: how far stations may lie off one ring
	ownSay        = 1e-9 // what a station lacks, at the least, of saying its own height alone
	mostHarmonics = 8    // more would follow the noise of the readings
)

// ringSeries is a face's heights round a ring: its plane, and harmonics of what is left by the
// clock angle.
type ringSeries struct {
	centre r3.Vec
	coef   []float64
	err    float64 // standard deviation of each station's height from what the others say of it
}

// basis fills row with 1, x, y and the harmonics from the second on.
func (r *ringSeries) basis(row []float64, x, y float64) {
	x, y = x-r.centre.X, y-r.centre.Y
	row[0], row[1], row[2] = 1, x, y
	theta := math.Atan2(x, y)
	for n := 2; 2*n+1 <= len(row); n++ {
		row[2*n-1], row[2*n] = math.Cos(float64(n)*theta), math.Sin(float64(n)*theta)
	}
}

// at is the height there.
func (r *ringSeries) at(x, y float64) float64 {
	row := make([]float64, len(r.coef))
	r.basis(row, x, y)
	var h float64
	for i, c := range r.coef {
		h += c * row[i]
	}
	return h
}

// interpolated fits heights (z over x, y) round a ring by least squares: as many harmonics as leave
// two stations to judge by. It returns an error for stations that are too few or off one ring.
//
// Source: leave-one-out residuals e/(1 − h), h the diagonal of the hat matrix; any text on
// regression.
func interpolated(pts []r3.Vec) (*ringSeries, error) {
	m := len(pts)
	harmonics := min(mostHarmonics, (m-3)/2)
	if harmonics < 1 {
		return nil, fmt.Errorf("%d stations to interpolate between: want 5 or more: %w", m, fault.ErrMissing)
	}
	r := &ringSeries{}
	for _, p := range pts {
		r.centre = r3.Add(r.centre, r3.Scale(1/float64(m), p))
	}
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, p := range pts {
		d := dense.Length(p.X-r.centre.X, p.Y-r.centre.Y)
		lo, hi = math.Min(lo, d), math.Max(hi, d)
	}
	if hi-lo > ringShare*hi {
		return nil, fmt.Errorf("stations from %.4g to %.4g mm off their middle: want one ring to interpolate round: %w", lo, hi, fault.ErrConflict)
	}
	n := 2*harmonics + 1
	a, b := mat.NewDense(m, n, nil), mat.NewVecDense(m, nil)
	row := make([]float64, n)
	for i, p := range pts {
		r.basis(row, p.X, p.Y)
		a.SetRow(i, row)
		b.SetVec(i, p.Z)
	}
	var qr mat.QR
	qr.Factorize(a)
	var x mat.VecDense
	if err := qr.SolveVecTo(&x, false, b); err != nil {
		return nil, fmt.Errorf("stations that do not tell %d harmonics apart: %w", harmonics, fault.ErrConflict)
	}
	r.coef = append(r.coef, x.RawVector().Data...)
	var q mat.Dense
	qr.QTo(&q)
	var sum float64
	for i, p := range pts {
		var h float64
		for k := range n {
			h += q.At(i, k) * q.At(i, k)
		}
		e := (p.Z - r.at(p.X, p.Y)) / math.Max(1-h, ownSay)
		sum += e * e
	}
	r.err = math.Sqrt(sum / float64(m))
	return r, nil
}
