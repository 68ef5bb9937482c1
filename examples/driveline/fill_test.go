package main

import (
	"bytes"
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
