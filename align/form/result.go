package form

import (
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"

	"example.com/borestack/tolerance"
)

// Rule is the criterion by which a feature is associated with points.
type Rule uint8

// Criteria of association.
const (
	LeastSquares         Rule = iota // least sum of squared distances
	MinimumZone                      // least distance between two parallel or concentric features that hold all points (ISO 1101)
	MinimumCircumscribed             // smallest that holds all points
	MaximumInscribed                 // largest that holds no point
	OutsideMaterial                  // touching outside the material, least greatest distance (ISO 5459)
)

// String returns the rule in words.
func (r Rule) String() string {
	switch r {
	case LeastSquares:
		return "least squares"
	case MinimumZone:
		return "minimum zone"
	case MinimumCircumscribed:
		return "minimum circumscribed"
	case MaximumInscribed:
		return "maximum inscribed"
	case OutsideMaterial:
		return "outside the material"
	}
	return "unknown rule"
}

// Contact is a point at the edge of a zone.
type Contact struct {
	Row    int     // index of the point, from 0
	Weight float64 // multiplier in the certificate, 0 to 1; 0 for an idle contact and in a least-squares fit
}

// Deviation is how far the points stray from the feature, measured square to it; positive outward of a circle or cylinder, along the normal of a plane, and to the left of a line's direction.
type Deviation struct {
	Total        tolerance.Length // peak to valley: the form error (FLTt, STRt, RONt, CYLt of ISO 12781, 12780, 12181, 12180)
	Peak, Valley tolerance.Length // greatest and least deviation, signed
	RMS          tolerance.Length // root mean square, divisor n
	High, Low    []Contact        // the points at peak and valley, by row

	// UTotal is the standard uncertainty of Total, to first order, from that of the points: how far the measurement fixes the form error of the points given. Absent without a stated uncertainty, where contacts leave the feature free, and for an axis.
	UTotal tolerance.Optional[tolerance.Length]
}

// Proof is the certificate of a minimum zone, or of a minimum circumscribed or maximum inscribed feature. With its weights, the weighted directions of the contacts cancel: no small movement makes the zone narrower. Bound and Reach say what is known beyond small movements.
type Proof struct {
	Unbalance float64          // largest component of the weighted sum of the contacts' directions; 0 but for rounding
	Bound     tolerance.Length // no feature within Reach does better than this: a lower bound (upper, for maximum inscribed)
	Gap       tolerance.Length // difference of the result and Bound, never negative; to 1e-9 mm the result is the optimum within Reach
	Reach     Reach            // the features that Bound speaks of
	Within    tolerance.Length // of a cylinder: Bound holds for every axis that stays this near over the length that the points cover
}

// Reach says among which features a result is proved best.
type Reach uint8

// Reaches.
const (
	Nearby   Reach = iota // those in a neighbourhood: a local optimum
	Everyone              // all of them, as the fitting function states
)

// String returns the reach in words.
func (r Reach) String() string {
	if r == Everyone {
		return "global optimum"
	}
	return "local optimum"
}

// deviation evaluates signed deviations d, in units of the cloud; touch is what counts as contact.
func (c *cloud) deviation(d []float64) Deviation {
	hi, lo := math.Inf(-1), math.Inf(1)
	var squares sum
	for _, v := range d {
		hi, lo = math.Max(hi, v), math.Min(lo, v)
		squares.add(v * v)
	}
	dev := Deviation{Total: c.length(hi - lo), Peak: c.length(hi), Valley: c.length(lo), RMS: c.length(math.Sqrt(squares.value() / float64(len(d))))}
	touch := c.touch()
	for i, v := range d {
		if v >= hi-touch {
			dev.High = append(dev.High, Contact{Row: i})
		}
		if v <= lo+touch {
			dev.Low = append(dev.Low, Contact{Row: i})
		}
	}
	return dev
}

// touch is how near to the edge of the zone a point counts as a contact, in units: rounding of the work in a cloud of size 1, and of the coordinates given.
func (c *cloud) touch() float64 {
	const work = 1e-12
	return work + c.grain
}

