package study

import (
	"example.com/borestack/align"
	"example.com/borestack/align/record"
)

// references say which numbers of one box follow a record's numbers.
type references struct {
	rec  *record.Record
	here *record.Numbers // of the box that is meant
	base *record.Numbers // of the box as measured
}

// references resolves the record's numbers for the box that in makes of its stack; nil: as measured.
func (o Origin) references(in func(align.Stack) (align.Stack, error)) (*references, error) {
	base, err := o.numbers()
	if err != nil || in == nil {
		return &references{o.rec, base, base}, err
	}
	here, err := base.In(in)
	return &references{o.rec, here, base}, err
}

// moves are what follows the number that a pointer leads to; none for a number that the state fixes,
// or that belongs to a part which a candidate replaces.
func (r *references) moves(pointer string) ([]align.Move, error) {
	m, err := r.here.Moves(pointer)
	if err == nil || r.here == r.base {
		return m, err
	}
	if _, missing := r.base.Moves(pointer); missing != nil {
		return nil, missing
	}
	return nil, nil
}
