package main

import (
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/mat"
)

// The rules of RECORD.md, "What does not pass", written a second time and plainly, on the JSON itself and on what the boxes of this campaign hold: points where the campaign goes, every length in mm.

// ruled says which rules a record breaks: nil means none.
func ruled(raw []byte) []string {
	var box object
	d := json.NewDecoder(strings.NewReader(string(raw)))
	d.UseNumber()
	if err := d.Decode(&box); err != nil {
		panic(err)
	}
	var out []string
	say := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	parts := box["parts"].(list)
	for i := range parts {
		rulePart(parts[i].(object), fmt.Sprintf("/parts/%d", i), say)
	}
	for i, j := range box["joints"].(list) {
		ruleJoint(j.(object), parts[i].(object), parts[i+1].(object), fmt.Sprintf("/joints/%d", i), say)
	}
	ruleShaft(box, say)
	return out
}

func num(v any) float64 {
	f, err := v.(json.Number).Float64()
	if err != nil {
		panic(err)
	}
	return f
}

func has(o object, keys ...string) int {
	n := 0
	for _, k := range keys {
		if _, ok := o[k]; ok {
			n++
		}
	}
	return n
}

func or0(o object, key string) float64 {
	if v, ok := o[key]; ok {
		return num(v)
	}
	return 0
}

func sub(o object, key string) object {
	v, _ := o[key].(object)
	return v
}

// lengthOf is where a part's rear face meets its axis.
func lengthOf(rear object) float64 {
	if t := sub(rear, "thickness"); t != nil {
		v, _ := stations(t)
		m, _ := fitRound(v, len(v), 1, 0)
		return m
	}
	return or0(rear, "z")
}

func rulePart(p object, at string, say func(string, ...any)) {
	front, rear := sub(p, "front"), sub(p, "rear")
	widest := 0.0
	var pilot object
	for _, f := range []object{front, rear} {
		if f == nil {
			continue
		}
		widest = math.Max(widest, or0(f, "diameter"))
		if has(f, "slope", "points", "thickness", "sweep") > 1 {
			say("%s: a face described twice", at)
		}
		if q := sub(f, "pilot"); q != nil {
			if has(q, "centre", "sweep") != 1 {
				say("%s: a pilot without one place", at)
			}
			if pilot == nil {
				pilot = q
			}
		}
		if t := sub(f, "thickness"); t != nil {
			ruleRound(t, at+"/rear/thickness", say)
		}
	}
	if front != nil && rear != nil {
		if has(rear, "z", "thickness", "points") == 0 {
			say("%s: a rear face without a place", at)
		} else if lengthOf(rear) <= or0(front, "z") {
			say("%s: a rear face ahead of the front face", at)
		}
	}
	for k, v := range p["bores"].(list) {
		b, path := v.(object), fmt.Sprintf("%s/bores/%d", at, k)
		if has(b, "centre", "sweep") != 1 {
			say("%s: a bore without one place", path)
			continue
		}
		x, y, z := 0.0, 0.0, or0(b, "z")
		if c, ok := b["centre"].(list); ok {
			x, y, z = num(c[0]), num(c[1]), num(c[2])
		} else {
			ruleRound(sub(b, "sweep"), path+"/sweep", say)
		}
		if widest == 0 {
			continue
		}
		px, py := 0.0, 0.0
		if c, ok := pilot["centre"].(list); ok {
			px, py = num(c[0]), num(c[1])
		}
		if math.Hypot(x-px, y-py) > widest*(1+1e-9) {
			say("%s: off its part", path)
		}
		if front != nil && rear != nil && (z < or0(front, "z")-widest/2 || z > lengthOf(rear)+widest/2) {
			say("%s: outside its part along z", path)
		}
	}
}

func ruleJoint(j, a, b object, at string, say func(string, ...any)) {
	rear, front := sub(a, "rear"), sub(b, "front")
	p, q := sub(rear, "pilot"), sub(front, "pilot")
	bore, spigot := p, q
	if p["kind"] == "spigot" {
		bore, spigot = q, p
	}
	if bore["kind"] == "bore" && spigot["kind"] == "spigot" {
		if tight := num(spigot["diameter"]) - num(bore["diameter"]); tight > 0.0025*math.Max(num(spigot["diameter"]), num(bore["diameter"])) {
			say("%s: a press of %g", at, tight)
		}
	}
	pins, _ := j["pins"].(list)
	for _, v := range pins {
		pin := v.(object)
		for side, f := range map[string]object{"front": rear, "rear": front} {
			if pin["pressed"] == side {
				continue
			}
			for _, h := range f["dowels"].(list) {
				hole := h.(object)
				if hole["name"] == pin["dowel"] && num(pin["diameter"])-num(hole["diameter"]) > 0.01*num(pin["diameter"]) {
					say("%s: a pin larger than its hole", at)
				}
			}
		}
	}
}

