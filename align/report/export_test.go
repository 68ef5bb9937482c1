package report

import (
	"example.com/borestack/align"
	"example.com/borestack/align/internal/paper"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/align/record"
	"example.com/borestack/tolerance"
)

// What the tests of this package look at from outside.
var (
	Fixed   = spell.Fixed
	Hand    = spell.Hand
	Spoken  = spoken
	Listed  = spell.Listed
	Escaped = paper.Escaped
)

// Telling spells a deviation that must not look like nothing.
func Telling(u tolerance.Unit, l tolerance.Length) string {
	return printer{spell.Lengths{Unit: u}}.telling(l)
}

// Told spells a deviation with the digits of a gauge, as the text does.
func Told(u tolerance.Unit, l tolerance.Length) string {
	return printer{spell.Lengths{Unit: u, Gauge: true}}.telling(l)
}

// PlaceOf says what stands at a pointer.
func PlaceOf(rec *record.Record, pointer string) string {
	at := pointersOf(rec)
	return at.place(pointer)
}

// Sentences are notes in words.
func Sentences(rec *record.Record, notes []align.Note) []string {
	at := pointersOf(rec)
	return sentences(&at, notes)
}
