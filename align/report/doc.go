// Package report writes what a record says: the report as JSON, the report as text, and the record back in words.
//
//   - [JSON] writes every number of the report, in the record's own unit (json.go, document.go); a number that is not finite is an error that names its key (finite.go).
//   - [Text] writes for the person at the bench: the verdict and whatever speaks against the box first, then what is in doubt, what was assumed, then why, then what to do (text.go, headline.go, governs.go, yield.go, limits.go, uncertainty.go, supports.go, joints.go, wear.go, todo.go, cautions.go). How the box stands as measured and in its states is in standing.go.
//   - [HTML] writes one self-contained page, the same words with pictures and with where in the record each number comes from (html.go, htmlpage.go, htmlstyle.go, htmlrecord.go, pictures.go, distribution.go); [Markdown] writes it without pictures, for a ticket (markdown.go). Both show chapters that are gathered from the text report's blocks and the JSON report's numbers (page.go, view.go, viewer.go, viewlimits.go, pointers.go, provenance.go).
//   - [Check] writes the record back in words and computes no verdict (check.go, checkparts.go).
//
// What a sweep says, in words, is in swept.go for all forms; pointers become places in words in place.go.
//
// Notes become sentences in one place, for JSON and text alike (words.go). Numbers and directions are spelled in one place too (printer.go).
//
// Conventions of the text: directions are clock positions seen from the tail; an offset is centre to centre and a total indicator reading twice that; clearances are diametral, margins radial. Readings of a micrometer give wedge and thickness variation and nothing else: two points cannot see bow.
//
// The package knows nothing of how results are computed; it asks package advise which readings an uncertainty comes from.
package report
