package align

import "reflect"

// A plan works out its samples side by side where it can: each number that a source moves is a
// column, and seats, places and outputs are worked out over a few columns at a time. That goes for
// plain boxes: joints on planes that close flush and are not looked at over their float, with
// outputs that follow from places. Other boxes, and the single samples in which a register strains,
// go to the kernel.
//
// What a part's numbers are as mounted is read off the mount itself (columnsBuilder.mount); the
// formulas of floats, circles, lines and outputs stand once, in jointfloat.go, circles.go, axis.go
// and internal/floatset, for both. Only rotations differ: matrices here, quaternions in the kernel,
// which keep every digit of a small turn and take four times as long. TestColumns_sameAsKernel
// holds the two together.

// chunk is how many samples are side by side: enough to hide the cost of going from number to
// number, few enough to stay in the caches.
const chunk = 128

// A column is one number in every sample of a chunk. It points at its own values, or, where these
// are a source's deviations as they are, at these.
type column struct {
	now *[chunk]float64
	own [chunk]float64
}

// fill sets a column to the nominal value plus what the sources add.
type fill struct {
	dst     *column
	nominal float64
	terms   []term
}

// follows is a number that follows one slot in proportion: it is scale times the slot's number.
type follows struct {
	slot  int
	scale float64
}

// columnsBuilder gives numbers their columns. It knows those that sources move, in the stack or as
// mounted, by their address.
type columnsBuilder struct {
	slots []slot
	moved map[uintptr]follows
	used  []bool
	fills []fill
	same  map[float64]*column // of numbers that nothing moves
}

// constant is the column of a number that nothing moves.
func (b *columnsBuilder) constant(v float64) *column {
	if c, ok := b.same[v]; ok {
		return c
	}
	c := newColumn()
	for i := range c.own {
		c.own[i] = v
	}
	b.same[v] = c
	return c
}

func newColumn() *column {
	c := &column{}
	c.now = &c.own
	return c
}

// columnOf is the column of the number at p, which holds its nominal value.
func columnOf[T ~float64](b *columnsBuilder, p *T) *column {
	at, moves := b.moved[reflect.ValueOf(p).Pointer()]
	if !moves {
		return b.constant(float64(*p))
	}
	b.used[at.slot] = true
	f := fill{dst: newColumn(), nominal: float64(*p)}
	for _, t := range b.slots[at.slot].terms {
		f.terms = append(f.terms, term{t.source, at.scale * t.gain})
	}
	b.fills = append(b.fills, f)
	return f.dst
}

// mount finds how the features of part p as mounted follow the slots, by moving each and mounting
// the part again, so that what mounts a part is written in one place. It reports false where one
// does not follow a single slot in proportion: a fit to readings that move, a temperature.
func (b *columnsBuilder) mount(p *Part, m *mountedPart) bool {
	numbers := m.numbers()
	values := func() []float64 {
		m.mount(p)
		out := make([]float64, len(numbers))
		for i, n := range numbers {
			out[i] = n.Float()
		}
		return out
	}
	rest := values()
	defer m.mount(p)
	for _, n := range numbersIn(reflect.ValueOf(p).Elem(), nil) {
		at, moves := b.moved[n.Addr().Pointer()]
		if !moves {
			continue
		}
		nominal := n.Float()
		n.SetFloat(1)
		one := values()
		n.SetFloat(2)
		two := values()
		n.SetFloat(nominal)
		for i, scale := range one {
			to := numbers[i].Addr().Pointer()
			_, twice := b.moved[to]
			switch {
			case scale == rest[i] && two[i] == rest[i]:
			case two[i] == 2*scale && rest[i] == scale*nominal && !twice:
				b.moved[to] = follows{at.slot, scale}
			default:
				return false
			}
		}
	}
	return true
}

// numbers lists a mounted part's numbers but the points of its faces, whose planes are numbers.
func (m *mountedPart) numbers() (list []reflect.Value) {
	for i := range m.faces {
		f := &m.faces[i]
		for _, v := range []any{&f.p, &f.diameter, &f.cx, &f.cy, &f.pilotD, &f.px, &f.py, &f.dowels} {
			list = numbersIn(reflect.ValueOf(v).Elem(), list)
		}
	}
	for _, v := range []any{&m.bores, &m.moved, &m.warm, &m.expansion} {
		list = numbersIn(reflect.ValueOf(v).Elem(), list)
	}
	return list
}
