package main

import (
	"bytes"
	"strings"
	"testing"
)

func TestRun_demonstration(t *testing.T) {
	var sheet, blank bytes.Buffer
	if err := run(demonstration, false, false, &sheet); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"Measuring sheet", "Plate: thickness", "________", "goes to /parts/2/rear/thickness", "Where care pays"} {
		if !strings.Contains(sheet.String(), want) {
			t.Errorf("%q is missing from\n%s", want, sheet.String())
		}
	}
	if err := run(demonstration, true, false, &blank); err != nil || !strings.Contains(blank.String(), "null") {
		t.Errorf("%v\n%s", err, blank.String())
	}
	if err := run([]byte("{"), false, false, &blank); err == nil {
		t.Error("broken JSON was taken")
	}
}
