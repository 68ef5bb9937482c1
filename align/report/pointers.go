package report

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/quantity"
	"example.com/borestack/align/record"
)

// pointers finds where in the record the things of a result stand, as JSON Pointers (RFC 6901), and what stands at a pointer.
// What is not found has none.
type pointers struct {
	rec   *record.Record
	named map[string]string // parts, joints, shafts, pockets, references, meshes, chains and states, by kind and name
	bores map[string]string // by "part/bore"
	words map[string]string // what stands there, by pointer
}

func pointersOf(rec *record.Record) pointers {
	p := pointers{rec, map[string]string{}, map[string]string{}, map[string]string{}}
	for i := range rec.Parts {
		part, at := &rec.Parts[i], fmt.Sprintf("/parts/%d", i)
		p.name("part", part.Name, at)
		p.part(part, part.Name, at)
		for k := range part.Bores {
			p.bores[part.Name+"/"+part.Bores[k].Name] = fmt.Sprintf("%s/bores/%d", at, k)
		}
	}
	for i := range rec.Joints {
		p.joint(i)
	}
	for i := range rec.Shafts {
		for k, q := range rec.Shafts[i].Supports {
			p.words[fmt.Sprintf("/shafts/%d/supports/%d", i, k)] = "shaft " + rec.Shafts[i].Name + " at " + q.Bore
		}
	}
	for i, r := range rec.References {
		p.name("reference", r.Name, fmt.Sprintf("/references/%d", i))
	}
	things(&p, "shaft", "/shafts/", rec.Shafts, func(s *record.Shaft) string { return s.Name })
	things(&p, "pocket", "/pockets/", rec.Pockets, func(q *record.Pocket) string { return q.Name })
	things(&p, "mesh", "/meshes/", rec.Meshes, func(m *record.Mesh) string { return m.Name })
	things(&p, "chain", "/chains/", rec.Chains, func(c *record.Chain) string { return c.Name })
	things(&p, "state", "/states/", rec.States, func(s *record.State) string { return s.Name })
	for i := range rec.Vary {
		if name := rec.Vary[i].Name; name != "" {
			p.words[fmt.Sprintf("/vary/%d", i)] = "what varies, " + name
		}
	}
	for _, c := range rec.Candidates {
		for i := range c.Value {
			p.part(&c.Value[i], "candidate "+c.Value[i].Name, fmt.Sprintf("/candidates/%s/%d", token(c.Name), i))
		}
	}
	return p
}

func (p *pointers) name(kind, name, at string) {
	if key := kind + "/" + name; p.named[key] == "" {
		p.named[key] = at
	}
}

// things notes where those of a list stand that are called by kind and name.
func things[T any](p *pointers, kind, in string, list []T, name func(*T) string) {
	for i := range list {
		at, called := in+strconv.Itoa(i), name(&list[i])
		p.name(kind, called, at)
		p.words[at] = kind + " " + called
	}
}

// part says what stands where in a part that is known by that name.
func (p *pointers) part(part *record.Part, known, at string) {
	p.words[at] = known
	for k := range part.Bores {
		bore := fmt.Sprintf("%s/bores/%d", at, k)
		p.words[bore] = known + "/" + part.Bores[k].Name
		p.words[bore+"/sweep"] = p.words[bore] + ", sweep"
	}
	for side, face := range map[string]*record.Face{"front": part.Front, "rear": part.Rear} {
		of := at + "/" + side
		for key, words := range map[string]string{
			"": "its %s face", "/thickness": "thickness", "/sweep": "sweep of its %s face", "/pilot": "its %s pilot", "/pilot/sweep": "sweep of its %s pilot",
		} {
			p.words[of+key] = known + ", " + strings.Replace(words, "%s", side, 1)
		}
		for k := 0; face != nil && k < len(face.Dowels); k++ {
			p.words[fmt.Sprintf("%s/dowels/%d", of, k)] = known + ", dowel hole " + face.Dowels[k].Name + " of its " + side + " face"
		}
	}
}

// joint says what stands where in joint i, which is called by its name or by those of the parts that it joins.
func (p *pointers) joint(i int) {
	j, at := &p.rec.Joints[i], fmt.Sprintf("/joints/%d", i)
	called := j.Name
	if called != "" {
		p.name("joint", called, at)
	}
	if i+1 < len(p.rec.Parts) {
		parts := p.rec.Parts[i].Name + "|" + p.rec.Parts[i+1].Name
		p.name("joint", parts, at)
		if called == "" {
			called = parts
		}
	}
	p.words[at] = "joint " + called
	for k := range j.Pins {
		p.words[fmt.Sprintf("%s/pins/%d", at, k)] = "joint " + called + ", pin " + j.Pins[k].Dowel
	}
}

// place says a place in words: a pointer into the record becomes "plate, thickness (/parts/2/rear/thickness)"; a name, and a
// pointer that leads nowhere that has a name, stays as it is.
func (p *pointers) place(of string) string {
	for at := of; strings.HasPrefix(at, "/"); at = at[:strings.LastIndexByte(at, '/')] {
		if words := p.words[at]; words != "" {
			return words + " (" + of + ")"
		}
	}
	return of
}

func of(at ...string) []string {
	return slices.DeleteFunc(at, func(a string) bool { return a == "" })
}

// supports are the pointers of every support, in the order of the results: shaft by shaft.
func (p pointers) supports() [][]string {
	var out [][]string
	for i, s := range p.rec.Shafts {
		for k, q := range s.Supports {
			out = append(out, of(p.bores[q.Bore], fmt.Sprintf("/shafts/%d/supports/%d", i, k)))
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
	switch thing := quantity.Of(o.What).Thing; thing {
	case quantity.Bore:
		from := p.named["reference/"+o.From]
		if o.From == "" && len(p.rec.References) > 0 {
			from = "/references/0"
		}
		return of(p.bores[o.Of], from)
	case quantity.Support, quantity.SupportOrPocket:
		return of(p.bores[o.Of], p.named["pocket/"+o.Of])
	case quantity.Part:
		if at := p.named["part/"+o.Of]; at != "" {
			return of(at + "/rear/thickness")
		}
		return nil
	default:
		return of(p.named[thing.String()+"/"+o.Of])
	}
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
