package main

import (
	"bytes"
	"regexp"
	"strings"
	"testing"

	"example.com/borestack/align/record"
	"example.com/borestack/examples/internal/answer"
)

func TestRun_demonstration(t *testing.T) {
	var sheet, blank bytes.Buffer
	if err := run(demonstration, false, false, answer.Form{}, &sheet); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"Measuring sheet", "Plate: thickness", "________", "goes to /parts/2/rear/thickness", "Where care pays"} {
		if !strings.Contains(sheet.String(), want) {
			t.Errorf("%q is missing from\n%s", want, sheet.String())
		}
	}
	if err := run(demonstration, true, false, answer.Form{}, &blank); err != nil || !strings.Contains(blank.String(), "null") {
		t.Errorf("%v\n%s", err, blank.String())
	}
	if err := run([]byte("{"), false, false, answer.Form{}, &blank); err == nil {
		t.Error("broken JSON was taken")
	}

	// The blank and its table, filled in with a spreadsheet, are a record again; as printed, they are not.
	var table bytes.Buffer
	if err := run(demonstration, false, true, answer.Form{}, &table); err != nil {
		t.Fatal(err)
	}
	if _, _, err := record.Fill(bytes.NewReader(blank.Bytes()), bytes.NewReader(table.Bytes())); err == nil || !strings.Contains(err.Error(), "not filled in") {
		t.Error(err)
	}
	filled := regexp.MustCompile(`(?m)^(.*,\d+),,(mm|um|in|thou)$`).ReplaceAllString(table.String(), "$1,14,$2")
	rec, _, err := record.Fill(bytes.NewReader(blank.Bytes()), strings.NewReader(filled))
	if err != nil {
		t.Fatalf("%v\n%s", err, filled)
	}
	if got := rec.Parts[2].Rear.Thickness.Readings.Readings[0].Repeats[0].Text; got != "14" {
		t.Error(got)
	}
}