func ruleShaft(box object, say func(string, ...any)) {
	base, z, in, diameter := 0.0, map[string]float64{}, map[string]int{}, map[string]float64{}
	for i, v := range box["parts"].(list) {
		p := v.(object)
		base -= or0(sub(p, "front"), "z")
		for _, w := range p["bores"].(list) {
			b := w.(object)
			name := p["name"].(string) + "/" + b["name"].(string)
			at := or0(b, "z")
			if c, ok := b["centre"].(list); ok {
				at = num(c[2])
			}
			z[name], in[name] = base+at, i
			diameter[name] = or0(b, "diameter")
		}
		if rear := sub(p, "rear"); rear != nil {
			base += lengthOf(rear)
		}
		if joints := box["joints"].(list); i < len(joints) {
			base += or0(sub(joints[i].(object), "gasket"), "thickness")
		}
	}
	supports := box["shafts"].(list)[0].(object)["supports"].(list)
	for i, v := range supports {
		s := v.(object)
		bore := s["bore"].(string)
		if s["kind"] == "bush" && has(s, "journal") == 1 && diameter[bore] > 0 {
			got, want := diameter[bore]-num(s["journal"]), num(s["clearance"])
			if math.Abs(got-want) > 0.25*math.Max(math.Abs(got), math.Abs(want)) {
				say("/shafts/0/supports/%d: bore less journal is not the clearance", i)
			}
		}
		for _, w := range supports {
			other := w.(object)["bore"].(string)
			if in[other] > in[bore] && z[other] < z[bore] {
				say("/shafts/0/supports/%d: ahead of an earlier part", i)
			}
		}
	}
}

// stations are the readings of a round, and the last digit that they use.
func stations(block object) (v []float64, digit float64) {
	digit = 1
	for _, r := range block["readings"].(list) {
		v = append(v, num(r))
		if _, after, ok := strings.Cut(string(r.(json.Number)), "."); ok {
			digit = math.Min(digit, math.Pow(10, -float64(len(after))))
		}
	}
	return v, digit
}

// fitRound fits a mean and harmonics to readings at equal steps of 360/m, all but the one left out; it returns the mean and the root mean square of what is left, and for the one left out how far it is from the fit.
func fitRound(v []float64, m, harmonics, without int, skip ...bool) (mean, scatter float64) {
	mean, scatter, _ = fitWithout(v, m, harmonics, without, len(skip) > 0)
	return mean, scatter
}

func fitWithout(v []float64, m, harmonics, without int, leave bool) (mean, scatter, off float64) {
	row := func(k int) []float64 {
		r := []float64{1}
		for h := 1; h <= harmonics; h++ {
			a := 2 * math.Pi * float64(h*k) / float64(m)
			r = append(r, math.Cos(a), math.Sin(a))
		}
		return r
	}
	var rows [][]float64
	var y []float64
	for k := range v {
		if leave && k == without {
			continue
		}
		rows, y = append(rows, row(k)), append(y, v[k])
	}
	cols := 1 + 2*harmonics
	a := mat.NewDense(len(rows), cols, nil)
	for i := range rows {
		a.SetRow(i, rows[i])
	}
	var x mat.VecDense
	if err := x.SolveVec(a, mat.NewVecDense(len(y), y)); err != nil {
		return 0, 0, 0
	}
	dot := func(r []float64) float64 {
		s := 0.0
		for i := range r {
			s += r[i] * x.AtVec(i)
		}
		return s
	}
	for i := range rows {
		scatter += math.Pow(y[i]-dot(rows[i]), 2) / float64(len(y))
	}
	return x.AtVec(0), math.Sqrt(scatter), v[without] - dot(row(without))
}

func ruleRound(block object, at string, say func(string, ...any)) {
	v, d := stations(block)
	span := slices.Max(v) - slices.Min(v)
	u := or0(block, "uncertainty")
	if c, ok := block["closing"]; ok {
		if e := math.Abs(num(c) - v[0]); e > span/4*(1+1e-9) && e > 4*u && e > 2*d*(1+1e-9) {
			say("%s: does not close by %g", at, e)
		}
	}
	m := len(v)
	bound := 3 * u
	if u == 0 {
		bound = d
	}
	if _, closed := block["closing"]; !closed && slices.Contains([]int{4, 6, 8, 12, 16, 24}, m-1) {
		harmonics := 2
		if m == 5 {
			harmonics = 1
		}
		others := slices.Max(v[:m-1]) - slices.Min(v[:m-1])
		_, short := fitRound(v[:m-1], m-1, harmonics, 0)
		_, long := fitRound(v, m, harmonics, 0)
		if math.Abs(v[m-1]-v[0]) <= bound*(1-1e-9) && others > 10*bound*(1+1e-9) && short < long*(1-1e-9) {
			say("%s: the last reading is the first again", at)
		}
	}
	if m < 8 {
		return
	}
	harmonics := 2
	if m < 12 {
		harmonics = 1
	}
	for k := range v {
		_, scatter, off := fitWithout(v, m, harmonics, k, true)
		if math.Abs(off) > 10*scatter*(1+1e-9) && math.Abs(off) > 6*u && math.Abs(off) > 4*d*(1+1e-9) && math.Abs(off) > span/10*(1+1e-9) {
			say("%s/readings/%d: %g off", at, k, off)
		}
	}
}
