package main

import (
	"bytes"
	"os"
	"regexp"
	"strings"
	"testing"
)

// Every sample of output in README is what the program prints: the pieces between dots stand in its short and then its full report of the demonstration, in that order.
func TestReadme_samplesAreFresh(t *testing.T) {
	text, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	var out, stderr bytes.Buffer
	for _, args := range [][]string{nil, {"-full"}} {
		if status := run(args, nil, &out, &stderr); status != allPass {
			t.Fatalf("exit status %d: %s", status, &stderr)
		}
	}
	samples := regexp.MustCompile("(?s)```text\n(.*?)```").FindAllStringSubmatch(string(text), -1)
	if len(samples) == 0 {
		t.Fatal("README shows no sample")
	}
	for _, sample := range samples {
		rest := out.String()
		for _, piece := range strings.Split(sample[1], "...\n") {
			at := strings.Index(rest, piece)
			if at < 0 {
				t.Errorf("the demonstration does not print, there:\n%s", piece)
				continue
			}
			rest = rest[at+len(piece):]
		}
	}
}
