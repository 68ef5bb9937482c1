// Package report writes what a record says: the report as JSON, the report as text, and the record back in words.
//
// The report is data: the teller builds one page of sections whose fields know their number, its unit and where in the record
// they come from (text.go names them in order), and every form is a writer of that page (align/internal/paper).
//
//   - [Short] writes the first screen: the verdict and whatever speaks against the box, what uses up the clearance and what
//     caps the margin, what was assumed, one picture, what to do (headline.go, answer.go). [Text] writes that, and below it
//     everything else in the order in which a reader asks: what is in doubt and assumed, how the limits came out (limits.go),
//     what to do (dial.go), where everything is (supports.go, joints.go, wear.go, study.go). How the box stands as measured, in
//     its states and with its candidates is in standing.go. Words that a builder may not use are explained where they stand
//     first (text.go).
//   - [HTML] writes one self-contained page, the same words with pictures and with what has no room in text: where every part
//     lies and what the readings came to (readings.go), the record itself (html.go, pictures.go);
//     [Markdown] writes it without pictures, for a ticket.
//   - [JSON] writes every number of the report, in the record's own unit, each key said once (json.go); objects keep the order
//     of their keys, and a number that is not finite is an error that names its key (object.go).
//   - [Check] writes the record back in words and computes no verdict (check.go, checkparts.go).
//
// Notes become sentences in one place, for JSON and text alike (words.go); things of the result become pointers and pointers
// become places in words (pointers.go). Numbers and directions are spelled, and made fields, in one place too
// (printer.go).
//
// Conventions of the text: directions are clock positions seen from the tail; an offset is centre to centre and a total indicator reading twice that; clearances are diametral, margins radial. Readings of a micrometer give wedge and thickness variation and nothing else: two points cannot see bow.
//
// The package knows nothing of how results are computed; it asks package study which readings an uncertainty comes from.
package report
