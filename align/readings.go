package align

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"example.com/borestack/align/internal/dense"
	"example.com/borestack/tolerance"
)

// maxUnequalOrder bounds the harmonics fitted to unequal stations, where the fit is a dense least
// squares; equal steps have none. Practical rings have fewer than 130 stations.
const maxUnequalOrder = 64

// stations writes the angle of every station that was read, and its mean reading, and returns how
// many there are. Angles are clock angles seen from the tail, in radians; readings in millimetres.
func (r *Readings) stations(theta, value []float64) ([]float64, []float64) {
	theta, value = theta[:0], value[:0]
	step := 2 * math.Pi / float64(len(r.Values))
	for k, v := range r.Values {
		if len(v) == 0 {
			continue
		}
		a := float64(r.First) + float64(k)*step
		if r.At != nil {
			a = float64(r.At[k])
		}
		if r.FromNose {
			a = -a
		}
		var sum float64
		for _, x := range v {
			sum += float64(x)
		}
		theta = append(theta, a)
		value = append(value, sum/float64(len(v)))
	}
	return theta, value
}

// Stations are the clock angles, seen from the tail, of the stations that were read, in radians and
// as written, and their mean readings in millimetres.
func (r *Readings) Stations() (theta, value []float64) { return r.stations(nil, nil) }

// round is one set of readings of a part.
type round struct {
	*Readings
	below string // where it stands, below the part
	sweep *Sweep // nil: a thickness
	ring  *ring  // its fit, of a mounted part
}

// rounds lists the sets of readings of a part in order; m, where given, is the part as mounted.
func (p *Part) rounds(m *mountedPart) (list []round) {
	if m == nil {
		m = &mountedPart{boreRings: make([]ring, len(p.Bores))}
	}
	sweep := func(below string, s *Sweep, g *ring) {
		if s != nil {
			list = append(list, round{&s.Readings, below, s, g})
		}
	}
	for side, f := range [2]*Face{p.Front, p.Rear} {
		if f == nil {
			continue
		}
		below := [2]string{"/front", "/rear"}[side]
		if f.Thickness != nil {
			list = append(list, round{&f.Thickness.Readings, below + "/thickness", nil, &m.faceRings[side]})
		}
		sweep(below+"/sweep", f.Sweep, &m.faceRings[side])
		if f.Pilot != nil {
			sweep(below+"/pilot/sweep", f.Pilot.Sweep, &m.pilotRings[side])
		}
	}
	for b := range p.Bores {
		sweep(fmt.Sprintf("/bores/%d/sweep", b), p.Bores[b].Sweep, &m.boreRings[b])
	}
	return list
}

// equalSteps reports whether all stations were read at equal steps round the part.
func (r *Readings) equalSteps() bool {
	if r.At != nil {
		return false
	}
	for _, v := range r.Values {
		if len(v) == 0 {
			return false
		}
	}
	return true
}

// order is the highest harmonic that m stations can tell: (m - 1)/2, and m/2 for an even number of
// equal steps.
func order(m int, equal bool) int {
	if equal {
		return m / 2
	}
	return min((m-1)/2, maxUnequalOrder)
}

// ring is the least-squares fit of mean and first harmonic to readings round a ring, as weights on
// the readings. It keeps the weights while the angles stay the same, which changes no result.
type ring struct {
	theta, value   []float64
	fitted         []float64 // the angles that the weights are for
	planeOnly      bool      // fit mean and first harmonic alone
	mean, cos, sin []float64 // weights
}

// fit returns mean + cos·cos θ + sin·sin θ of the readings, the first harmonic beside all others
// that the stations can tell (beside none when planeOnly).
func (g *ring) fit(r *Readings) (mean, cos, sin float64) {
	g.theta, g.value = r.stations(g.theta, g.value)
	if !slices.Equal(g.theta, g.fitted) {
		g.weights(r.equalSteps())
	}
	for k, v := range g.value {
		mean += g.mean[k] * v
		cos += g.cos[k] * v
		sin += g.sin[k] * v
	}
	return mean, cos, sin
}

// Weights says by how much the mean reading of each station moves what is fitted to a round: its
// mean, and the parts of its first harmonic along cos θ and sin θ. A station that was not read has
// weight 0. alone fits the first harmonic without higher ones beside it, as a thickness round is
// fitted; a sweep is fitted with all that its stations can tell. A stack feels a round through
// these three numbers alone, its thickness variation apart.
func (r *Readings) Weights(alone bool) (mean, cos, sin []float64) {
	g := ring{planeOnly: alone}
	g.theta, g.value = r.stations(g.theta, g.value)
	g.weights(r.equalSteps())
	n := len(r.Values)
	mean, cos, sin = make([]float64, n), make([]float64, n), make([]float64, n)
	at := 0
	for k, v := range r.Values {
		if len(v) == 0 {
			continue
		}
		mean[k], cos[k], sin[k] = g.mean[at], g.cos[at], g.sin[at]
		at++
	}
	return mean, cos, sin
}

