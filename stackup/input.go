package stackup

import (
	"reflect"

	"example.com/borestack/fault"
	"example.com/borestack/stackup/law"
)

// Input is one source of deviation: a law for one column of the model, a plane law for two, x then y, or a joint
// law for as many as it has, which vary together. Exactly one of the three is given. The name keys the draws: an
// input draws the same numbers whatever other inputs there are.
//
// Deviations that vary together are one input everywhere: its share of a variance is what all of them are to it
// together, its worst case is that over the set which they can fill together, and every deviation is in its own
// unit.
//
// The methods that sample by evenly spread points, compare studies or look for rare failures make inputs of standard
// normal numbers. Laws of package law can be; a plane law of another kind can when it has a method FromNormals(x, y
// []float64) that replaces pairs of numbers by its pairs, a joint law when it has Numbers() int and FromNormals(dst, z
// [][]float64, work []float64). Others are drawn at random by those methods.
type Input struct {
	Name  string
	Law   law.Law
	Plane law.Plane
	Joint law.Joint

	moved *moved // nil: not
}

// check finds what is wrong with the input's law: none, two, or one that is a nil pointer or holds one.
func (in *Input) check() error {
	given := 0
	for _, l := range [3]any{in.Law, in.Plane, in.Joint} {
		if l == nil {
			continue
		}
		if given++; isNil(l) {
			return fault.At(in.Name, "a nil pointer to a law", "a law", fault.ErrMissing)
		}
	}
	if given != 1 {
		return fault.At(in.Name, "several laws, or none", "one of law, plane law and joint law", fault.ErrConflict)
	}
	if p, ok := in.Plane.(law.Pair); ok {
		for k, l := range [2]law.Law{p.X, p.Y} {
			if err := (&Input{Name: in.Name + "/" + "xy"[k:k+1], Law: l}).check(); err != nil {
				return err
			}
		}
	}
	return nil
}

// isNil reports whether an interface holds nothing, or a nil pointer.
func isNil(v any) bool {
	if v == nil {
		return true
	}
	r := reflect.ValueOf(v)
	return r.Kind() == reflect.Pointer && r.IsNil()
}

// Columns is how many columns of the model the input takes.
func (in *Input) Columns() int {
	defer in.named()
	switch {
	case in.Joint != nil:
		return in.Joint.Columns()
	case in.Plane != nil:
		return 2
	}
	return 1
}

// Mean is that of the input's column k.
func (in *Input) Mean(k int) float64 {
	defer in.named()
	switch {
	case in.Joint != nil:
		return in.moved.to(k, in.Joint.Mean(k))
	case in.Plane != nil:
		x, y := in.Plane.Mean()
		return in.moved.to(k, [2]float64{x, y}[k])
	}
	return in.moved.to(k, in.Law.Moments().Mean)
}

// covariance is that of two of the input's columns.
func (in *Input) covariance(i, j int) float64 {
	defer in.named()
	switch {
	case in.Joint != nil:
		return in.moved.spread(in.Joint.Covariance(i, j))
	case in.Plane != nil:
		xx, yy, xy := in.Plane.Covariance()
		return in.moved.spread([2][2]float64{{xx, xy}, {xy, yy}}[i][j])
	}
	return in.moved.spread(in.Law.Moments().Variance)
}

// together is the covariance of two numbers that the input's columns make with gains a and b.
func (in *Input) together(a, b []float64) (sum float64) {
	for i := range a {
		sum += a[i] * b[i] * in.covariance(i, i)
	}
	for j := range a {
		for i := range j {
			sum += (a[i]*b[j] + a[j]*b[i]) * in.covariance(i, j)
		}
	}
	return sum
}

// draw fills the input's columns with the next values of a stream. work is at least as long.
func (in *Input) draw(x [][]float64, work []float64, s *law.Stream) {
	defer in.named()
	switch {
	case in.Joint != nil:
		in.Joint.Draw(x, work[:len(x[0])], s)
	case in.Plane != nil:
		in.Plane.Draw(x[0], x[1], s)
	default:
		in.Law.Draw(x[0], s)
	}
	in.moved.all(x)
}
