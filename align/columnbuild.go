package align

import (
	"math"
	"reflect"
	"slices"
)

// A plan works out its samples side by side where it can: each number that a source moves is a
// column, and seats, places and outputs are worked out over a few columns at a time. That goes for
// plain boxes: joints that close flush and are not looked at over their float. Other boxes, and the
// single samples in which a register strains, go to the kernel.
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

// follows is a slot that a number follows, and how far.
type follows struct {
	slot  int
	scale float64
}

// columnsBuilder gives numbers their columns. It knows those that sources move, in the stack or as
// mounted, by their address.
type columnsBuilder struct {
	slots []slot
	moved map[uintptr][]follows
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

// cancels is the share of its parts below which a gain is what rounding leaves of them: a round that
// moves as a whole leaves its slope alone.
const cancels = 1e-13

// columnOf is the column of the number at p, which holds its nominal value.
func columnOf[T ~float64](b *columnsBuilder, p *T) *column {
	at, moves := b.moved[reflect.ValueOf(p).Pointer()]
	if !moves {
		return b.constant(float64(*p))
	}
	var terms []term
	var sizes []float64
	for _, q := range at {
		b.used[q.slot] = true
		for _, t := range b.slots[q.slot].terms {
			k := slices.IndexFunc(terms, func(o term) bool { return o.source == t.source })
			if k < 0 {
				k, terms, sizes = len(terms), append(terms, term{source: t.source}), append(sizes, 0)
			}
			terms[k].gain += q.scale * t.gain
			sizes[k] += math.Abs(q.scale * t.gain)
		}
	}
	f := fill{dst: newColumn(), nominal: float64(*p)}
	for k, t := range terms {
		if math.Abs(t.gain) > cancels*sizes[k] {
			f.terms = append(f.terms, t)
		}
	}
	if len(f.terms) == 0 {
		return b.constant(f.nominal)
	}
	b.fills = append(b.fills, f)
	return f.dst
}

// Of how mounted numbers follow those of a part.
const (
	mostFollowing = 1 << 21 // moved numbers times mounted ones: more takes longer to find out than it saves
	atOnce        = 2       // of moves at once, that must add up
	addsUp        = 1e-9    // share by which sums of moves of 1 may differ from all at once by rounding
)

// mount finds how the features of part p as mounted follow the slots, by moving each and mounting
// the part again, so that what mounts a part is written in one place: planes follow the heights that
// they are fitted to, a register the readings of its sweep. It reports false where moves do not add
// up, as those of a temperature and a length do not.
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
	moved := numbersIn(reflect.ValueOf(p).Elem(), nil)
	moved = slices.DeleteFunc(moved, func(n reflect.Value) bool { return b.moved[n.Addr().Pointer()] == nil })
	if len(moved)*len(numbers) > mostFollowing {
		return false
	}
	rest, nominal := values(), make([]float64, len(moved))
	defer m.mount(p)
	for k, n := range moved {
		nominal[k] = n.Float()
		n.SetFloat(1)
		one := values()
		n.SetFloat(2)
		for i, two := range values() {
			if scale := two - one[i]; scale != 0 {
				to := numbers[i].Addr().Pointer()
				b.moved[to] = append(b.moved[to], follows{b.moved[n.Addr().Pointer()][0].slot, scale})
			}
		}
		n.SetFloat(nominal[k])
	}
	defer func() {
		for k, n := range moved {
			n.SetFloat(nominal[k])
		}
	}()
	for _, p := range []*float64{&m.warm, &m.expansion} { // clearances grow with these, of which no column is told
		if len(b.moved[reflect.ValueOf(p).Pointer()]) > 0 {
			return false
		}
	}
	return b.addUp(moved, nominal, numbers, rest, values)
}

// addUp reports whether numbers that are moved at once move the mounted ones, at rest without, by the
// sum of what each alone does.
func (b *columnsBuilder) addUp(moved []reflect.Value, nominal []float64, numbers []reflect.Value, rest []float64, values func() []float64) bool {
	for try := range atOnce {
		by := map[int]float64{}
		for k, n := range moved {
			d := math.Sin(float64(1 + (k+1)*(try+1))) // any numbers
			by[b.moved[n.Addr().Pointer()][0].slot] = d
			n.SetFloat(nominal[k] + d)
		}
		for i, got := range values() {
			want, size := rest[i], 1+math.Abs(rest[i])
			for _, q := range b.moved[numbers[i].Addr().Pointer()] {
				want += q.scale * by[q.slot]
				size += math.Abs(q.scale)
			}
			if !(math.Abs(got-want) <= addsUp*size) {
				return false
			}
		}
	}
	return true
}

// numbers lists a mounted part's numbers.
func (m *mountedPart) numbers() (list []reflect.Value) {
	for i := range m.faces {
		list = numbersIn(reflect.ValueOf(&m.faces[i]).Elem(), list)
	}
	for _, v := range []any{&m.bores, &m.moved, &m.warm, &m.expansion} {
		list = numbersIn(reflect.ValueOf(v).Elem(), list)
	}
	return list
}
