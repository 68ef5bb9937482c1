// Package form makes a page of a draft: the form in the order in which one measures, the pictures beside it, and what is said of every entry.
//
//   - build.go: fields as HTML; parts.go, rounds.go, joints.go, shafts.go, wanted.go: the sections
//   - notes.go: what is said of every entry; understood.go: what it was understood as; verdict.go: how the box stands at rest, and in full
//   - sketch.go: the box from the side; dial.go: a round's stations
//
// It computes nothing of its own about a box: the record's decoder, doubts and words, and the study, say everything.
package form
