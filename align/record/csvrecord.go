package record

import (
	"bytes"
	"fmt"
	"slices"
	"strings"

	"example.com/borestack/fault"
)

// PointsAt returns the measured points of the face at a JSON Pointer such as "/parts/1/rear", in the record's unit. A face without points has none.
func (r *Record) PointsAt(pointer string) ([]Triple, error) {
	f, err := r.faceAt(pointer)
	if err != nil || *f == nil {
		return nil, err
	}
	return slices.Clone((*f).Points), nil
}

// SetPoints gives the face at a JSON Pointer such as "/parts/1/rear" measured points in a unit, in place of those that it has, and makes the face if there is none. Points in another unit than the record's are converted, exactly as far as float64 goes.
//
// The record is encoded and decoded again, so that all its rules hold; on error, one of [Decode], it is as it was. Nothing that contradicts the points (a z, a slope, thickness, a sweep) is taken away: that is an error. Pointers into the record that were taken before no longer lead into it.
func (r *Record) SetPoints(pointer string, points []Triple, unit string) error {
	f, err := r.faceAt(pointer)
	if err != nil {
		return err
	}
	if err := knownUnit("/unit", unit); err != nil {
		return err
	}
	list := make([]Triple, len(points))
	for i := range points {
		for k, n := range points[i] {
			if n, err = usable(n, fmt.Sprintf("%s/points/%d/%d", pointer, i, k)); err != nil {
				return err
			}
			list[i][k] = converted(n, unit, r.Units.Length)
		}
	}
	before := *f
	face := Face{}
	if before != nil {
		face = *before
	}
	face.Points = list
	*f = &face
	if err := r.again(); err != nil {
		*f = before
		return err
	}
	return nil
}

// ReadingsAt returns the readings of the block at a JSON Pointer such as "/parts/1/rear/thickness", "/parts/0/front/pilot/sweep" or "/parts/0/bores/1/sweep", with their unit named.
func (r *Record) ReadingsAt(pointer string) (Readings, error) {
	b, err := r.blockAt(pointer)
	if err != nil {
		return Readings{}, err
	}
	out := *b
	if out.Unit == "" {
		out.Unit = r.Units.Length
	}
	return out, nil
}

// SetReadings gives the block at a JSON Pointer, as for [Record.ReadingsAt], what a table tells: readings, clock angles, the side that they are seen from, and the closing reading. They are converted into the unit that the block counts in, exactly as far as float64 goes; a block in the table's unit keeps the digits as written. Uncertainties replace the block's where given; a block must be there already, with what a table does not tell, such as its radius.
//
// Record and errors are as for [Record.SetPoints].
func (r *Record) SetReadings(pointer string, in Readings) error {
	b, err := r.blockAt(pointer)
	if err != nil {
		return err
	}
	if err := knownUnit("/unit", in.Unit); err != nil {
		return err
	}
	before, unit := *b, b.Unit
	if unit == "" {
		unit = r.Units.Length
	}
	number := func(n *Number, path string) *Number {
		if n == nil || err != nil {
			return nil
		}
		var v Number
		if v, err = usable(*n, pointer+path); err != nil {
			return nil
		}
		v = converted(v, in.Unit, unit)
		return &v
	}
	b.Readings = nil
	for i, v := range in.Readings {
		q := Reading{List: v.List}
		for k := range v.Repeats {
			if n := number(&v.Repeats[k], fmt.Sprintf("/readings/%d", i)); n != nil {
				q.Repeats = append(q.Repeats, *n)
			}
		}
		b.Readings = append(b.Readings, q)
	}
	b.First, b.At, b.SeenFrom, b.Closing = in.First, slices.Clone(in.At), in.SeenFrom, number(in.Closing, "/closing")
	if in.Uncertainty != nil {
		b.Uncertainty = number(in.Uncertainty, "/uncertainty")
	}
	if in.SharedUncertainty != nil {
		b.SharedUncertainty = number(in.SharedUncertainty, "/shared_uncertainty")
	}
	if err == nil {
		err = r.again()
	}
	if err != nil {
		*b = before
	}
	return err
}

