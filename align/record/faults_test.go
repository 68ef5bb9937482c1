package record_test

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"example.com/borestack/align/record"
	"example.com/borestack/fault"
)

// What an output is of is checked against what its kind can be of, never passed over.
func TestAccept_things(t *testing.T) {
	const box = `{"format": "borestack-record/1", "units": {"length": "mm"}, "parts": [{"name": "bed", "bores": [{"name": "a", "centre": [0, 0, 5]}, {"name": "b", "centre": [0, 0, 90]}]}], "joints": [], %s "accept": [{"output": {%s}, "least": 0}]}`
	const shafts = `"shafts": [{"name": "main", "supports": [{"bore": "bed/a", "clearance": 0.1}, {"bore": "bed/b", "clearance": 0.1}]}],`
	for _, c := range []struct {
		with, output, path string
		class              error
	}{
		{shafts, `"kind": "margin"`, "", nil},
		{shafts, `"kind": "margin", "of": "main"`, "/of", fault.ErrConflict},
		{shafts, `"kind": "use", "of": "bed/a"`, "/of", fault.ErrConflict},
		{"", `"kind": "margin"`, "/kind", fault.ErrMissing},
		{shafts, `"kind": "tir", "of": "bed/a"`, "", nil},
		{shafts, `"kind": "tir"`, "/of", fault.ErrMissing},
		{shafts, `"kind": "tir", "of": "bed/c"`, "/of", fault.ErrUnknownName},
		{"", `"kind": "tir", "of": "bed/a"`, "/kind", fault.ErrMissing},
		{shafts, `"kind": "tir", "of": "bed/a", "from": "line"`, "/from", fault.ErrUnknownName},
		{shafts, `"kind": "tir", "of": "bed/a", "state": "warm"`, "/state", fault.ErrUnknownName},
		{shafts, `"kind": "assembles"`, "", nil},
	} {
		_, err := record.Decode(strings.NewReader(fmt.Sprintf(box, c.with, c.output)))
		var f *fault.FieldError
		if c.class == nil && err != nil || c.class != nil && (!errors.As(err, &f) || f.Path != "/accept/0/output"+c.path || f.Err != c.class) {
			t.Errorf("%s: %v", c.output, err)
		}
	}
}
