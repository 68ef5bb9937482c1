// Package record reads and writes the record: one JSON file with what was measured on one stack,
// and what may vary. Numbers stay as written and in the record's own units; [Record.Stack] maps
// them to quantities.
//
// [Decode] is strict. An unknown or repeated key, a number that is not finite or absurd, an unknown
// name, unit, law or output is an error that gives the JSON Pointer (RFC 6901), the value, and what
// would be right; all independent faults are reported together. [Record.Doubts] is for what was
// written and cannot be relied on: nothing that rests on it passes. [Record.Warnings] is for what
// is implausible, [Record.Understood] for what only an eye can check. [Record.Encode] writes the
// record again exactly.
//
// RECORD.md, at the root of the module, is the format's manual, with skeletons to copy. The field
// tags of record.go are its table: every key, and the rule that its value keeps. Lengths are in
// units.length, except in a block that carries its own unit; slopes are ratios; angles that a
// person sets are in degrees, clockwise from 12 o'clock seen from the tail; forces in N, moduli in
// N/mm², stiffness in N/mm, expansion in 1/K, temperatures in °C.
//
// # Map
//
//   - tree.go: JSON with its places; decode.go, decodevalues.go: strict reading by the field tags; encode.go: writing
//   - record.go, shop.go, values.go: the format; stack.go: to quantities, by the same field tags; limits.go: limits and units of outputs; pointer.go: what follows a number
//   - faults.go, sources.go, warnings.go: what is wrong, what is located twice or not at all, what is odd
//   - doubt*.go: slips of the hand, by rounds of readings (round.go, harmonicfit.go), places (squarely.go) and fits; understood.go: what was taken to be meant
//   - lawtable.go: every law, its keys and what it is; laws.go, lawdecode.go: how laws are written and read; fit.go: sizes by their classes
//   - csvfill.go, csvwrite.go: a table that fills a record, and the table of a record; walk.go: parts, faces and places by name; csvtable.go, csvcell.go: rows and numbers of spreadsheets
package record
