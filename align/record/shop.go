package record

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"example.com/borestack/align"
	"example.com/borestack/fault"
)

// Shop is what the shop that works on this machine can do and has, as written: what is left out it does
// not do, but for pushing and putting in candidates, which anybody can. Lengths are in the record's unit.
type Shop struct {
	Push       *bool         `json:"push,omitempty"`
	Swap       *bool         `json:"swap,omitempty"`
	TurnOver   []string      `json:"turn_over,omitempty"`
	Reclock    []ShopReclock `json:"reclock,omitempty"`
	Dowels     []ShopDowels  `json:"offset_dowels,omitempty"`
	Shims      []ShopShims   `json:"shims,omitempty"`
	Skims      []ShopSkim    `json:"skims,omitempty"`
	Redowel    []ShopRedowel `json:"redowel,omitempty"`
	Bores      []ShopBore    `json:"bores,omitempty"`
	Keep       []string      `json:"keep,omitempty"`
	Step       *Number       `json:"step,omitempty" rule:"length,abovezero"`
	ClockStep  *Number       `json:"clock_step,omitempty" rule:"angle,abovezero"`
	Within     *Number       `json:"within,omitempty" rule:"length,notnegative"`
	Dial       *Number       `json:"dial,omitempty" rule:"length,notnegative"`
	Graduation *Number       `json:"graduation,omitempty" rule:"length,abovezero"`
	Strips     []Number      `json:"strips,omitempty" rule:"length,abovezero"`
	Pairs      *Number       `json:"pairs,omitempty" rule:"ratio,notnegative"`
}

// ShopReclock is a part that may be turned by steps of its hole pattern, as written.
type ShopReclock struct {
	Part    string `json:"part" rule:"required"`
	Holes   Number `json:"holes" rule:"required,ratio"`
	Redrill *bool  `json:"redrill,omitempty"`
}

// ShopDowels is the stock of offset dowels for a joint, as written.
type ShopDowels struct {
	Joint string   `json:"joint" rule:"required"`
	Steps []Number `json:"steps" rule:"required,length,abovezero"`
}

// ShopShims is the stock of shims for a joint, as written.
type ShopShims struct {
	Joint       string   `json:"joint" rule:"required"`
	Thicknesses []Number `json:"thicknesses,omitempty" rule:"length,abovezero"`
	Replace     *bool    `json:"replace,omitempty"`
	Taper       *Number  `json:"taper,omitempty" rule:"length,abovezero"`
	Thin        *Number  `json:"thin,omitempty" rule:"length,abovezero"`
	Across      *Number  `json:"across,omitempty" rule:"length,abovezero"`
}

// ShopSkim is what may come off a face, as written.
type ShopSkim struct {
	Face   string  `json:"face" rule:"required"`
	Stock  Number  `json:"stock" rule:"required,length,abovezero"`
	Least  *Number `json:"least,omitempty" rule:"length,abovezero"`
	Clean  *Number `json:"clean,omitempty" rule:"length,notnegative"`
	Wedge  *bool   `json:"wedge,omitempty"`
	Across *Number `json:"across,omitempty" rule:"length,abovezero"`
}

// ShopRedowel is a joint that may be reamed and dowelled in place, as written.
type ShopRedowel struct {
	Joint string  `json:"joint" rule:"required"`
	Most  Number  `json:"most" rule:"required,length,abovezero"`
	Pin   *Number `json:"pin,omitempty" rule:"length,abovezero"`
}

// ShopBore is a bore that may be moved, as written.
type ShopBore struct {
	Bore    string   `json:"bore" rule:"required"`
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

// shopFaults checks what the shop's works refer to.
func (r *Record) shopFaults(s *align.Stack, wrong func(path, value string, class error, want string)) {
	shop := r.Shop
	if shop == nil {
		return
	}
	var parts, joints, faces, bores []string
	for i := range s.Parts {
		p := &r.Parts[i]
		parts = append(parts, p.Name)
		for _, side := range p.sides() {
			faces = append(faces, p.Name+"/"+side.name)
		}
		for k := range p.Bores {
			bores = append(bores, p.Name+"/"+p.Bores[k].Name)
		}
	}
	for k := range s.Joints {
		joints = append(joints, s.JointName(k))
	}
	named := func(path, kind, got string, known []string) {
		if !slices.Contains(known, got) {
			wrong("/shop/"+path, strconv.Quote(got), fault.ErrUnknownName, wantName(kind, got, known))
		}
	}
	for i, name := range shop.TurnOver {
		named(fmt.Sprintf("turn_over/%d", i), "part", name, parts)
	}
	for i, w := range shop.Reclock {
		named(fmt.Sprintf("reclock/%d/part", i), "part", w.Part, parts)
	}
	for i, w := range shop.Dowels {
		named(fmt.Sprintf("offset_dowels/%d/joint", i), "joint", w.Joint, joints)
	}
	for i, w := range shop.Shims {
		named(fmt.Sprintf("shims/%d/joint", i), "joint", w.Joint, joints)
	}
	for i, w := range shop.Skims {
		named(fmt.Sprintf("skims/%d/face", i), "face", w.Face, faces)
	}
	for i, w := range shop.Redowel {
		named(fmt.Sprintf("redowel/%d/joint", i), "joint", w.Joint, joints)
	}
	for i, w := range shop.Bores {
		named(fmt.Sprintf("bores/%d/bore", i), "bore", w.Bore, bores)
	}
	for i, name := range shop.Keep {
		named(fmt.Sprintf("keep/%d", i), "part, face or bore", name, slices.Concat(parts, faces, bores))
	}
	shop.countFaults(wrong)
}

// countFaults checks what is counted, and the step of directions.
func (shop *Shop) countFaults(wrong func(path, value string, class error, want string)) {
	bad := func(path string, n *Number, want string) {
		wrong("/shop/"+path, n.written(), fault.ErrOutOfRange, want)
	}
	whole := func(v, least, most float64) bool { return v >= least && v <= most && v == math.Trunc(v) }
	for i := range shop.Reclock {
		if n := &shop.Reclock[i].Holes; !whole(n.Value, leastHoles, mostHoles) {
			bad(fmt.Sprintf("reclock/%d/holes", i), n, fmt.Sprintf("%d to %d equal steps in a turn", leastHoles, mostHoles))
		}
	}
	if n := shop.Pairs; n != nil && !whole(n.Value, 0, mostPairs) {
		bad("pairs", n, fmt.Sprintf("0 to %d corrections, tried with a second", mostPairs))
	}
	if n := shop.ClockStep; n != nil && (n.Value < finestClock || n.Value > coarsestClock) {
		bad("clock_step", n, fmt.Sprintf("%g to %d degrees", finestClock, coarsestClock))
	}
}