// uncertain fills in the covariance of parameters found by least squares and the uncertainty of the form error. The deviations d have the rows jac(i) as derivatives, in units; dims converts each parameter to its public unit. To first order, and neglecting the form error against the size of the feature,
//
//	C = N⁻¹ (Σ u² j jᵀ) N⁻¹, N = Σ j jᵀ; from the residuals themselves C = s² N⁻¹
//
// and the difference of two deviations p and q moves with point k by δkp - δkq - (jp - jq)ᵀ N⁻¹ jk.
//
// Source: JCGM 102:2011 6.3 (law of propagation for implicit models) (from memory), for the normal equations.
func (c *cloud) uncertain(dev *Deviation, d, dims []float64, jac func(i int, row []float64)) *mat.SymDense {
	k, n := len(dims), len(c.p)
	if c.u == nil && !c.own || c.own && n <= k {
		return nil
	}
	variance := c.variances(d, k)
	normal, middle := mat.NewSymDense(k, nil), mat.NewSymDense(k, nil)
	row := make([]float64, k)
	for i := range c.p {
		jac(i, row)
		for a := range k {
			for b := a; b < k; b++ {
				v := row[a] * row[b]
				normal.SetSym(a, b, normal.At(a, b)+v)
				middle.SetSym(a, b, middle.At(a, b)+variance(i)*v)
			}
		}
	}
	var inverse mat.SymDense
	var chol mat.Cholesky
	if !chol.Factorize(normal) || chol.InverseTo(&inverse) != nil {
		return nil
	}
	p, q := dev.High[0].Row, dev.Low[0].Row
	far := make([]float64, k)
	jac(p, far)
	jac(q, row)
	for a := range far {
		far[a] -= row[a]
	}
	var w mat.VecDense
	w.MulVec(&inverse, mat.NewVecDense(k, far))
	var total sum
	for i := range c.p {
		jac(i, row)
		v := -mat.Dot(&w, mat.NewVecDense(k, row))
		if i == p {
			v++
		}
		if i == q {
			v--
		}
		total.add(v * v * variance(i))
	}
	dev.UTotal = tolerance.Given(c.length(math.Sqrt(total.value())))
	var half, full mat.Dense
	half.Mul(&inverse, middle)
	full.Mul(&half, &inverse)
	return dimensioned(&full, dims)
}

// variances returns the variance of each point, stated or from the residuals d of a fit with k parameters.
func (c *cloud) variances(d []float64, k int) func(i int) float64 {
	if !c.own {
		return func(i int) float64 { return c.u[i] * c.u[i] }
	}
	var squares sum
	for _, v := range d {
		squares.add(v * v)
	}
	s2 := squares.value() / float64(len(d)-k)
	return func(int) float64 { return s2 }
}

// dimensioned is D M D, made symmetric.
func dimensioned(m mat.Matrix, dims []float64) *mat.SymDense {
	k := len(dims)
	s := mat.NewSymDense(k, nil)
	for a := range k {
		for b := a; b < k; b++ {
			s.SetSym(a, b, dims[a]*dims[b]*(m.At(a, b)+m.At(b, a))/2)
		}
	}
	return s
}

// across returns two unit vectors that make a right-handed frame with the unit vector n.
func across(n r3.Vec) (e1, e2 r3.Vec) {
	a := r3.Vec{X: 1}
	if x, y, z := math.Abs(n.X), math.Abs(n.Y), math.Abs(n.Z); y <= x && y <= z {
		a = r3.Vec{Y: 1}
	} else if z <= x {
		a = r3.Vec{Z: 1}
	}
	e1 = r3.Unit(r3.Sub(a, r3.Scale(r3.Dot(a, n), n)))
	return e1, r3.Unit(r3.Cross(n, e1))
}

// upright turns a direction so that its z is positive, or its y when it has no z, or its x.
func upright(v r3.Vec) r3.Vec {
	const flat = 1e-9
	switch {
	case math.Abs(v.Z) > flat:
		if v.Z < 0 {
			return r3.Scale(-1, v)
		}
	case math.Abs(v.Y) > flat:
		if v.Y < 0 {
			return r3.Scale(-1, v)
		}
	case v.X < 0:
		return r3.Scale(-1, v)
	}
	return v
}

// congruent is T C Tᵀ.
func congruent(c *mat.SymDense, t [3][3]float64) *mat.SymDense {
	var half, full mat.Dense
	m := mat.NewDense(3, 3, []float64{t[0][0], t[0][1], t[0][2], t[1][0], t[1][1], t[1][2], t[2][0], t[2][1], t[2][2]})
	half.Mul(m, c)
	full.Mul(&half, m.T())
	return dimensioned(&full, []float64{1, 1, 1})
}
