package form

import (
	"fmt"
	"slices"

	"example.com/borestack/examples/bench/internal/draft"
)

// limitKinds are what may be held against a limit, and what each is of.
var limitKinds = []struct{ kind, word, of string }{
	{"margin", "room left beside straight shafts, on radius", ""},
	{"use", "share of the clearances used up, ratio", ""},
	{"tir", "TIR of a bore", "bore"},
	{"offset", "offset of a bore", "bore"},
	{"tilt", "tilt of a bore, ratio", "bore"},
	{"gap", "gap at a joint", "joint"},
	{"thickness_variation", "variation of a part's thickness", "part"},
	{"clearance", "running clearance of a bore", "bore"},
	{"assembles", "that it goes together", ""},
}

// allLimits are the limits and where they come from.
func (b *builder) allLimits() {
	b.section("limits", "Limits, and where they come from", "Without a limit nothing passes or fails.")
	for i := range b.d.Count("/accept") {
		b.limit(fmt.Sprintf("/accept/%d", i), i)
	}
	b.button("add", "/accept", "", "Add a limit", "")
	b.note("/accept")
	b.WriteString("</section>\n")
}

func (b *builder) limit(at string, i int) {
	kind := b.d.Text(at + "/output/kind")
	var kinds []option
	title, of := kind, ""
	for _, k := range limitKinds {
		kinds = append(kinds, option{k.kind, k.word})
		if k.kind == kind {
			title, of = k.word, k.of
		}
	}
	b.group(at, fmt.Sprintf("Limit %d, %s", i+1, title), 3, b.removes(at, fmt.Sprintf("limit %d", i+1)))
	b.fields()
	b.choice(at+"/output/kind", "Limit on", kinds)
	switch of {
	case "bore":
		b.choice(at+"/output/of", "Of", choose(b.bores))
		if kind != "clearance" {
			b.choice(at+"/output/from", "From", append([]option{{"", "the first reference line"}}, options(b.names("/references")...)...))
		}
	case "joint":
		b.choice(at+"/output/of", "Of", choose(b.jointNames()))
	case "part":
		b.choice(at+"/output/of", "Of", choose(b.parts))
	}
	b.field(at+"/least", "At least")
	b.field(at+"/greatest", "At most")
	b.choice(at+"/over", "It holds", []option{{"", "however the parts lie"}, {"rest", "where they rest"}})
	b.field(at+"/because", "Where the limit comes from")
	b.WriteString("</div>\n")
	b.note(at + "/output")
	b.endGroup()
}

// names are the names of the members of a list.
func (b *builder) names(list string) (out []string) {
	for i := range b.d.Count(list) {
		out = append(out, b.d.Text(fmt.Sprintf("%s/%d/name", list, i)))
	}
	return out
}

func (b *builder) jointNames() (out []string) {
	for k, name := range b.names("/joints") {
		if name == "" && k+1 < len(b.parts) {
			name = b.parts[k] + "|" + b.parts[k+1]
		}
		out = append(out, name)
	}
	return out
}

// allCandidates are the parts that may each take another's place.
func (b *builder) allCandidates() {
	if len(b.parts) == 0 {
		return
	}
	b.section("candidates", "Candidates", "Other parts that may each take a part's place: a candidate begins as a copy of the part measured there, with its readings empty.")
	for _, place := range b.d.Keys("/candidates") {
		list := "/candidates/" + draft.Step(place)
		for k := range b.d.Count(list) {
			at := fmt.Sprintf("%s/%d", list, k)
			what := b.named("Candidate for "+place, k, at)
			b.group(at, what, 3, b.removes(at, what))
			b.part(at)
			b.endGroup()
		}
		b.note(list)
	}
	for i, name := range b.parts {
		if name != "" && slices.Index(b.parts, name) == i {
			b.button("add", "/candidates/"+draft.Step(name), "", "Add a candidate for "+name, "")
		}
	}
	b.note("/candidates")
	b.WriteString("</section>\n")
}

// kept says what else is in the record: it is not edited here, and not lost.
func (b *builder) kept() {
	b.section("kept", "Kept as it came", "")
	found := false
	for _, k := range []struct{ key, word string }{{"meshes", "gear meshes"}, {"chains", "sums along the shaft line"}, {"states", "states of the machine"}, {"vary", "sources of variation"}} {
		if n := b.d.Count("/" + k.key); n > 0 {
			b.write("<p>%s: %d, in the record and in the verdict; they are not edited here.</p>\n", k.word, n)
			found = true
		}
		b.note("/" + k.key)
	}
	if !found {
		b.WriteString("<p>Nothing: all of the record is in the fields above.</p>\n")
	}
	b.note("")
	b.WriteString("</section>\n")
}
