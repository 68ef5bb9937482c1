package record

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"

	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
	"example.com/borestack/tolerance/fits"
)

// Fit is a clearance given by its classes, "35 H7/g6" with the size in millimetres, where none was
// measured: the middle of what the classes leave. The zero value is no fit.
type Fit struct {
	Text   string
	Middle Number // of the clearance, diametral, in the record's unit
}

// MarshalJSON writes the classes.
func (f Fit) MarshalJSON() ([]byte, error) { return json.Marshal(f.Text) }

// decodeNode reads the classes of a fit that leaves room.
func (f *Fit) decodeNode(d *decoder, n *node, path, _ string) {
	f.Middle = Num(0)
	m, ok := d.fit(n, path)
	if !ok {
		return
	}
	f.Text = n.text
	middle := (m.Clearance.Least.Length() + m.Clearance.Greatest.Length()) / 2
	if !(middle > 0) {
		d.fault(path, n, fault.ErrOutOfRange, fmt.Sprintf("a fit that leaves room in the middle of its classes, not %v", middle))
		return
	}
	f.Middle = Num(float64(middle / d.lengthUnit))
}

// fit reads the classes of a hole and its shaft.
func (d *decoder) fit(n *node, path string) (fits.Mating, bool) {
	if n.kind != isString {
		d.fault(path, n, errWrongType, `a size in mm and two classes in double quotes, such as "35 H7/g6"`)
		return fits.Mating{}, false
	}
	f, err := fits.ParseFit(n.text)
	var m fits.Mating
	if err == nil {
		m, err = f.Limits()
	}
	if err != nil {
		class, want := fault.ErrSyntax, `a size in mm and two classes, the hole first, such as "35 H7/g6"`
		var q *fault.FieldError
		if errors.As(err, &q) {
			class, want = q.Err, q.Want
		}
		d.fault(path, n, class, want)
		return fits.Mating{}, false
	}
	return m, true
}

// clearance is the number that the support's clearance rests on: as stated, or of its fit.
func (s *Support) clearance() *Number {
	if s.Fit != nil {
		return &s.Fit.Middle
	}
	return &s.Clearance
}

// support refuses a clearance that is stated twice, or not at all.
func (c *sourceCheck) support(at string, s *Support) {
	switch stated := s.Clearance.Text != ""; {
	case !stated && s.Fit == nil:
		c.missing(at+"/clearance", "this key, or fit")
	case stated && s.Fit != nil:
		c.twice(at+"/fit", "clearance or fit, not both: what was measured stands")
	}
}

// ClearanceOf is the law of a fit in words of numbers: the standard deviation and the greatest
// deviation of its clearance from the middle, in millimetres. Hole and shaft each fill their
// tolerance by three standard deviations either way and are measured, so that none is beyond it.
//
// Source: common practice, no published source (a capability of 1, independent parts).
func (l *Law) ClearanceOf() (sd, greatest tolerance.Length, err error) {
	f, err := fits.ParseFit(l.Fit)
	if err != nil {
		return 0, 0, err
	}
	m, err := f.Limits()
	if err != nil {
		return 0, 0, err
	}
	hole, shaft := m.Hole.Width(), m.Shaft.Width()
	return tolerance.Length(math.Hypot(float64(hole), float64(shaft))) / 6, (hole + shaft) / 2, nil
}

// isFit reports whether a pointer leads to the classes of a fit, whose clearance may vary.
func (r *Record) isFit(pointer string) bool {
	_, fit := r.find(pointer).(*Fit)
	return fit
}
