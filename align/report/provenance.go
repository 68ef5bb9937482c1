package report

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"runtime/debug"
	"strings"

	"example.com/borestack/align/internal/paper"
	"example.com/borestack/align/internal/spell"
)

// module is the library's import path, by which the program's build information knows its version.
const module = "example.com/borestack"

// provenance says what the report was made of and by: nothing that changes from run to run. The record is returned as the library writes it.
func (t *teller) provenance() (facts []paper.Fact, record []byte, err error) {
	var b bytes.Buffer
	if err := t.rec.Encode(&b); err != nil {
		return nil, nil, fmt.Errorf("report: %w", err)
	}
	digest := sha256.Sum256(b.Bytes())
	fact := func(what, is string) { facts = append(facts, paper.Fact{What: what, Is: is}) }
	fact("Record, SHA-256", hex.EncodeToString(digest[:]))
	fact("Record, format", spell.Clean(t.rec.Format)+", lengths in "+t.p.unitWord()+fmt.Sprintf(", %d bytes as the library writes it", b.Len()))
	fact("Report, format", "the numbers are those of "+Format)
	fact("Library", module+", "+version())
	for _, q := range t.res.Variations {
		fact("Study ("+q.Because+")", fmt.Sprintf("%d samples, seed %d", q.Samples, q.Seed))
	}
	if len(t.res.Variations) == 0 {
		fact("Study", "none: nothing was sampled")
	}
	fact("Limits", t.origins())
	return facts, b.Bytes(), nil
}

func (t *teller) origins() string {
	if len(t.res.Verdicts) == 0 {
		return "none is given"
	}
	var out, silent []string
	for _, v := range t.res.Verdicts {
		if v.Limit.Because == "" {
			silent = append(silent, v.Limit.Path)
		} else {
			out = append(out, v.Limit.Path+": "+spell.Clean(v.Limit.Because))
		}
	}
	if len(silent) > 0 {
		out = append(out, "origin not stated: "+spell.Listed(silent, 12))
	}
	return strings.Join(out, "; ")
}

// version is the library's, as the program that runs was built with it: "development" when it was built from a source tree without one.
func version() string {
	if info, ok := debug.ReadBuildInfo(); ok {
		for _, m := range append(info.Deps, &info.Main) {
			if m.Path == module && m.Version != "" && m.Version != "(devel)" {
				return m.Version
			}
		}
	}
	return "development"
}