// weights finds the rows of the pseudo-inverse for mean and first harmonic.
func (g *ring) weights(equal bool) {
	m := len(g.theta)
	g.fitted = append(g.fitted[:0], g.theta...)
	g.mean, g.cos, g.sin = make([]float64, m), make([]float64, m), make([]float64, m)
	if equal && m >= 3 {
		// orthogonal on equal steps
		for k, a := range g.theta {
			s, c := math.Sincos(a)
			g.mean[k], g.cos[k], g.sin[k] = 1/float64(m), 2*c/float64(m), 2*s/float64(m)
		}
		return
	}
	n := order(m, false)
	if g.planeOnly {
		n = min(n, 1)
	}
	design := dense.Harmonics(g.theta, n)
	var qr mat.QR
	qr.Factorize(design)
	var pinv mat.Dense
	unit := mat.NewDense(m, m, nil)
	for k := range m {
		unit.Set(k, k, 1)
	}
	if err := qr.SolveTo(&pinv, false, unit); err != nil {
		if _, near := err.(mat.Condition); !near {
			return
		}
	}
	for k := range m {
		g.mean[k] = pinv.At(0, k)
		if n >= 1 {
			g.cos[k], g.sin[k] = pinv.At(1, k), pinv.At(2, k)
		}
	}
}

// worth is how many readings at equal steps would tell the mean as well, and the variance of each
// component of the first harmonic (mean of the two) for one of 1 of each reading. It follows the fit.
func (g *ring) worth(equal bool) (mean, first float64) {
	m := float64(len(g.theta))
	if equal {
		return m, 2 / m
	}
	for k := range g.theta {
		mean += g.mean[k] * g.mean[k]
		first += (g.cos[k]*g.cos[k] + g.sin[k]*g.sin[k]) / 2
	}
	return 1 / mean, first
}

// harmonics fits mean and all harmonics to values at angles theta by least squares; dof is what is
// left over.
//
// For an even number of equal steps the highest harmonic has only the component that the stations
// can see, in phase with the first station.
func harmonics(theta, value []float64, equal bool) (mean float64, list []Harmonic, residual float64, dof int) {
	m := len(theta)
	n := order(m, equal)
	coef := make([]float64, 2*n+1)
	if equal {
		for k, a := range theta {
			coef[0] += value[k] / float64(m)
			for j := 1; j <= n; j++ {
				s, c := math.Sincos(float64(j) * a)
				coef[2*j-1] += 2 * c * value[k] / float64(m)
				coef[2*j] += 2 * s * value[k] / float64(m)
			}
		}
	} else {
		design := dense.Harmonics(theta, n)
		var qr mat.QR
		qr.Factorize(design)
		var x mat.VecDense
		if err := qr.SolveVecTo(&x, false, mat.NewVecDense(m, value)); err != nil {
			if _, near := err.(mat.Condition); !near {
				return math.NaN(), nil, 0, 0
			}
		}
		copy(coef, x.RawVector().Data)
	}
	dof = m - (2*n + 1)
	for j := 1; j <= n; j++ {
		c, s := coef[2*j-1], coef[2*j]
		if equal && 2*j == m {
			var alt float64 // ±1 alternating, in phase with the first station
			for k, v := range value {
				if k%2 == 1 {
					v = -v
				}
				alt += v / float64(m)
			}
			sn, cs := math.Sincos(float64(j) * theta[0])
			c, s = alt*cs, alt*sn
			dof = 0
		}
		list = append(list, Harmonic{N: j, Size: tolerance.Length(math.Hypot(c, s)), Clock: harmonicClock(c, s, j)})
	}
	if dof > 0 {
		residual = residualOf(theta, value, coef, dof)
	}
	return coef[0], list, residual, dof
}

// residualOf is the standard deviation of what mean and harmonics leave of the values.
func residualOf(theta, value, coef []float64, dof int) float64 {
	var sum float64
	for k, a := range theta {
		v := value[k] - coef[0]
		for j := 1; 2*j < len(coef); j++ {
			s, c := math.Sincos(float64(j) * a)
			v -= coef[2*j-1]*c + coef[2*j]*s
		}
		sum += v * v
	}
	return math.Sqrt(sum / float64(dof))
}

// harmonicClock is the first angle in [0, 2π/n) at which c cos nθ + s sin nθ is greatest.
func harmonicClock(c, s float64, n int) tolerance.Angle {
	if c == 0 && s == 0 {
		return 0
	}
	a := math.Atan2(s, c) / float64(n)
	turn := 2 * math.Pi / float64(n)
	if a < 0 {
		a += turn
	}
	if a >= turn {
		a = 0
	}
	return tolerance.Angle(a)
}

// ClosingError returns how far the round did not come back: the closing reading less the mean
// reading of the first station, in the readings' own sense. It is absent where no closing reading
// was taken, or the first station was not read.
func (r *Readings) ClosingError() (e tolerance.Optional[tolerance.Length]) {
	if !r.Closing.Given || len(r.Values) == 0 || len(r.Values[0]) == 0 {
		return e
	}
	var sum tolerance.Length
	for _, v := range r.Values[0] {
		sum += v
	}
	return tolerance.Given(r.Closing.Value - sum/tolerance.Length(len(r.Values[0])))
}

// thicknessSpread is the least and greatest reading, and the peak to valley about the fitted plane.
func thicknessSpread(t *Thickness, g *ring) (lo, hi, waves float64) {
	mean, c, s := g.fit(&t.Readings)
	lo, hi = math.Inf(1), math.Inf(-1)
	below, above := math.Inf(1), math.Inf(-1)
	for i, v := range g.value {
		sn, cs := math.Sincos(g.theta[i])
		r := v - mean - c*cs - s*sn
		lo, hi = math.Min(lo, v), math.Max(hi, v)
		below, above = math.Min(below, r), math.Max(above, r)
	}
	return lo, hi, above - below
}
