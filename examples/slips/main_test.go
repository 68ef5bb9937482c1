package main

import (
	"bytes"
	"encoding/json"
	"strings"
	"testing"
)

// No record that breaks a rule passes, or depends: a slip that can be seen is seen. The rules here are a second writing of them.
//
// Of the whole campaign every 40th slip is tried, another start in every box.
func TestSlips_ruledNeverPass(t *testing.T) {
	const every = 40
	boxes := 40
	if testing.Short() {
		boxes = 4
	}
	broken := 0
	for i := range boxes {
		n := map[string]int{}
		slips(cleanBox(uint64(i)), func(s slip) {
			if n[s.Kind]++; (n[s.Kind]+i)%every != 0 || s.Kind == "unit of the record" || s.Kind == "unit of a round" {
				return
			}
			why := ruled(s.Record)
			if len(why) == 0 {
				return
			}
			broken++
			if e := finish(s.Record); e == passed || e == depends {
				t.Errorf("box %d: %s at %s passes: %s", i, s.Kind, s.Path, strings.Join(why, "; "))
			}
		})
	}
	if broken < boxes {
		t.Errorf("only %d records break a rule", broken)
	}
}

// The boxes themselves are clean: no doubt, no rule broken, a verdict of their own.
func TestSlips_boxesAreClean(t *testing.T) {
	ends := map[end]int{}
	for i := range 40 {
		raw, err := json.Marshal(cleanBox(uint64(i)))
		if err != nil {
			t.Fatal(err)
		}
		if why := ruled(raw); len(why) > 0 {
			t.Errorf("box %d: %s", i, strings.Join(why, "; "))
		}
		ends[finish(raw)]++
	}
	if ends[refused] > 0 || ends[passed] < 10 || ends[failed]+ends[depends] < 8 {
		t.Errorf("the boxes end as %v: want some that pass and some that do not, none refused", ends)
	}
}

// The table is the same on any number of workers.
func TestSlips_workers(t *testing.T) {
	var a, b bytes.Buffer
	campaign(3, 300, 1).table(&a)
	campaign(3, 300, 3).table(&b)
	if a.String() != b.String() || !strings.Contains(a.String(), "all") {
		t.Errorf("one worker:\n%s\nthree:\n%s", &a, &b)
	}
}
