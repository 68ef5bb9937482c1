// Package borestack is the entry to a library that works out whether the shafts of a stacked-housing machine can run true: a case, a bearing plate and a tail housing bolted one behind the other, with shafts through all of them.
//
// Somebody has measured the parts: a micrometer round the plate, a dial swept in the bores, a bore gauge, a depth micrometer. The library says how every part sits on the next, where every bore ends up, whether straight shafts have room, which support governs, how much room is left, how sure that is, and which way to push a part before tightening. It opens no file and no connection, keeps no state, and leaves no goroutine behind: readers and writers are passed in.
//
// # The way through
//
// A record ([example.com/borestack/align/record]) holds the measurements as written. It maps to a stack of parts, joints and shafts ([example.com/borestack/align.Stack]), which solves to an assembly. A study ([example.com/borestack/align/study]) holds the assembly, its states and its candidate parts against the record's limits. A report ([example.com/borestack/align/report]) says it as text or JSON. Quantities and their units are in [example.com/borestack/tolerance].
//
//	rec, err := record.Decode(file)          // every fault of the record, joined
//	res, err := study.Run(ctx, rec)          // everything that it says
//	err = report.Text(os.Stdout, rec, res)   // in words
//
// A stack can be built in Go as well, without a record, and solved with [example.com/borestack/align.Stack.Solve].
//
// # Frames, signs, units
//
// The stack's frame is that of the first part: z rearward along the shaft line, y up, x to the right seen from the tail end looking forward. Clock angles run clockwise from 12 o'clock seen from the tail. An offset is centre to centre, and a total indicator reading twice that. Clearances are on diameter, margins on radius. Lengths are at 20 °C unless a part says otherwise.
//
// # What it does not do
//
// Housings do not bend, nor do shafts whose sections are not given. What was assumed and not measured stands in every report, above the reasons. A result is geometry from readings, not permission to run.
package borestack
