package report

import (
	"strconv"
	"strings"

	"example.com/borestack/align/record"
)

// placeOf says a place in words: a pointer into the record becomes "plate, thickness (/parts/2/rear/thickness)"; a name,
// and a pointer that leads nowhere that has a name, stays as it is.
func placeOf(rec *record.Record, of string) string {
	key := strings.Split(of, "/")
	if key[0] != "" || len(key) < 3 {
		return of
	}
	words := ""
	if key[1] == "candidates" {
		words = candidatePlace(rec, key[2:])
	} else if n, err := strconv.Atoi(key[2]); err == nil && n >= 0 {
		words = listedPlace(rec, key[1], n, key[3:])
	}
	if words == "" {
		return of
	}
	return words + " (" + of + ")"
}

// listedPlace says element n of one of the record's lists, and what of it: key is the rest of the pointer.
func listedPlace(rec *record.Record, list string, n int, key []string) string {
	switch {
	case list == "parts" && n < len(rec.Parts):
		return partPlace(&rec.Parts[n], rec.Parts[n].Name, key)
	case list == "joints" && n < len(rec.Joints):
		return jointPlace(rec, n, key)
	case list == "shafts" && n < len(rec.Shafts):
		s := &rec.Shafts[n]
		if k, ok := element(key, "supports", len(s.Supports)); ok {
			return "shaft " + s.Name + " at " + s.Supports[k].Bore
		}
		return "shaft " + s.Name
	case list == "pockets" && n < len(rec.Pockets):
		return "pocket " + rec.Pockets[n].Name
	case list == "meshes" && n < len(rec.Meshes):
		return "mesh " + rec.Meshes[n].Name
	case list == "chains" && n < len(rec.Chains):
		return "chain " + rec.Chains[n].Name
	case list == "states" && n < len(rec.States):
		return "state " + rec.States[n].Name
	case list == "vary" && n < len(rec.Vary) && rec.Vary[n].Name != "":
		return "what varies, " + rec.Vary[n].Name
	}
	return ""
}

// candidatePlace says a candidate and what of it: key is the place, the number, and the rest of the pointer.
func candidatePlace(rec *record.Record, key []string) string {
	if len(key) < 2 {
		return ""
	}
	place := strings.ReplaceAll(strings.ReplaceAll(key[0], "~1", "/"), "~0", "~") // RFC 6901
	n, err := strconv.Atoi(key[1])
	for _, c := range rec.Candidates {
		if c.Name == place && err == nil && n >= 0 && n < len(c.Value) {
			return partPlace(&c.Value[n], "candidate "+c.Value[n].Name, key[2:])
		}
	}
	return ""
}

// jointPlace says a joint by its name, or by those of the parts that it joins.
func jointPlace(rec *record.Record, n int, key []string) string {
	j := &rec.Joints[n]
	name := j.Name
	if name == "" && n+1 < len(rec.Parts) {
		name = rec.Parts[n].Name + "|" + rec.Parts[n+1].Name
	}
	if k, ok := element(key, "pins", len(j.Pins)); ok {
		return "joint " + name + ", pin " + j.Pins[k].Dowel
	}
	return "joint " + name
}

// partPlace says what of a part: key is what follows the part in the pointer.
func partPlace(p *record.Part, known string, key []string) string {
	if k, ok := element(key, "bores", len(p.Bores)); ok {
		if known = known + "/" + p.Bores[k].Name; len(key) > 2 && key[2] == "sweep" {
			known += ", sweep"
		}
		return known
	}
	if len(key) == 0 || (key[0] != "front" && key[0] != "rear") {
		return known
	}
	side, rest := key[0], key[1:]
	face := p.Front
	if side == "rear" {
		face = p.Rear
	}
	what := ""
	if len(rest) > 0 {
		what = rest[0]
	}
	switch {
	case what == "thickness":
		return known + ", thickness"
	case what == "sweep":
		return known + ", sweep of its " + side + " face"
	case what == "pilot" && len(rest) > 1 && rest[1] == "sweep":
		return known + ", sweep of its " + side + " pilot"
	case what == "pilot":
		return known + ", its " + side + " pilot"
	case what == "dowels" && face != nil:
		if k, ok := element(rest, "dowels", len(face.Dowels)); ok {
			return known + ", dowel hole " + face.Dowels[k].Name + " of its " + side + " face"
		}
	}
	return known + ", its " + side + " face"
}

// element is the index that follows a list's key at the beginning of a pointer's rest, if it is one of n.
func element(key []string, list string, n int) (int, bool) {
	if len(key) < 2 || key[0] != list {
		return 0, false
	}
	k, err := strconv.Atoi(key[1])
	return k, err == nil && k >= 0 && k < n
}
