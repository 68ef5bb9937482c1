package align

import "reflect"

// stillness says which parts no source moves, and which joints lie between such parts and are not moved themselves.
type stillness struct{ parts, joints []bool }

// findStill moves every slot of an evaluator once and looks which parts and joints differ, and works out those that do not, once for all.
func (e *Evaluator) findStill() error {
	k := e.k
	if len(k.stack.Parts) == 0 {
		return nil
	}
	rest := k.stack.Clone()
	parts, joints := make([]bool, len(k.stack.Parts)), make([]bool, len(k.stack.Joints))
	const nudge = 1.0 / 1024 // any deviation that is not lost in a number
	for i := range e.slots {
		e.slots[i].set(nudge)
	}
	for i := range parts {
		parts[i] = reflect.DeepEqual(k.stack.Parts[i], rest.Parts[i])
	}
	for i := range joints {
		joints[i] = parts[i] && parts[i+1] && reflect.DeepEqual(k.stack.Joints[i], rest.Joints[i])
	}
	for i := range e.slots {
		e.slots[i].set(0)
	}
	if err := k.solve(); err != nil {
		return err
	}
	k.still = stillness{parts, joints}
	return nil
}
