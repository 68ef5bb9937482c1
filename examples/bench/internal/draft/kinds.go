package draft

import (
	"slices"
	"strconv"
	"strings"
)

// Kind is what a field takes.
type Kind int

const (
	Length  Kind = iota // counted in the unit of its block, or of the record
	Plain               // a number without a unit: degrees, ratios, N, °C
	Reading             // a reading of a round, or several repeats
	Words               // text, or one of a few words
	Truth               // yes or no
)

// textKeys take words, plainKeys numbers without a unit; everything else is a length.
var (
	textKeys = strings.Fields("format title note name material kind bore seen_from unit length positive about mounted dowel pressed lies rules seat because of from state over axis through between best fit")
	plain    = strings.Fields("first at clock turn slope tilt temperature measured_at flatten gain stiffness force density pressure_angle locates")
	truths   = strings.Fields("turned interpolate")
	gauged   = strings.Fields("readings closing droop lift uncertainty shared_uncertainty") // counted in the block's own unit
)

// key is the last step of a pointer that is not an index, and what stands before it.
func key(pointer string) (before, name string) {
	list := steps(pointer)
	for n := len(list) - 1; n >= 0; n-- {
		if _, err := strconv.Atoi(list[n]); err != nil {
			parts := strings.Split(pointer, "/")
			return strings.Join(parts[:n+1], "/"), list[n]
		}
	}
	return "", ""
}

// KindOf is what the field at a pointer takes.
func (d *Draft) KindOf(pointer string) Kind {
	_, name := key(pointer)
	switch {
	case name == "readings":
		return Reading
	case slices.Contains(textKeys, name) && !(name == "length" && strings.Contains(pointer, "/links/")):
		return Words
	case slices.Contains(truths, name):
		return Truth
	case slices.Contains(plain, name) || (name == "least" || name == "greatest") && !d.limitIsLength(pointer):
		return Plain
	}
	return Length
}

// limitIsLength reports whether a limit is on a length.
func (d *Draft) limitIsLength(pointer string) bool {
	before, _ := key(pointer)
	switch d.Text(before + "/output/kind") {
	case "use", "tilt", "turn", "assembles", "side_load":
		return false
	}
	return true
}

// UnitOf is the unit in which the field at a pointer counts; empty: none.
func (d *Draft) UnitOf(pointer string) string {
	switch d.KindOf(pointer) {
	case Plain, Words, Truth:
		return ""
	}
	if before, name := key(pointer); slices.Contains(gauged, name) {
		if u := d.Text(before + "/unit"); u != "" {
			return u
		}
	}
	return d.Text("/units/length")
}
