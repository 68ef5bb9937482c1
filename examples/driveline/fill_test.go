package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// A record and a spreadsheet's table in one call; the table's faults name line and column.
func TestRun_table(t *testing.T) {
	folder := t.TempDir()
	file := func(name, text string) string {
		path := filepath.Join(folder, name)
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		return path
	}
	launch := file("launch.json", string(demonstration))
	call := func(args ...string) (int, string, string) {
		var out, bad bytes.Buffer
		status := run(args, strings.NewReader(""), &out, &bad)
		return status, out.String(), bad.String()
	}
	wide := "place;station;reading\n"
	for i, v := range []string{"14,00", "14,00", "14,55", "14,00", "14,00", "14,00", "14,00", "14,00"} {
		wide += "plate/thickness;" + string(rune('1'+i)) + ";" + v + "\n"
	}
	status, out, bad := call(launch, file("readings.csv", wide), "-samples", "100")
	if status != notAllPass || !strings.Contains(bad, "readings.csv: line 2, column 19: 14,00 is read as 14.00: decimal commas") {
		t.Errorf("%d, %s%s", status, bad, out[:min(len(out), 300)])
	}
	status, _, bad = call(launch, file("slip.csv", strings.Replace(wide, "14,55", "14,5S", 1)))
	if status != wrongInput || !strings.Contains(bad, "line 4, column 19 (reading)") {
		t.Errorf("%d, %s", status, bad)
	}
	if status, _, bad = call(launch, filepath.Join(folder, "none.csv")); status != wrongInput || bad == "" {
		t.Errorf("no such table: %d, %s", status, bad)
	}
}

// From the bench to the verdict: a skeleton whose plate nobody has measured, and a spreadsheet with 16
// thickness readings and 3 clearances. Supports at 0, 8 and 18 in, the readings round a 7 in face.
//
// Source: common practice, no published source (a plate that rises by 0.003 in is let pass, one by 0.011
// in is not); hand calculation: use = (8/18)(10 rise/7)/2 / 0.0025, to the rounding of the readings, 0.00005 in.
func TestRun_tradeCheck(t *testing.T) {
	const skeleton = `{"format": "borestack-record/1", "title": "invented: a plate between case and tail", "units": {"length": "in"},
"parts": [
 {"name": "case", "rear": {"z": 7.5, "pilot": {"kind": "bore", "centre": [0, 0], "diameter": 5}}, "bores": [{"name": "front", "centre": [0, 0, 0]}]},
 {"name": "plate", "front": {"pilot": {"kind": "spigot", "centre": [0, 0], "diameter": 5}}, "rear": {"thickness": {"radius": 3.5, "readings": [null, null, null, null, null, null, null, null, null, null, null, null, null, null, null, null]}, "pilot": {"kind": "spigot", "centre": [0, 0], "diameter": 4}}, "bores": [{"name": "bearing", "centre": [0, 0, 0.5]}]},
 {"name": "tail", "front": {"pilot": {"kind": "bore", "centre": [0, 0], "diameter": 4}}, "bores": [{"name": "bush", "centre": [0, 0, 10]}]}],
"joints": [{}, {}],
"shafts": [{"name": "main", "supports": [{"bore": "case/front", "clearance": 1}, {"bore": "plate/bearing", "clearance": 1}, {"bore": "tail/bush", "clearance": 1}]}],
"accept": [{"output": {"kind": "margin"}, "least": 0, "because": "straight shafts must have room"}]}`
	folder := t.TempDir()
	for name, c := range map[string]struct {
		rise    float64
		status  int
		verdict string
		comma   bool
	}{
		"let pass":       {0.003, allPass, "pass", false},
		"let pass, 0,5":  {0.003, allPass, "pass", true},
		"not let pass":   {0.011, notAllPass, "fail", false},
		"as good as new": {0.0015, allPass, "pass", false},
	} {
		var table strings.Builder
		table.WriteString("place;station;reading\n")
		for k := range 16 {
			fmt.Fprintf(&table, "plate/thickness;%d;%.4f\n", k+1, 0.5+c.rise/2*math.Cos(float64(k)*math.Pi/8))
		}
		for _, bore := range []string{"case/front", "plate/bearing", "tail/bush"} {
			fmt.Fprintf(&table, "clearance of %s;;0.005\n", bore)
		}
		text := table.String()
		if c.comma {
			text = strings.ReplaceAll(text, ".", ",")
		}
		rec, csv := filepath.Join(folder, "skeleton.json"), filepath.Join(folder, "bench.csv")
		for file, text := range map[string]string{rec: skeleton, csv: text} {
			if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
				t.Fatal(err)
			}
		}
		out, bad, status := driveline("", "-json", rec, csv)
		var got struct {
			Verdict string
			Line    struct{ Use float64 }
		}
		if err := json.Unmarshal([]byte(out), &got); err != nil {
			t.Fatal(err, bad)
		}
		want := 8.0 / 18 * (10 * c.rise / 7) / 2 / 0.0025
		if status != c.status || got.Verdict != c.verdict || math.Abs(got.Line.Use-want) > want*0.00005/(c.rise/2) || strings.Contains(bad, "line 2, column 19: 0,") != c.comma {
			t.Errorf("%s: %d, %+v, want %v; %s", name, status, got, want, bad)
		}
		if out, bad, status := driveline("", rec); status != wrongInput || !strings.Contains(bad, "/parts/1/rear/thickness/readings") || !strings.Contains(bad, "not filled in") {
			t.Errorf("the skeleton alone: %d, %s%s", status, bad, out)
		}
	}
}
