// Package report writes what a study of a record says: as text for people ([Text]), as JSON for programs ([JSON]), and the record itself back in words ([Check]).
//
// words.go says notes, clocks and amounts; text.go lays the report out; cautions.go holds what the trade expects to be warned of; json.go holds the JSON form. The package computes no result of its own.
package report