// usable refuses a number that JSON cannot write.
func usable(n Number, path string) (Number, error) {
	if n.Text == "" {
		n = Num(n.Value)
	}
	back, bad := parseCell(n.Text, ".", "")
	switch {
	case len(n.Text) > maxCell: // long ones are for the decoder to judge
	case bad != nil:
		return n, &fault.FieldError{Path: path, Value: n.Text, Want: bad.want, Err: bad.class}
	case back.Value != n.Value:
		return n, &fault.FieldError{Path: path, Value: n.Text, Want: fmt.Sprintf("a text that says the value, %v", n.Value), Err: fault.ErrConflict}
	}
	return n, nil
}

func knownUnit(path, unit string) error {
	switch unit {
	case "mm", "um", "m", "in", "thou":
		return nil
	case "":
		return &fault.FieldError{Path: path, Want: "mm, um, m, in or thou", Err: fault.ErrMissing}
	}
	return &fault.FieldError{Path: path, Value: fmt.Sprintf("%q", unit), Want: "mm, um, m, in or thou", Err: errUnknown}
}

// again encodes the record and decodes it, which checks it and renews what it keeps beside its fields.
func (r *Record) again() error {
	var b bytes.Buffer
	if err := r.Encode(&b); err != nil {
		return err
	}
	next, err := Decode(&b)
	if err != nil {
		return err
	}
	*r = *next
	return nil
}

// noPlace is the fault of a pointer that does not lead where it should.
func noPlace(pointer, want string) error {
	return &fault.FieldError{Path: pointer, Want: want, Err: fault.ErrUnknownName}
}

// partAt follows a pointer to a part and returns the rest of its steps.
func (r *Record) partAt(pointer string) (*Part, []string) {
	steps := strings.Split(pointer, "/")
	parts := r.Parts
	if len(steps) > 3 && steps[1] == "candidates" {
		name := strings.ReplaceAll(strings.ReplaceAll(steps[2], "~1", "/"), "~0", "~")
		i := slices.IndexFunc(r.Candidates, func(e Entry[[]Part]) bool { return e.Name == name })
		if i < 0 {
			return nil, nil
		}
		parts, steps = r.Candidates[i].Value, steps[1:]
	} else if len(steps) < 3 || steps[1] != "parts" {
		return nil, nil
	}
	i, ok := index(steps[2])
	if steps[0] != "" && steps[0] != "candidates" || !ok || i >= len(parts) {
		return nil, nil
	}
	return &parts[i], steps[3:]
}

// faceAt follows a pointer to the place of a face, which may hold none.
func (r *Record) faceAt(pointer string) (**Face, error) {
	p, rest := r.partAt(pointer)
	if p != nil && len(rest) == 1 {
		switch rest[0] {
		case "front":
			return &p.Front, nil
		case "rear":
			return &p.Rear, nil
		}
	}
	return nil, noPlace(pointer, `a JSON Pointer to a part's face, such as "/parts/1/rear"`)
}

// blockAt follows a pointer to a block of readings.
func (r *Record) blockAt(pointer string) (*Readings, error) {
	p, rest := r.partAt(pointer)
	var f *Face
	if p != nil && len(rest) > 0 {
		switch rest[0] {
		case "front":
			f = p.Front
		case "rear":
			f = p.Rear
		}
	}
	var s *Sweep
	switch way := strings.Join(rest, "/"); {
	case f != nil && way == rest[0]+"/thickness" && f.Thickness != nil:
		return &f.Thickness.Readings, nil
	case f != nil && way == rest[0]+"/sweep":
		s = f.Sweep
	case f != nil && way == rest[0]+"/pilot/sweep" && f.Pilot != nil:
		s = f.Pilot.Sweep
	case p != nil && len(rest) == 3 && rest[0] == "bores" && rest[2] == "sweep":
		if i, ok := index(rest[1]); ok && i < len(p.Bores) {
			s = p.Bores[i].Sweep
		}
	}
	if s == nil {
		return nil, noPlace(pointer, `a JSON Pointer to a thickness or sweep that is there, such as "/parts/1/rear/thickness"`)
	}
	return &s.Readings, nil
}
