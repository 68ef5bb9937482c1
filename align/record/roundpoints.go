package record

import (
	"errors"
	"fmt"
	"math"
	"reflect"
	"slices"
	"strconv"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"example.com/borestack/align"
	"example.com/borestack/align/form"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// RoundPoints are points measured round a bore or a spigot, as written, in the part's frame: four or
// more at one height, or six or more at several. They give its centre and its diameter by least
// squares, and at several heights the slope of its axis; how sure those are follows from the points'
// uncertainty. The zero value is not valid.
//
// Points lie at one height where that differs by no more than a tenth of the diameter: a slope from less
// would be a slope of the errors.
type RoundPoints struct {
	Points      []Triple `json:"points" rule:"required,length"`
	Uncertainty *Number  `json:"uncertainty,omitempty" rule:"length,notnegative"` // standard, of each point along each axis

	gives *roundGives // worked out when decoded
}

// roundGives is what points round a feature come to, in the record's units; form errors in millimetres.
type roundGives struct {
	Centre   Triple `json:"centre" rule:"length"`
	Diameter Number `json:"diameter" rule:"length"`
	Slope    *Pair  `json:"slope" rule:"slope"` // nil: at one height

	errors      []align.FitError
	least, zone tolerance.Length     // form error: about the feature of least squares, and the least there is
	off         func(r3.Vec) float64 // how far a point lies outside the feature, all in mm
}

// Of points round a feature.
const (
	oneHeight   = 0.1 // of the diameter: by how much heights of one section differ
	fewestRound = 4   // points of a section: any three are on a circle
	fewestLong  = 6   // points at several heights: any five are on a cylinder
	leaning     = 0.1 // as a ratio: no pilot or bore leans more against its part's axis
)

// decodeNode reads the points and works out what they give.
func (p *RoundPoints) decodeNode(d *decoder, n *node, path, _ string) {
	before := len(d.faults)
	d.object(reflect.ValueOf(p).Elem(), n, path)
	p.gives = &roundGives{Centre: Triple{Num(0), Num(0), Num(0)}, Diameter: Num(1)} // any: where the record is refused
	if len(d.faults) > before {
		return
	}
	gives, err := p.work(d.lengthUnit)
	if err != nil {
		d.add(wrongPoints(path, err))
		return
	}
	p.gives = gives
}

// wrongPoints is why points at a place give nothing.
func wrongPoints(at string, err error) error {
	f := fault.At("/points", err.Error(), "points round a bore or spigot", fault.ErrUndefined)
	errors.As(err, &f)
	return fault.At(at+f.Path, f.Value, f.Want, f.Err)
}

// of is what the points give; of points set in Go it is worked out anew, and may be an error.
func (p *RoundPoints) of(unit tolerance.Length) (*roundGives, error) {
	if p.gives != nil {
		return p.gives, nil
	}
	return p.work(unit)
}

// in are the points in millimetres.
func (p *RoundPoints) in(unit tolerance.Length) []r3.Vec {
	out := make([]r3.Vec, len(p.Points))
	for i, q := range p.Points {
		out[i] = r3.Scale(float64(unit), r3.Vec{X: q[0].Value, Y: q[1].Value, Z: q[2].Value})
	}
	return out
}

// work fits a circle to points at one height, and a cylinder to others.
func (p *RoundPoints) work(unit tolerance.Length) (*roundGives, error) {
	points := p.in(unit)
	flat := make([]r2.Vec, len(points))
	low, high, mid := math.Inf(1), math.Inf(-1), 0.0
	for i, q := range points {
		flat[i] = r2.Vec{X: q.X, Y: q.Y}
		low, high, mid = min(low, q.Z), max(high, q.Z), mid+q.Z/float64(len(points))
	}
	if len(points) < fewestRound {
		return nil, fault.At("/points", strconv.Itoa(len(points)), strconv.Itoa(fewestRound)+" points or more: any three are on a circle", fault.ErrTooFew)
	}
	u := form.Uncertainty{Standard: tolerance.Length(p.Uncertainty.or(0)) * unit}
	circle, err := form.FitCircle(flat, form.LeastSquares, u)
	if err != nil {
		return nil, err
	}
	if high-low > oneHeight*2*circle.Radius.Millimetres() {
		return longFeature(points, u, unit)
	}
	out := gives(r3.Vec{X: circle.Centre.X, Y: circle.Centre.Y, Z: mid}, circle.Radius, circle.Deviation, unit)
	out.off = func(q r3.Vec) float64 {
		return math.Hypot(q.X-circle.Centre.X, q.Y-circle.Centre.Y) - circle.Radius.Millimetres()
	}
	if zone, err := form.FitCircle(flat, form.MinimumZone, form.Uncertainty{}); err == nil {
		out.zone = zone.Deviation.Total
	}
	out.errors = fitErrors(circle.Cov, func(v []float64) align.FitError {
		return align.FitError{X: tolerance.Length(v[0]), Y: tolerance.Length(v[1]), Diameter: tolerance.Length(2 * v[2])}
	})
	return out, nil
}

// longFeature fits a cylinder.
func longFeature(points []r3.Vec, u form.Uncertainty, unit tolerance.Length) (*roundGives, error) {
	if len(points) < fewestLong {
		return nil, fault.At("/points", strconv.Itoa(len(points)), strconv.Itoa(fewestLong)+" points or more at several heights: any five are on a cylinder", fault.ErrTooFew)
	}
	c, err := form.FitCylinder(points, form.LeastSquares, u)
	if err != nil {
		return nil, err
	}
	sx, sy := c.Direction.X/c.Direction.Z, c.Direction.Y/c.Direction.Z
	if !(math.Hypot(sx, sy) <= leaning) {
		return nil, fault.At("/points", fmt.Sprintf("an axis that leans by %.3g", math.Hypot(sx, sy)), "points round a feature along the part's z axis", fault.ErrOutOfRange)
	}
	out := gives(c.Point, c.Radius, c.Deviation, unit)
	out.Slope = &Pair{Num(sx), Num(sy)}
	out.off = func(q r3.Vec) float64 { return c.Distance(q) - c.Radius.Millimetres() }
	if zone, err := form.FitCylinder(points, form.MinimumZone, form.Uncertainty{}); err == nil {
		out.zone = zone.Deviation.Total
	}
	e1, e2 := form.Plane{Normal: c.Direction}.Axes()
	out.errors = fitErrors(c.Cov, func(v []float64) align.FitError {
		off, slope := r3.Add(r3.Scale(v[0], e1), r3.Scale(v[1], e2)), r3.Add(r3.Scale(v[2], e1), r3.Scale(v[3], e2))
		return align.FitError{X: tolerance.Length(off.X), Y: tolerance.Length(off.Y), Slope: align.Slope{X: slope.X, Y: slope.Y}, Diameter: tolerance.Length(2 * v[4])}
	})
	return out, nil
}

// gives are the numbers of a fit in the record's unit.
func gives(centre r3.Vec, radius tolerance.Length, dev form.Deviation, unit tolerance.Length) *roundGives {
	in := func(mm float64) Number { return Num(mm / float64(unit)) }
	return &roundGives{Centre: Triple{in(centre.X), in(centre.Y), in(centre.Z)}, Diameter: in(2 * radius.Millimetres()), least: dev.Total, zone: dev.Total}
}

// fitErrors takes a covariance apart into independent causes: the columns of its Cholesky factor. There
// are none without a covariance.
//
// Source: C = L Lᵀ, so that columns of L with independent standard variables have the covariance C.
func fitErrors(cov *mat.SymDense, of func(column []float64) align.FitError) (out []align.FitError) {
	var chol mat.Cholesky
	if cov == nil || !chol.Factorize(cov) {
		return nil
	}
	var l mat.TriDense
	chol.LTo(&l)
	for k := range cov.SymmetricDim() {
		out = append(out, of(mat.Col(nil, k, &l)))
	}
	return out
}

// eachRoundPoints calls do for the pilots and bores of a part that were measured as points: where that
// stands, and what it is.
func eachRoundPoints(p *Part, at string, do func(at, what string, q *RoundPoints)) {
	for _, side := range p.sides() {
		if q := side.face.Pilot; q != nil && q.Round != nil {
			do(at+"/"+side.name+"/pilot/round", "the "+side.name+" pilot of "+spell.Name(p.Name), q.Round)
		}
	}
	for i := range p.Bores {
		if b := &p.Bores[i]; b.Round != nil {
			do(at+"/bores/"+strconv.Itoa(i)+"/round", spell.Name(b.Name)+" in "+spell.Name(p.Name), b.Round)
		}
	}
}

// Of a point that lies apart from the others, as of a reading of a round.
const (
	leastFree   = 4  // points beyond those that hold the feature, below which the others do not show their scatter
	apart       = 10 // times the others' scatter
	apartU      = 6  // standard uncertainties of a point
	apartDigits = 4  // last digits that the points are written with
)

// apartDoubts names a point that lies apart from the feature that all others give.
//
// Source: common practice, no published source: the rule for readings of a round.
func (b *box) apartDoubts(at, what string, p *RoundPoints) {
	unit := b.unit.Size()
	g, err := p.of(unit)
	params := 3
	if err == nil && g.Slope != nil {
		params = 5
	}
	free := len(p.Points) - 1 - params
	if err != nil || free < leastFree {
		return
	}
	points := p.in(unit)
	worst, digits := 0, 0
	for i, q := range points {
		if math.Abs(g.off(q)) > math.Abs(g.off(points[worst])) {
			worst = i
		}
		digits = max(digits, decimalsOf(p.Points[i][0]), decimalsOf(p.Points[i][1]))
	}
	others := RoundPoints{Points: slices.Delete(slices.Clone(p.Points), worst, worst+1)}
	h, err := others.work(unit)
	if err != nil {
		return
	}
	var squares float64
	for i, q := range points {
		if v := h.off(q); i != worst {
			squares += v * v
		}
	}
	bound := max(apart*math.Sqrt(squares/float64(free)), apartU*p.Uncertainty.or(0)*float64(unit), apartDigits*math.Pow10(-digits)*float64(unit))
	if off := math.Abs(h.off(points[worst])); off > bound {
		b.doubt(fmt.Sprintf("%s/points/%d", at, worst), fmt.Sprintf("of the points round %s it lies %s off what all others give, and those scatter by far less: read it again", what, b.say(tolerance.Length(off))),
			at+"/centre/0", at+"/centre/1", at+"/diameter")
	}
}

// pointsRound says what points round a feature come to.
func (u *remarks) pointsRound(at, what string, p *RoundPoints) {
	g, err := p.of(u.unit.Size())
	if err != nil {
		return
	}
	shape, of := "a circle", "out of round"
	if g.Slope != nil {
		shape, of = "a cylinder", "off a true cylinder"
	}
	u.say(at, "%d points round %s make %s of diameter %s by least squares, %s by %s (%s by the minimum zone; few points hide form)",
		len(p.Points), what, shape, (tolerance.Length(g.Diameter.Value) * u.unit.Size()).Format(u.unit), of, g.least.Format(u.unit), g.zone.Format(u.unit))
}
