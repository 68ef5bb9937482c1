package report

import (
	"fmt"
	"strings"

	"example.com/borestack/align/internal/paper"
	"example.com/borestack/align/internal/spell"
)

// What a round of readings was taken to mean can be checked by an eye alone: where its first readings are, and what its own
// unit makes of them. Centres are said where they stand.

// understood lists every round of the record as it was understood.
func (c *checker) understood() {
	var s *paper.Section
	for _, u := range c.rec.Understood() {
		if !aRound(u.Path) {
			continue
		}
		if s == nil {
			s = c.page.Section("rounds", "Rounds as they were understood: is that where the readings were taken?")
		}
		s.Item("%s: %s", spell.Clean(c.at.place(u.Path)), spell.Clean(u.Text))
	}
}

// aRound reports whether a pointer leads to a round of readings, or to points round a feature.
func aRound(path string) bool {
	return strings.HasSuffix(path, "/sweep") || strings.HasSuffix(path, "/thickness") || strings.HasSuffix(path, "/round")
}

// sweptDrivers says of every swept bore that drives the use how its round was understood.
func (t *teller) sweptDrivers(s *paper.Section) {
	drives := map[string]bool{}
	for _, g := range t.res.Assembly.Line.Governs {
		drives[g.Name] = true
	}
	at := map[string]string{}
	for i := range t.rec.Parts {
		for k := range t.rec.Parts[i].Bores {
			if name := t.rec.Parts[i].Name + "/" + t.rec.Parts[i].Bores[k].Name; drives[name] {
				at[fmt.Sprintf("/parts/%d/bores/%d/sweep", i, k)] = name
			}
		}
	}
	for _, u := range t.rec.Understood() {
		if name := at[u.Path]; name != "" {
			s.Item("the sweep of %s was understood so: %s", spoken(name), spell.Clean(u.Text))
		}
	}
}
