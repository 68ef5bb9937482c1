package record

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"example.com/borestack/align"
)

// eachPart calls do for every part, and then for every candidate, with its pointer. Beside a part as written
// stands the same part of the stack that the record maps to; nil where no stack is given.
func (r *Record) eachPart(s *align.Stack, do func(w *Part, p *align.Part, at string)) {
	list := func(written []Part, mapped func(i int) *align.Part, at string) {
		for i := range written {
			var p *align.Part
			if s != nil {
				p = mapped(i)
			}
			do(&written[i], p, at+"/"+strconv.Itoa(i))
		}
	}
	list(r.Parts, func(i int) *align.Part { return &s.Parts[i] }, "/parts")
	for c, e := range r.Candidates {
		list(e.Value, func(i int) *align.Part { return &s.Candidates[c].Parts[i] }, "/candidates"+step(e.Name))
	}
}

// namedPlace is a place of the record that a table may fill, as people name it.
type namedPlace struct{ name, pointer string }

// places lists the rounds, faces and clearances of the record by name, in the order of its pointers.
func (r *Record) places() []namedPlace {
	var out []namedPlace
	add := func(pointer, format string, args ...any) {
		out = append(out, namedPlace{fmt.Sprintf(format, args...), pointer})
	}
	for i := range r.Parts {
		p, at := &r.Parts[i], fmt.Sprintf("/parts/%d", i)
		for _, b := range p.blocks() {
			add(at+b.at, "%s/%s", p.Name, b.name)
		}
		for _, side := range p.sides() {
			add(at+"/"+side.name, "%s/%s points", p.Name, side.name)
		}
	}
	for i := range r.Shafts {
		for k := range r.Shafts[i].Supports {
			add(fmt.Sprintf("/shafts/%d/supports/%d/clearance", i, k), "clearance of %s", r.Shafts[i].Supports[k].Bore)
		}
	}
	for i := range r.Pockets {
		add(fmt.Sprintf("/pockets/%d/clearance", i), "clearance of %s", r.Pockets[i].Name)
	}
	slices.SortFunc(out, func(a, b namedPlace) int { return strings.Compare(a.pointer, b.pointer) })
	alike := map[string]int{}
	for _, p := range out {
		alike[strings.ToLower(p.name)]++
	}
	for i := range out {
		if alike[strings.ToLower(out[i].name)] > 1 { // which of them would be a guess
			out[i].name = out[i].pointer
		}
	}
	return out
}

// named finds a place by what people call it: by a further name where that can mean one thing, a
// face by the one round that it has, or by its points where it has none, and a bore by its
// clearance where it was not swept. -1: none is called so.
func (r *Record) named(places []namedPlace, called string) int {
	by := func(of func(namedPlace) string, called string) int {
		return slices.IndexFunc(places, func(p namedPlace) bool { return strings.EqualFold(of(p), called) })
	}
	name, pointer := func(p namedPlace) string { return p.name }, func(p namedPlace) string { return p.pointer }
	if i := by(name, called); i >= 0 {
		return i
	}
	for i := range r.Parts {
		p := &r.Parts[i]
		for _, side := range p.sides() {
			if !strings.EqualFold(p.Name+"/"+side.name, called) {
				continue
			}
			at := fmt.Sprintf("/parts/%d/%s", i, side.name)
			if keys := present(side.face, "thickness", "sweep"); len(keys) == 1 {
				at += "/" + keys[0]
			}
			return by(pointer, at)
		}
	}
	return by(name, "clearance of "+called)
}

// namedFace is one face of a part under its key.
type namedFace struct {
	name string
	face *Face
}

// of is the same face of the mapped part.
func (f namedFace) of(p *align.Part) *align.Face {
	if f.name == "rear" {
		return p.Rear
	}
	return p.Front
}

// sides are the faces that a part has, front first.
func (p *Part) sides() []namedFace {
	return slices.DeleteFunc([]namedFace{{"front", p.Front}, {"rear", p.Rear}}, func(f namedFace) bool { return f.face == nil })
}

// fillable is what a table may fill at a JSON Pointer: a face, for its points, a round of readings,
// or a number; nil where it leads to none of them. Beside it stands the unit of length that it counts
// in; empty where it is no length.
func (r *Record) fillable(pointer string) (to any, unit string) {
	to, unit = r.locate(pointer)
	switch x := to.(type) {
	case *Face:
		return x, unit
	case *Thickness:
		return &x.Readings, unit
	case *Sweep:
		return &x.Readings, unit
	case *Number, *Reading:
		if n := r.number(pointer); n != nil {
			return n, unit
		}
	}
	return nil, ""
}
