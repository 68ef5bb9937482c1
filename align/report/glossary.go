package report

import (
	"strings"

	"example.com/borestack/align/internal/paper"
)

// glossary are the words that a builder may not use, with what they mean: said where a word stands first.
var glossary = [...]struct{ word, means string }{
	{"in its float", "how far it can be pushed before it is tightened"},
	{"second harmonic", "the part of the readings that rises and falls twice a turn"},
	{"guard band", "what is kept clear of a limit, because readings are not exact"},
	{"use and margin", "use is the share of every clearance that is used up"},
	{"use of clearance", "the share of every clearance that straight shafts need"},
	{"least-squares planes", "planes in the middle of all points"},
	{"RSS", "root of the sum of squares: deviations seldom all go the same way"},
}

// explain puts the meaning of every word of the glossary behind where it stands first, in the order in which a page is read.
// Text has no room for wide sections.
func explain(p *paper.Page, text bool) {
	said := [len(glossary)]bool{}
	see := func(s *string) {
		for i, g := range glossary {
			if at := strings.Index(*s, g.word); at >= 0 && !said[i] {
				said[i] = true
				at += len(g.word)
				*s = (*s)[:at] + " (" + g.means + ")" + (*s)[at:]
			}
		}
	}
	items := func(list []paper.Item) {
		for i := range list {
			see(&list[i].Text)
			for k := range list[i].More {
				see(&list[i].More[k])
			}
		}
	}
	see(&p.Lead)
	for i := range p.More {
		see(&p.More[i])
	}
	for i := range p.Do {
		see(&p.Do[i])
	}
	for _, s := range p.Sections {
		if text && s.Wide {
			continue
		}
		for i := range s.Blocks {
			b := &s.Blocks[i]
			see(&b.Text)
			items(b.List)
			if b.Table != nil {
				see(&b.Table.Caption)
				items(b.Table.Told)
			}
		}
	}
}
