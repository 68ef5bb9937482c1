package report

import (
	"example.com/borestack/align/internal/paper"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/tolerance"
)

// What the tests of this package look at from outside.
var (
	Fixed     = spell.Fixed
	Hand      = spell.Hand
	Spoken    = spoken
	Listed    = spell.Listed
	Sentences = sentences
	Escaped   = paper.Escaped
	PlaceOf   = placeOf
)

// Telling spells a deviation that must not look like nothing.
func Telling(u tolerance.Unit, l tolerance.Length) string {
	return printer{spell.Lengths{Unit: u}}.telling(l)
}
