// Package report writes what a record says: the report as JSON, the report as text, and the record back in words.
//
// The report is data: the teller builds one page of sections whose fields know their number, its unit and where in the record
// they come from (text.go names them in order), and every form is a writer of that page (align/internal/paper).
//
//   - [Text] writes for the person at the bench: the verdict and whatever speaks against the box first, then what is in doubt,
//     what was assumed, then why, then what to do (headline.go, governs.go, yield.go, limits.go, uncertainty.go, supports.go,
//     joints.go, loads.go, meshes.go, wear.go, todo.go, study.go, cautions.go). How the box stands as measured and in its
//     states is in standing.go.
//   - [HTML] writes one self-contained page, the same words with pictures and with what has no room in text: where every part
//     lies and what the readings came to (readings.go), numbers at a glance (figures.go), the record itself (html.go,
//     htmlpage.go, htmlstyle.go, htmlrecord.go, pictures.go, distribution.go, provenance.go); [Markdown] writes it without
//     pictures, for a ticket.
//   - [JSON] writes every number of the report, in the record's own unit (json.go, studyjson.go, document.go); a number that
//     is not finite is an error that names its key (finite.go).
//   - [Check] writes the record back in words and computes no verdict (check.go, checkparts.go, checkwants.go).
//
// Notes become sentences in one place, for JSON and text alike (words.go), pointers become places in words (place.go), things
// of the result become pointers (pointers.go), what a sweep says is in swept.go. Numbers and directions are spelled, and
// made fields, in one place too (printer.go, quantity.go).
//
// Conventions of the text: directions are clock positions seen from the tail; an offset is centre to centre and a total indicator reading twice that; clearances are diametral, margins radial. Readings of a micrometer give wedge and thickness variation and nothing else: two points cannot see bow.
//
// The package knows nothing of how results are computed; it asks package advise which readings an uncertainty comes from.
package report
