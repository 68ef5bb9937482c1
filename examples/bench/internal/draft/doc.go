// Package draft is a record while it is being written: whatever was typed, kept as it is until it can be understood, in the shape of the record.
//
// A [Draft] is opened from JSON, edited one field at a time ([Draft.Set]) and in its structure ([Draft.Do]), and written as JSON again at any time. What cannot be read as a number is kept as text in its place, so that nothing typed is lost and the record's own decoder refuses it there.
//
// Fields are named by JSON Pointers (RFC 6901) into the record, "/parts/1/rear/thickness/readings/3".
//
//   - tree.go: ordered JSON; number.go: what was typed as a number; kinds.go: which field is what
//   - set.go: one field; do.go: adding, removing, moving, ways of measuring; skeleton.go: where to start from
package draft
