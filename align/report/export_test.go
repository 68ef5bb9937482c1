package report

import "example.com/borestack/tolerance"

// What the tests of this package look at from outside.
var (
	Fixed     = fixed
	Hand      = hand
	Spoken    = spoken
	Listed    = listed
	Sentences = sentences
	Escaped   = escaped
)

// Telling spells a deviation that must not look like nothing.
func Telling(u tolerance.Unit, l tolerance.Length) string { return printer{u}.telling(l) }
