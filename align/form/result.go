package form

import (
	"errors"
	"math"
	"strconv"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"

	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// Rule is the criterion by which a feature is associated with points. The zero value is least squares.
type Rule uint8

// Criteria of association.
const (
	LeastSquares         Rule = iota // least sum of squared distances
	MinimumZone                      // least distance between two parallel or concentric features that hold all points (ISO 1101)
	MinimumCircumscribed             // smallest that holds all points: the datum feature of a shaft (ISO 5459)
	MaximumInscribed                 // largest that holds no point: the datum feature of a bore (ISO 5459)
	OutsideMaterial                  // touching outside the material, least greatest distance: the datum plane (ISO 5459)
)

// String returns the rule in words.
func (r Rule) String() string {
	names := []string{"least squares", "minimum zone", "minimum circumscribed", "maximum inscribed", "outside the material"}
	if int(r) < len(names) {
		return names[r]
	}
	return "unknown rule"
}

// Deviation is how far the points stray from the feature, measured square to it: positive outward of
// a circle or cylinder, and along the normal of a plane.
type Deviation struct {
	Total        tolerance.Length // peak to valley: the form error (FLTt, RONt, CYLt of ISO 12781, 12181, 12180)
	Peak, Valley tolerance.Length // greatest and least deviation, signed
	RMS          tolerance.Length // root mean square, divisor n
	High, Low    []int            // the rows at peak and valley, from 0

	// UTotal is the standard uncertainty of Total, to first order, from that of the points: how far
	// the measurement fixes the form error of the points given. Least squares with an uncertainty
	// only.
	UTotal tolerance.Optional[tolerance.Length]
}

// deviation evaluates signed deviations d, in units of the cloud.
func (c *cloud) deviation(d []float64) Deviation {
	hi, lo, touch := floats.Max(d), floats.Min(d), contactWork+c.grain
	dev := Deviation{Total: c.length(hi - lo), Peak: c.length(hi), Valley: c.length(lo), RMS: c.length(floats.Norm(d, 2) / math.Sqrt(float64(len(d))))}
	for i, v := range d {
		if v >= hi-touch {
			dev.High = append(dev.High, i)
		}
		if v <= lo+touch {
			dev.Low = append(dev.Low, i)
		}
	}
	return dev
}

// contactWork is how near to the edge of the zone, in a cloud of size 1, a point counts as a contact
// beside the rounding of its coordinates: rounding of the work.
const contactWork = 1e-12

// uncertain fills in the covariance of parameters found by least squares and the uncertainty of the
// form error. The deviations have the rows jac(i) as derivatives, in units; dims converts each
// parameter to its public unit. To first order, and neglecting the form error against the size of the
// feature, with N = Σ j jᵀ and u the uncertainty of a point,
//
//	C = u² N⁻¹,  u(total)² = u² (2 - fᵀ N⁻¹ f),  f the difference of the rows of peak and valley.
//
// Source: JCGM 102:2011 6.3 (law of propagation for implicit models) (from memory), for the normal
// equations; the form error is a difference of two residuals, whose covariance is u² (I - J N⁻¹ Jᵀ).
func (c *cloud) uncertain(dev *Deviation, dims []float64, jac func(i int, row []float64)) *mat.SymDense {
	k, n := len(dims), len(c.p)
	u := c.u
	if u == 0 {
		return nil
	}
	rows := mat.NewDense(n, k, nil)
	for i := range n {
		jac(i, rows.RawRowView(i))
	}
	normal := mat.NewSymDense(k, nil)
	normal.SymOuterK(1, rows.T())
	var chol mat.Cholesky
	inverse := mat.NewSymDense(k, nil)
	if !chol.Factorize(normal) || chol.InverseTo(inverse) != nil {
		return nil
	}
	far := mat.NewVecDense(k, nil)
	far.SubVec(rows.RowView(dev.High[0]), rows.RowView(dev.Low[0]))
	dev.UTotal = tolerance.Given(c.length(u * math.Sqrt(math.Max(0, 2-mat.Inner(far, inverse, far)))))
	for a := range k {
		for b := a; b < k; b++ {
			inverse.SetSym(a, b, u*u*dims[a]*dims[b]*inverse.At(a, b))
		}
	}
	return inverse
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
	const flat = 1e-9 // a component of a unit vector below which it counts as none
	for _, c := range [3]float64{v.Z, v.Y, v.X} {
		if c < -flat {
			return r3.Scale(-1, v)
		}
		if c > flat {
			break
		}
	}
	return v
}

// Classes of faults of this package, for errors.Is; the others are those of package fault. Every
// fault is a [fault.FieldError] whose Path is "/points" or, where one row is to blame, "/points/3".
var (
	ErrCoincident = errors.New("all points at one place")
	ErrCollinear  = errors.New("all points on one line")
	ErrStation    = errors.New("one station twice with different heights")
)

// whole stands for a fault that no single row is to blame for.
const whole = -1

func atFault(row int, value, want string, class error) error {
	path := "/points"
	if row >= 0 {
		path += "/" + strconv.Itoa(row)
	}
	return fault.At(path, value, want, class)
}

// unending is the fault of a search that does not settle.
func unending() error {
	return atFault(whole, "the contacts do not settle", "points of moderate size, all round the feature", fault.ErrNotConverging)
}

// unknownRule is the fault of a rule that does not apply to a feature.
func unknownRule(r Rule, want string) error {
	return fault.At("rule", r.String(), want, fault.ErrConflict)
}
