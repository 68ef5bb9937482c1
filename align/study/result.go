package study

import (
	"example.com/borestack/align"
	"example.com/borestack/align/record"
	"example.com/borestack/tolerance"
)

// Verdict is what one limit says. Numbers are in the output's base unit; absent ones cannot be said.
type Verdict struct {
	Limit       record.Limit
	Value       tolerance.Optional[float64] // at rest
	Best, Worst tolerance.Optional[float64] // over the float; absent where nothing floats or the limit is judged at rest
	At          tolerance.Optional[float64] // what it is judged at: the worst end, or the value, in the state that governs
	U           float64                     // standard uncertainty from the readings; 0: none stated
	Room        tolerance.Optional[float64] // from the worst to the nearest limit; negative outside
	Word        tolerance.Decision
	InState     string // the state that governs a limit which holds in every state; empty: as measured
	Doubted     bool   // it rests on a number that cannot be relied on
	Corrected   bool   // a stated shift of the gauge is corrected for in Room and Word; the values are as read

	// Holds is the probability that the limit holds at the worst of the float, given what the gauge
	// leaves open, where draws or the distribution of a size decided instead of a guard band.
	Holds tolerance.Optional[float64]
}

// Result is everything that a record says: the box as measured, each of its states, each candidate
// part in turn, and the verdicts.
type Result struct {
	Assembly   *align.Assembly
	States     []StateResult
	Candidates []CandidateResult
	Verdicts   []Verdict
	Word       tolerance.Decision // the worst of all
	Doubts     []record.Doubt     // what cannot be relied on; while one stands, pass and depends are undecided
	Warnings   []record.Remark    // what the study saw besides: an input that moves no output asked for
	Variations []*Variation       // what [Vary] found: the caller puts it here for the report

	made string          // digest of the record that it was made of
	of   *align.Assembly // the Assembly that was made of it
}

// StateResult is the box in one named state.
type StateResult struct {
	Name     string
	Assembly *align.Assembly
}

// CandidateResult is the box with one candidate in its place.
type CandidateResult struct {
	Place, Name string
	Assembly    *align.Assembly
	Verdicts    []Verdict
	Word        tolerance.Decision
	Doubts      []record.Doubt // those that touch the box with this candidate
}
