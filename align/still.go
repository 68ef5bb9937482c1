package align

import (
	"reflect"
	"slices"
)

// stillness says which parts no source moves, and which joints lie between such parts and are not
// moved themselves.
type stillness struct{ parts, joints []bool }

// findStill looks which parts and joints the slots lie in, and works out those that hold none, once
// for all.
func (e *Evaluator) findStill() error {
	k := e.k
	moved := map[uintptr]bool{}
	for i := range e.slots {
		moved[e.slots[i].number.Addr().Pointer()] = true
	}
	still := func(v any) bool {
		return !slices.ContainsFunc(numbersIn(reflect.ValueOf(v).Elem(), nil), func(n reflect.Value) bool { return moved[n.Addr().Pointer()] })
	}
	if err := k.solve(); err != nil {
		return err
	}
	for i := range k.still.parts {
		k.still.parts[i] = still(&k.stack.Parts[i])
	}
	for i := range k.still.joints {
		k.still.joints[i] = k.still.parts[i] && k.still.parts[i+1] && still(&k.stack.Joints[i])
	}
	return nil
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
