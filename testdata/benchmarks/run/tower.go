package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"

	"example.com/borestack/align"
	"example.com/borestack/align/record"
)

// tower is the size of an invented box: parts alike on pilots and pins, with shafts through them.
type tower struct {
	parts      int
	loose      int // joints, from the front, that may lie anywhere in their float; the others rest
	pins       int // of each joint, on a circle
	shafts     int
	supports   int // in all, dealt out along the parts
	candidates int // for the second part
	readings   int // of a thickness round every part with two faces; 0: slopes
	states     int
	points     int  // of every face
	seat       bool // joints seat on them
	bends      int  // sections of every shaft, and loads on it
	chains     int  // and links of each
}

// usual is a box of ordinary size, of which the curves change one number at a time.
func usual() tower { return tower{parts: 4, loose: 3, pins: 1, shafts: 1, supports: 5} }

type object map[string]any

// text is the record of a box of this size.
func (t tower) text() ([]byte, error) {
	rec := object{
		"format": record.Format, "title": "invented for a benchmark", "units": object{"length": "mm"},
		"accept": []any{object{"output": object{"kind": "margin"}, "least": 0}},
	}
	var parts, joints, states []any
	for p := range t.parts {
		parts = append(parts, t.part(p, fmt.Sprint("p", p), p))
		if p > 0 {
			joints = append(joints, t.joint(p-1))
		}
	}
	rec["parts"], rec["joints"] = parts, joints
	shafts := make([]object, t.shafts)
	for s := range shafts {
		var supports []any
		for k := s; k < t.supports; k += t.shafts {
			supports = append(supports, object{"bore": fmt.Sprintf("p%d/b%d", t.home(k), k), "clearance": 0.12})
		}
		shafts[s] = object{"name": fmt.Sprint("s", s), "supports": supports}
		t.bend(shafts[s])
	}
	rec["shafts"] = shafts
	if t.candidates > 0 {
		var list []any
		for c := range t.candidates {
			list = append(list, t.part(1, fmt.Sprint("candidate ", c), t.parts+c))
		}
		rec["candidates"] = object{"p1": list}
	}
	for s := range t.states {
		states = append(states, object{"name": fmt.Sprint("warm ", s), "temperatures": object{"p1": 30 + s}})
	}
	var chains []any
	for c := range t.chains {
		var links []any
		for k := range t.chains {
			links = append(links, object{"name": fmt.Sprint("link ", k), "from": "p0/rear", "to": "p1/front"})
		}
		chains = append(chains, object{"name": fmt.Sprint("chain ", c), "links": links})
	}
	if chains != nil {
		rec["chains"] = chains
	}
	if states != nil {
		rec["states"] = states
	}
	return json.Marshal(rec)
}

// bend gives a shaft its sections and loads.
func (t tower) bend(shaft object) {
	var sections, loads []any
	long := 40 * float64(t.parts)
	for k := range t.bends {
		from, to := long*float64(k)/float64(t.bends), long*float64(k+1)/float64(t.bends)
		sections = append(sections, object{"from": from, "to": to, "diameter": 20 + k%3})
		loads = append(loads, object{"name": fmt.Sprint("load ", k), "z": (from + to) / 2, "force": []float64{1, -2}})
	}
	if sections != nil {
		shaft["material"], shaft["sections"], shaft["loads"] = "steel", sections, loads
	}
}

// home is the part that holds support k.
func (t tower) home(k int) int { return k * t.parts / max(t.supports, 1) }

// wave is a deviation of a size, another for every number.
func wave(size float64, n int) float64 { return size * math.Sin(2.4*float64(n)+0.7) }

// part is one part at its place; off says how it is out.
func (t tower) part(place int, name string, off int) object {
	part := object{"name": name, "material": "steel"}
	var bores []any
	for k := range t.supports {
		if t.home(k) == place {
			bores = append(bores, object{"name": fmt.Sprint("b", k), "centre": []float64{wave(0.004, off+k), wave(0.004, off+3*k+1), 5 + 0.3*float64(k%100)}})
		}
	}
	if bores != nil {
		part["bores"] = bores
	}
	if place > 0 {
		front := object{"pilot": object{"kind": "spigot", "centre": []float64{0, 0}, "diameter": 100.0}, "dowels": t.dowels(8.02, 0)}
		if t.points > 0 {
			front["points"] = t.ring(0, off)
		}
		part["front"] = front
	}
	if place < t.parts-1 {
		rear := object{"pilot": object{"kind": "bore", "centre": []float64{0, 0}, "diameter": 100.02}, "dowels": t.dowels(8, off)}
		switch {
		case t.points > 0:
			rear["points"] = t.ring(40, off+1)
		case t.readings == 0 || place == 0:
			rear["z"], rear["slope"] = 40, []float64{wave(2e-5, off), wave(2e-5, off+2)}
		default:
			round := make([]float64, t.readings)
			for i := range round {
				round[i] = 40 + wave(0.002, off+i)
			}
			rear["thickness"] = object{"radius": 60, "readings": round, "uncertainty": 0.001}
		}
		part["rear"] = rear
	}
	return part
}

// ring is a face's measured points at a height.
func (t tower) ring(z float64, off int) [][3]float64 {
	out := make([][3]float64, t.points)
	for i := range out {
		a := 2 * math.Pi * float64(i) / float64(t.points)
		out[i] = [3]float64{70 * math.Cos(a), 70 * math.Sin(a), z + wave(0.003, off+i)}
	}
	return out
}

func (t tower) dowels(diameter float64, off int) []any {
	out := []any{}
	for k := range t.pins {
		a := 2 * math.Pi * float64(k) / float64(t.pins)
		out = append(out, object{
			"name": fmt.Sprint("d", k), "diameter": diameter,
			"centre": []float64{60*math.Cos(a) + wave(0.001, off+k), 60*math.Sin(a) + wave(0.001, off+k+1)},
		})
	}
	return out
}

func (t tower) joint(k int) object {
	pins := []any{}
	for i := range t.pins {
		pins = append(pins, object{"dowel": fmt.Sprint("d", i), "diameter": 8.0, "pressed": "front"})
	}
	joint := object{"pins": pins}
	if k >= t.loose {
		joint["lies"] = "rest"
	}
	if t.seat {
		joint["seat"] = "points"
	}
	return joint
}

// record is the box as a record.
func (t tower) record() (*record.Record, error) {
	text, err := t.text()
	if err != nil {
		return nil, err
	}
	return record.Decode(bytes.NewReader(text))
}

// stack is the box.
func (t tower) stack() (align.Stack, error) {
	rec, err := t.record()
	if err != nil {
		return align.Stack{}, err
	}
	return rec.Stack()
}
