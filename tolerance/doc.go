// Package tolerance says what a number means: lengths and angles with their units, indicator
// readings and offsets, diametral and radial clearances, limits, and what materials do when they
// warm up.
//
// Quantities are typed at the door and plain float64 inside. [Length] counts millimetres and
// [Angle] radians, as [time.Duration] counts nanoseconds: build one by multiplying (25*Micrometre,
// 0.005*Inch), read it by method (x.Inches()). Never multiply two lengths; convert first.
//
// Four types keep apart what the trade mixes up. A [TIR] is a total indicator reading, twice the
// [Offset] of one centre from another. A [Diametral] clearance is twice the [Radial] one. They
// convert by method only.
//
// A number that may be missing is an [Optional]: zero is never "not given". [Limits] has optional
// ends and decides with a guard band for the gauge. [Materials] is a table with a source for every
// row.
//
// The package knows nothing of geometry or sampling.
package tolerance
