package report

import (
	"strings"

	"example.com/borestack/align/record"
	"example.com/borestack/align/study"
)

// Brief is the first screen of a report in sentences, for a page of one's own. The zero value says nothing.
type Brief struct {
	Verdict string   // begins with the word of the verdict
	More    []string // what else must be read if nothing below is
	Do      []string // up to three things to do, the first first
}

// BriefOf is the brief of res, which [study.Run] made of rec. Errors are those of [Text].
func BriefOf(rec *record.Record, res *study.Result) (Brief, error) {
	p, err := benchPage(rec, res)
	if err != nil {
		return Brief{}, err
	}
	b := Brief{Verdict: p.Lead, More: p.More, Do: p.Do}
	if p.Word != "" {
		b.Verdict = strings.ToUpper(p.Word) + ": " + b.Verdict
	}
	return b, nil
}
