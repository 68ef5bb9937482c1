package main

import (
	"encoding/json"
	"slices"
	"sort"
	"strconv"
	"strings"
)

// A slip is one record with one slip of the hand in it.
type slip struct {
	Kind   string
	Path   string // JSON Pointer to what the hand typed
	Record []byte
}

// The kinds of slips, in the order of the table.
var kinds = []string{
	"digits swapped", "digit dropped", "digit doubled", "decimal point moved", "sign", "half or twice", "offset for TIR",
	"unit of a round", "unit of the record", "clock sense", "seen from the nose", "station missing", "station repeated", "closing as a station",
	"x and y exchanged", "z typed into x", "wrong side", "wrong part",
}

// slipper makes every slip of one box: it changes the tree, writes it out, and changes it back.
type slipper struct {
	box  object
	each func(slip)
}

// slips calls each with every slip of a box, in a fixed order.
func slips(box object, each func(slip)) {
	s := &slipper{box, each}
	s.units()
	s.walk("", box, nil)
	s.exchanges()
}

// try hands on the box as it now is.
func (s *slipper) try(kind, path string) {
	raw, err := json.Marshal(s.box)
	if err != nil {
		panic(err) // maps, lists, texts and numbers always encode
	}
	s.each(slip{kind, path, raw})
}

// walk tries the slips of every number below v, which set replaces. Limits are what is wanted, not what was measured, and the format is no number.
func (s *slipper) walk(path string, v any, set func(any)) {
	switch v := v.(type) {
	case object:
		if _, ok := v["readings"]; ok {
			s.round(path, v)
		}
		keys := make([]string, 0, len(v))
		for k := range v {
			keys = append(keys, k)
		}
		sort.Strings(keys)
		for _, k := range keys {
			if path == "" && k == "accept" {
				continue
			}
			s.walk(path+"/"+k, v[k], func(w any) { v[k] = w })
		}
	case list:
		s.places(path, v)
		for i := range v {
			s.walk(path+"/"+strconv.Itoa(i), v[i], func(w any) { v[i] = w })
		}
	case json.Number:
		s.number(path, v, set)
		set(v)
	}
}

// number tries the slips of one number as typed.
func (s *slipper) number(path string, n json.Number, set func(any)) {
	put := func(kind, text string) {
		text = tidy(text)
		if text == string(n) || !json.Valid([]byte(text)) {
			return
		}
		set(json.Number(text))
		s.try(kind, path)
	}
	t := string(n)
	digit := func(i int) bool { return i < len(t) && t[i] >= '0' && t[i] <= '9' }
	for i := range t {
		if !digit(i) {
			continue
		}
		if digit(i + 1) {
			put("digits swapped", t[:i]+t[i+1:i+2]+t[i:i+1]+t[i+2:])
		}
		put("digit dropped", t[:i]+t[i+1:])
		put("digit doubled", t[:i]+t[i:i+1]+t[i:])
	}
	v, err := n.Float64()
	if err != nil || v == 0 {
		return
	}
	show := func(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }
	put("decimal point moved", show(v*10))
	put("decimal point moved", show(v/10))
	if t[0] == '-' {
		put("sign", t[1:])
	} else {
		put("sign", "-"+t)
	}
	key := path[strings.LastIndex(path, "/")+1:]
	if slices.Contains([]string{"diameter", "radius", "clearance", "journal"}, key) {
		put("half or twice", show(v/2))
		put("half or twice", show(v*2))
	}
	if strings.Contains(path, "/centre/") && !strings.HasSuffix(path, "/centre/2") {
		put("offset for TIR", show(v*2))
		put("offset for TIR", show(v/2))
	}
}

// tidy mends what a person would not have typed: leading zeros, a missing one.
func tidy(t string) string {
	sign := ""
	if strings.HasPrefix(t, "-") {
		sign, t = "-", t[1:]
	}
	t = strings.TrimLeft(t, "0")
	if t == "" || t[0] == '.' {
		t = "0" + t
	}
	return sign + strings.TrimSuffix(t, ".")
}

