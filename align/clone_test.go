package align_test

import (
	"testing"

	"example.com/borestack/align"
	"example.com/borestack/tolerance"
)

// Nothing that a copy's readings become, stations that are read once more included, is seen by the
// stack that it is of, nor by the next station.
//
// Source: hand calculation.
func TestStack_Clone_readings(t *testing.T) {
	of := [][]tolerance.Length{{1, 2}, nil, {}, {3}}
	s := align.Stack{Parts: []align.Part{{Rear: &align.Face{Thickness: &align.Thickness{Readings: align.Readings{Values: of}}}}}}
	own := s.Clone().Parts[0].Rear.Thickness.Values
	if own[1] != nil || own[2] == nil || len(own[2]) != 0 {
		t.Errorf("stations that were not read became %#v and %#v", own[1], own[2])
	}
	_ = append(own[0], 9)
	if own[3][0] != 3 {
		t.Errorf("a further reading of the first station overwrote the last: %v", own)
	}
	own[0][0], own[3][0] = 7, 8
	if of[0][0] != 1 || of[3][0] != 3 {
		t.Errorf("the copy's readings are the stack's: %v", of)
	}
}
