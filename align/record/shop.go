package record

import (
	"reflect"
	"slices"
	"strconv"
)

// Shop is what the shop that works on this machine can do and has, as written: what is left out it does
// not do, but for pushing and putting in candidates, which anybody can. Lengths are in the record's unit.
type Shop struct {
	Push       *bool         `json:"push,omitempty"`
	Swap       *bool         `json:"swap,omitempty"`
	TurnOver   []string      `json:"turn_over,omitempty" rule:"ofpart"`
	Reclock    []ShopReclock `json:"reclock,omitempty"`
	Dowels     []ShopDowels  `json:"offset_dowels,omitempty"`
	Shims      []ShopShims   `json:"shims,omitempty"`
	Skims      []ShopSkim    `json:"skims,omitempty"`
	Redowel    []ShopRedowel `json:"redowel,omitempty"`
	Bores      []ShopBore    `json:"bores,omitempty"`
	Keep       []string      `json:"keep,omitempty" rule:"ofany"`
	Step       *Number       `json:"step,omitempty" rule:"length,abovezero"`
	ClockStep  *Number       `json:"clock_step,omitempty" rule:"angle,abovezero,clockstep"`
	Within     *Number       `json:"within,omitempty" rule:"length,notnegative"`
	Dial       *Number       `json:"dial,omitempty" rule:"length,notnegative"`
	Graduation *Number       `json:"graduation,omitempty" rule:"length,abovezero"`
	Strips     []Number      `json:"strips,omitempty" rule:"length,abovezero"`
	Pairs      *Number       `json:"pairs,omitempty" rule:"ratio,pairs"`
}

// ShopReclock is a part that may be turned by steps of its hole pattern, as written.
type ShopReclock struct {
	Part    string `json:"part" rule:"required,ofpart"`
	Holes   Number `json:"holes" rule:"required,ratio,holes"`
	Redrill *bool  `json:"redrill,omitempty"`
}

// ShopDowels is the stock of offset dowels for a joint, as written.
type ShopDowels struct {
	Joint string   `json:"joint" rule:"required,ofjoint"`
	Steps []Number `json:"steps" rule:"required,length,abovezero"`
}

// ShopShims is the stock of shims for a joint, as written.
type ShopShims struct {
	Joint       string   `json:"joint" rule:"required,ofjoint"`
	Thicknesses []Number `json:"thicknesses,omitempty" rule:"length,abovezero"`
	Replace     *bool    `json:"replace,omitempty"`
	Taper       *Number  `json:"taper,omitempty" rule:"length,abovezero"`
	Thin        *Number  `json:"thin,omitempty" rule:"length,abovezero"`
	Across      *Number  `json:"across,omitempty" rule:"length,abovezero"`
}

// ShopSkim is what may come off a face, as written.
type ShopSkim struct {
	Face   string  `json:"face" rule:"required,offace"`
	Stock  Number  `json:"stock" rule:"required,length,abovezero"`
	Least  *Number `json:"least,omitempty" rule:"length,abovezero"`
	Clean  *Number `json:"clean,omitempty" rule:"length,notnegative"`
	Wedge  *bool   `json:"wedge,omitempty"`
	Across *Number `json:"across,omitempty" rule:"length,abovezero"`
}

// ShopRedowel is a joint that may be reamed and dowelled in place, as written.
type ShopRedowel struct {
	Joint string  `json:"joint" rule:"required,ofjoint"`
	Most  Number  `json:"most" rule:"required,length,abovezero"`
	Pin   *Number `json:"pin,omitempty" rule:"length,abovezero"`
}

// ShopBore is a bore that may be moved, as written.
type ShopBore struct {
	Bore    string   `json:"bore" rule:"required,ofbore"`
	Most    *Number  `json:"most,omitempty" rule:"length,abovezero"`
	Wall    *Number  `json:"wall,omitempty" rule:"length,abovezero"`
	Offsets []Number `json:"offsets,omitempty" rule:"length,abovezero"`
}

// Bounds on what a shop can say; the counts are whole.
const (
	leastHoles, mostHoles = 2, 360
	mostPairs             = 20
	finestClock           = 0.1 // degrees
	coarsestClock         = 90
)

// shop checks the names that the shop's works refer to, by the rules of their keys.
func (c *studyCheck) shop() {
	var faces, bores []string
	for i := range c.rec.Parts {
		p := &c.rec.Parts[i]
		for _, side := range p.sides() {
			faces = append(faces, p.Name+"/"+side.name)
		}
		for k := range p.Bores {
			bores = append(bores, p.Name+"/"+p.Bores[k].Name)
		}
	}
	parts := namesOf(c.rec.Parts, func(p *Part) string { return p.Name })
	known := map[string]struct {
		kind  string
		names []string
	}{
		"ofpart": {"part", parts}, "ofjoint": {"joint", c.joints}, "offace": {"face", faces}, "ofbore": {"bore", bores},
		"ofany": {"part, face or bore", slices.Concat(parts, faces, bores)},
	}
	var walk func(v reflect.Value, path, rule string)
	walk = func(v reflect.Value, path, rule string) {
		switch v.Kind() {
		case reflect.Struct:
			for _, f := range fields(v.Type()) {
				walk(v.FieldByIndex(f.index), path+step(f.key), f.rule)
			}
		case reflect.Slice:
			for i := range v.Len() {
				walk(v.Index(i), path+"/"+strconv.Itoa(i), rule)
			}
		case reflect.String:
			if of, is := known[rule]; is {
				c.named(path, of.kind, v.String(), of.names)
			}
		}
	}
	walk(reflect.ValueOf(c.rec.Shop).Elem(), "/shop", "")
}