// round tries the slips of one round of readings.
func (s *slipper) round(path string, block object) {
	was := block["readings"].(list)
	defer func() { block["readings"] = was }()
	put := func(kind string, readings list) {
		block["readings"] = readings
		s.try(kind, path)
		block["readings"] = was
	}
	with := func(kind, key, word string) {
		block[key] = word
		s.try(kind, path)
		delete(block, key)
	}
	with("unit of a round", "unit", "um")
	with("unit of a round", "unit", "in")
	with("seen from the nose", "seen_from", "nose")
	turned := list{was[0]}
	for i := len(was) - 1; i > 0; i-- {
		turned = append(turned, was[i])
	}
	put("clock sense", turned)
	for i := range was {
		put("station missing", slices.Delete(slices.Clone(was), i, i+1))
		put("station repeated", slices.Insert(slices.Clone(was), i, was[i]))
	}
	if closing, ok := block["closing"]; ok {
		delete(block, "closing")
		put("closing as a station", append(slices.Clone(was), closing))
		block["closing"] = closing
	}
}

// places tries the slips of a place: [x, y] and [x, y, z].
func (s *slipper) places(path string, v list) {
	if !strings.HasSuffix(path, "/centre") && !strings.HasSuffix(path, "/slope") {
		return
	}
	v[0], v[1] = v[1], v[0]
	s.try("x and y exchanged", path)
	v[0], v[1] = v[1], v[0]
	if len(v) == 3 {
		v[0], v[2] = v[2], v[0]
		s.try("z typed into x", path)
		v[0], v[2] = v[2], v[0]
	}
}

// units tries other units for the whole record.
func (s *slipper) units() {
	units := s.box["units"].(object)
	was := units["length"]
	for _, u := range []string{"um", "in", "thou", "m"} {
		units["length"] = u
		s.try("unit of the record", "/units/length")
	}
	units["length"] = was
}

// exchanges tries numbers written beside the wrong part or on the wrong side.
func (s *slipper) exchanges() {
	parts := s.box["parts"].(list)
	at := func(i int, side string) (object, bool) {
		f, ok := parts[i].(object)[side].(object)
		if !ok {
			return nil, false
		}
		_, ok = f["pilot"]
		return f, ok
	}
	swap := func(kind, path string, a, b object, key string) {
		x, inA := a[key]
		y, inB := b[key]
		if !inA || !inB {
			return
		}
		a[key], b[key] = y, x
		s.try(kind, path)
		a[key], b[key] = x, y
	}
	for i := range parts {
		front, hasFront := at(i, "front")
		rear, hasRear := at(i, "rear")
		if hasFront && hasRear {
			swap("wrong side", "/parts/"+strconv.Itoa(i)+"/rear/pilot", front["pilot"].(object), rear["pilot"].(object), "diameter")
			swap("wrong side", "/parts/"+strconv.Itoa(i)+"/rear/pilot", front["pilot"].(object), rear["pilot"].(object), "centre")
		}
		if i == 0 || !hasFront {
			continue
		}
		if before, ok := at(i-1, "rear"); ok {
			swap("wrong part", "/parts/"+strconv.Itoa(i)+"/front/pilot", before["pilot"].(object), front["pilot"].(object), "diameter")
			swap("wrong part", "/parts/"+strconv.Itoa(i)+"/front/pilot", before["pilot"].(object), front["pilot"].(object), "centre")
		}
	}
	supports := s.box["shafts"].(list)[0].(object)["supports"].(list)
	for i := 1; i < len(supports); i++ {
		a, b := supports[i-1].(object), supports[i].(object)
		path := "/shafts/0/supports/" + strconv.Itoa(i)
		swap("wrong part", path, a, b, "clearance")
		swap("wrong part", path, a, b, "bore")
	}
}
