package report

import (
	"fmt"
	"slices"
	"strings"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/quantity"
	"example.com/borestack/align/record"
)

// pointers finds where in the record the things of a result stand, as JSON Pointers (RFC 6901). What is not found has none.
type pointers struct {
	rec   *record.Record
	named map[string]string // parts, joints, pockets, references, meshes and chains, by kind and name
	bores map[string]string // by "part/bore"
}

func pointersOf(rec *record.Record) pointers {
	p := pointers{rec, map[string]string{}, map[string]string{}}
	add := func(kind, name, at string) {
		if key := kind + "/" + name; p.named[key] == "" {
			p.named[key] = at
		}
	}
	for i := range rec.Parts {
		part := &rec.Parts[i]
		add("part", part.Name, fmt.Sprintf("/parts/%d", i))
		for k := range part.Bores {
			p.bores[part.Name+"/"+part.Bores[k].Name] = fmt.Sprintf("/parts/%d/bores/%d", i, k)
		}
	}
	for i := range rec.Joints {
		if rec.Joints[i].Name != "" {
			add("joint", rec.Joints[i].Name, fmt.Sprintf("/joints/%d", i))
		}
		if i+1 < len(rec.Parts) {
			add("joint", rec.Parts[i].Name+"|"+rec.Parts[i+1].Name, fmt.Sprintf("/joints/%d", i))
		}
	}
	for i := range rec.Pockets {
		add("pocket", rec.Pockets[i].Name, fmt.Sprintf("/pockets/%d", i))
	}
	for i := range rec.Shafts {
		add("shaft", rec.Shafts[i].Name, fmt.Sprintf("/shafts/%d", i))
	}
	for i := range rec.References {
		add("reference", rec.References[i].Name, fmt.Sprintf("/references/%d", i))
	}
	for i := range rec.Meshes {
		add("mesh", rec.Meshes[i].Name, fmt.Sprintf("/meshes/%d", i))
	}
	for i := range rec.Chains {
		add("chain", rec.Chains[i].Name, fmt.Sprintf("/chains/%d", i))
	}
	for i := range rec.States {
		add("state", rec.States[i].Name, fmt.Sprintf("/states/%d", i))
	}
	return p
}

// of is the pointers that are there.
func of(at ...string) []string {
	var out []string
	for _, a := range at {
		if a != "" {
			out = append(out, a)
		}
	}
	return out
}

// supports are the pointers of every support, in the order of the results: shaft by shaft.
func (p pointers) supports() [][]string {
	var out [][]string
	for i := range p.rec.Shafts {
		for k := range p.rec.Shafts[i].Supports {
			out = append(out, of(p.bores[p.rec.Shafts[i].Supports[k].Bore], fmt.Sprintf("/shafts/%d/supports/%d", i, k)))
		}
	}
	return out
}

// limit is where a limit is stated, and what it is measured on.
func (p pointers) limit(l record.Limit) []string {
	out := of(l.Path, p.named["state/"+l.State])
	for _, at := range p.output(l.Output) {
		if !slices.Contains(out, at) {
			out = append(out, at)
		}
	}
	return out
}

// output is what an output is measured on, and from.
func (p pointers) output(o align.Output) []string {
	switch quantity.Of(o.What).Thing {
	case quantity.Bore:
		from := p.named["reference/"+o.From]
		if o.From == "" && len(p.rec.References) > 0 {
			from = "/references/0"
		}
		return of(p.bores[o.Of], from)
	case quantity.Support, quantity.SupportOrPocket:
		return of(p.bores[o.Of], p.named["pocket/"+o.Of])
	case quantity.Joint:
		return of(p.named["joint/"+o.Of])
	case quantity.Part:
		if at := p.named["part/"+o.Of]; at != "" {
			return of(at + "/rear/thickness")
		}
	case quantity.Mesh:
		return of(p.named["mesh/"+o.Of])
	case quantity.Chain:
		return of(p.named["chain/"+o.Of])
	}
	return nil
}

// candidate is where a candidate for a place stands; the part in place has no name.
func (p pointers) candidate(place, name string) []string {
	if name == "" {
		return of(p.named["part/"+place])
	}
	for _, e := range p.rec.Candidates {
		for i := range e.Value {
			if e.Name == place && e.Value[i].Name == name {
				return of(fmt.Sprintf("/candidates/%s/%d", token(place), i))
			}
		}
	}
	return nil
}

// token spells a name as one token of a pointer.
//
// Source: RFC 6901, section 3.
func token(name string) string { return strings.NewReplacer("~", "~0", "/", "~1").Replace(name) }

// vary are the sources of variation of one kind: their indices in the record.
func (p pointers) vary(because string) []int {
	var out []int
	for i := range p.rec.Vary {
		v := &p.rec.Vary[i]
		kind := v.Because
		if kind == "" {
			kind = "process"
		}
		if kind == because {
			out = append(out, i)
		}
	}
	return out
}
