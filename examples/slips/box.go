package main

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"strconv"
)

// object and list are JSON as the record holds it; numbers keep the text that a hand typed.
type (
	object = map[string]any
	list   = []any
)

// typed is a number as typed, with so many decimals.
func typed(v float64, decimals int) json.Number {
	return json.Number(strconv.FormatFloat(v, 'f', decimals, 64))
}

// decimals of a length in mm: a micrometer read to a tenth of a thousandth of a millimetre would be vain.
const decimals = 4

func mm(v float64) json.Number                     { return typed(v, decimals) }
func point(v ...float64) list                      { return numbers(decimals, v...) }
func between(r *rand.Rand, lo, hi float64) float64 { return lo + (hi-lo)*r.Float64() }

func numbers(decimals int, v ...float64) list {
	out := list{}
	for _, x := range v {
		out = append(out, typed(x, decimals))
	}
	return out
}

// round is a round of readings at equal steps: a mean, one harmonic, and scatter; with its closing reading.
func round(r *rand.Rand, stations int, mean, size, clock, scatter float64) (readings list, closing json.Number) {
	at := func(k int) float64 {
		return mean + size*math.Cos(2*math.Pi*float64(k)/float64(stations)-clock) + between(r, -scatter, scatter)
	}
	for k := range stations {
		readings = append(readings, mm(at(k)))
	}
	return readings, mm(at(0))
}

// A cleanBox is an invented machine as measured without a slip: case, plate, tail, and sometimes a cover between; one shaft in three bearings or more.
//
// Half of the boxes state what their gauges are worth, and half have pins; what is wanted lies near what they have, so that some pass and some fail.
func cleanBox(seed uint64) object {
	r := rand.New(rand.NewPCG(seed, 0x510b))
	stated := seed%2 == 0
	gauge := func(block object, closing json.Number) object {
		if stated {
			block["uncertainty"] = mm(0.001)
		}
		if r.IntN(3) > 0 {
			block["closing"] = closing
		}
		return block
	}
	pilot := func(kind string, diameter float64) object {
		return object{"kind": kind, "centre": point(between(r, -0.02, 0.02), between(r, -0.02, 0.02)), "diameter": mm(diameter)}
	}
	pins := seed%4 < 2
	face := func(more object) object {
		more["diameter"] = mm(200)
		if pins {
			hole := func(name string, x float64) object {
				return object{"name": name, "centre": point(x, between(r, -0.004, 0.004)), "diameter": mm(between(r, 8.01, 8.03))}
			}
			more["dowels"] = list{hole("left", -82), hole("right", 82)}
		}
		return more
	}
	length := between(r, 140, 220)
	thick, wedge, scatter := between(r, 12, 18), between(r, 0, 0.02), 0.001
	readings, closing := round(r, []int{8, 12}[r.IntN(2)], thick, wedge, between(r, 0, 2*math.Pi), scatter)
	swept, sweptClosing := round(r, 8, 0.05, between(r, 0.004, 0.015), between(r, 0, 2*math.Pi), scatter)
	journal, slack := between(r, 30, 40), between(r, 0.08, 0.14)
	parts := list{
		object{
			"name": "case", "front": object{"diameter": mm(200)},
			"rear":  face(object{"z": mm(length), "slope": numbers(6, between(r, -1e-4, 1e-4), between(r, -1e-4, 1e-4)), "pilot": pilot("bore", between(r, 150.01, 150.03))}),
			"bores": list{object{"name": "front bearing", "centre": point(between(r, -0.01, 0.01), between(r, -0.01, 0.01), between(r, 15, 40))}},
		},
		object{
			"name": "plate", "front": face(object{"pilot": pilot("spigot", between(r, 149.99, 150))}),
			"rear": face(object{
				"thickness": gauge(object{"radius": mm(90), "readings": readings}, closing), "pilot": pilot("spigot", between(r, 129.99, 130)),
			}),
			"bores": list{object{"name": "main bearing", "z": mm(thick / 2), "sweep": gauge(object{"readings": swept}, sweptClosing)}},
		},
		object{
			"name": "tail", "front": face(object{"pilot": pilot("bore", between(r, 130.01, 130.03))}),
			"bores": list{object{"name": "bush", "centre": point(between(r, -0.03, 0.03), between(r, -0.03, 0.03), between(r, 180, 240)), "diameter": mm(journal + slack)}},
		},
	}
	joint := func() object {
		j := object{"lies": []string{"rest", "any"}[r.IntN(2)]}
		if pins {
			pin := func(name string) object {
				return object{"dowel": name, "diameter": mm(8), "pressed": []string{"front", "neither"}[r.IntN(2)]}
			}
			j["pins"] = list{pin("left"), pin("right")}
		}
		if r.IntN(2) == 0 {
			j["gasket"] = object{"thickness": mm(between(r, 0.2, 0.5))}
		}
		return j
	}
	support := func(bore string, clearance float64) object { return object{"bore": bore, "clearance": mm(clearance)} }
	bush := support("tail/bush", slack)
	bush["kind"], bush["width"], bush["journal"] = "bush", mm(30), mm(journal)
	return object{
		"format": "borestack-record/1", "title": "invented: a box for the campaign of slips", "units": object{"length": "mm"},
		"parts": parts, "joints": list{joint(), joint()},
		"shafts":     list{object{"name": "main", "supports": list{support("case/front bearing", between(r, 0.03, 0.08)), support("plate/main bearing", between(r, 0.03, 0.08)), bush}}},
		"references": list{object{"name": "line", "through": list{"case/front bearing", "plate/main bearing"}}},
		"accept": list{
			object{"output": object{"kind": "margin"}, "least": json.Number("0"), "because": "straight shafts must have room"},
			object{"output": object{"kind": "tir", "of": "tail/bush"}, "greatest": typed(between(r, 0.15, 0.6), 2), "because": "invented"},
		},
	}
}
