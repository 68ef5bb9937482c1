package report_test

import (
	"bytes"
	"encoding/json"
	"os"
	"strings"
	"testing"

	"example.com/borestack/align/report"
)

// One order of candidates: the ranks in JSON are the places in the tables of the text, the Markdown and the page.
func TestCandidates_oneOrder(t *testing.T) {
	plates, err := os.ReadFile("../../testdata/records/shop-plates.json")
	if err != nil {
		t.Fatal(err)
	}
	for _, text := range []string{string(plates), demonstration(t)} {
		rec, res := evaluated(t, text)
		var b, plain, mark, page bytes.Buffer
		for _, err := range []error{report.JSON(&b, rec, res), report.Text(&plain, rec, res), report.Markdown(&mark, rec, res), report.HTML(&page, rec, res)} {
			if err != nil {
				t.Fatal(err)
			}
		}
		var doc struct {
			Candidates []struct {
				Part, Candidate string
				Rank            int
			}
		}
		if err := json.Unmarshal(b.Bytes(), &doc); err != nil || len(doc.Candidates) == 0 {
			t.Fatal(err, len(doc.Candidates))
		}
		for _, out := range []string{plain.String(), mark.String(), page.String()} {
			at := strings.Index(out, "best first")
			if at < 0 {
				t.Fatal("no table of candidates")
			}
			place, last := 0, ""
			names := map[int]string{}
			for _, c := range doc.Candidates {
				if names[c.Rank] != "" || c.Rank < 1 || c.Rank > len(doc.Candidates)+1 {
					t.Fatalf("rank %d twice, or out of range", c.Rank)
				}
				names[c.Rank] = c.Candidate
			}
			for rank := 1; rank <= len(doc.Candidates)+1; rank++ {
				name := names[rank]
				if name == "" { // the one measured in place
					name = "the one measured in place"
				}
				p := strings.Index(out[at:], name)
				if p < place {
					t.Errorf("%q after %q in the table, before it by rank", last, name)
				}
				place, last = p, name
			}
		}
	}
}
