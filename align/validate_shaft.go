package align

import (
	"fmt"
	"maps"
	"math"
	"strconv"
	"strings"

	"example.com/borestack/align/internal/tol"
	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// work refuses boxes that would take more than a second or two to solve: shafts on more circles
// than the quick search for their lines takes, and many circles over floats with many bounds.
func (c *checker) work(s *Stack) {
	circles, named := make([]int, len(s.Shafts)), map[string]int{}
	add := func(shaft int, twoMouths bool) {
		if circles[shaft]++; twoMouths {
			circles[shaft]++
		}
	}
	for i := range s.Shafts {
		named[s.Shafts[i].Name] = i
		for k := range s.Shafts[i].Supports {
			add(i, s.Shafts[i].Supports[k].Kind == Bush)
		}
	}
	var pockets [][2]int
	for _, p := range s.Pockets {
		a, known := named[p.Between[0]]
		b, too := named[p.Between[1]]
		if !known || !too {
			return // reported already
		}
		add(a, p.Width.Given)
		pockets = append(pockets, [2]int{a, b})
	}
	all := 0
	for _, group := range coupled(len(s.Shafts), pockets) {
		together := 0
		for _, i := range group {
			together += circles[i]
		}
		if together > maxTogether {
			c.add(fault.ErrTooMany, fmt.Sprintf("/shafts/%d/supports", group[0]), strconv.Itoa(together), fmt.Sprintf("at most %d supports and pockets of one shaft and those that run in its ends, a bush counted twice", maxTogether))
		}
		all += together
	}
	bounds := 0
	for i := range s.Joints {
		if j := &s.Joints[i]; j.Lies == LiesAny && j.Float == nil {
			bounds += 1 + len(j.Pins) + len(j.Bolts)
		}
	}
	if all*bounds > maxOverFloats {
		c.add(fault.ErrTooMany, "/joints", strconv.Itoa(bounds), fmt.Sprintf("at most %d pilots, pins and bolts of joints that may lie anywhere, beside %d supports and pockets: say how joints rest or hang, or how they were found to lie", maxOverFloats/all, all))
	}
}

func (c *checker) shafts(s *Stack, bores map[string]bool) {
	names := map[string]bool{}
	carried := map[string]string{}
	total := 0
	count := map[string]int{}
	for i := range s.Shafts {
		sh := &s.Shafts[i]
		at := fmt.Sprintf("/shafts/%d", i)
		c.name(at+"/name", sh.Name, names)
		c.warm(at+"/temperature", sh.Temperature, sh.Material.Given)
		if total += len(sh.Supports); total > maxSupports {
			c.add(fault.ErrTooMany, at+"/supports", strconv.Itoa(total), fmt.Sprintf("at most %d supports in all", maxSupports))
			return
		}
		count[sh.Name] += len(sh.Supports)
		if !c.values(at, sh) {
			continue
		}
		for k := range sh.Supports {
			c.support(fmt.Sprintf("%s/supports/%d", at, k), &sh.Supports[k], sh.Name, bores, carried)
		}
		c.sections(at, sh)
		if len(sh.Sections) == 0 && (len(sh.Loads) > 0 || sh.Density.Given) {
			c.add(fault.ErrMissing, at+"/sections", "", "sections: only a shaft with sections carries loads")
		}
	}
	pockets := map[string]bool{}
	for i, p := range s.Pockets {
		at := fmt.Sprintf("/pockets/%d", i)
		c.name(at+"/name", p.Name, pockets)
		for k, n := range p.Between {
			if c.known(fmt.Sprintf("%s/between/%d", at, k), "shaft", n, names) {
				count[n]++
			}
		}
		if p.Between[0] == p.Between[1] {
			c.add(fault.ErrConflict, at+"/between", strconv.Quote(p.Between[0])+" twice", "two different shafts")
		}
		c.values(at, &p)
	}
	for i := range s.Shafts {
		if n := count[s.Shafts[i].Name]; n < 2 {
			c.add(fault.ErrMissing, fmt.Sprintf("/shafts/%d/supports", i), fmt.Sprintf("%d supports or pockets", n), "at least two supports or pockets")
		}
	}
}

func (c *checker) support(at string, p *Support, shaft string, bores map[string]bool, carried map[string]string) {
	c.known(at+"/bore", "bore, \"part/bore\"", p.Bore, bores)
	if other, twice := carried[p.Bore]; twice {
		c.add(fault.ErrRepeated, at+"/bore", strconv.Quote(p.Bore), "one shaft in a bore: it already carries "+strconv.Quote(other))
	}
	carried[p.Bore] = shaft
	switch {
	case p.Kind == Bush && p.Width == 0:
		c.add(fault.ErrMissing, at+"/width", "", "a width: a bush binds at its mouths")
	case p.Kind == Bush:
		c.positive(at+"/width", p.Width)
	case p.Width != 0:
		c.add(fault.ErrConflict, at+"/width", p.Width.String(), "no width on a bearing, or kind \"bush\"")
	}
}

// sections checks an elastic shaft.
func (c *checker) sections(at string, sh *Shaft) {
	for k, q := range sh.Sections {
		to := fmt.Sprintf("%s/sections/%d", at, k)
		if q.To <= q.From {
			c.add(fault.ErrConflict, to+"/to", q.To.String(), "more than from")
		}
		if q.Bore >= q.Diameter {
			c.add(fault.ErrConflict, to+"/bore", q.Bore.String(), "less than the diameter")
		}
		if k > 0 && math.Abs(float64(q.From-sh.Sections[k-1].To)) > tol.Meet {
			c.add(fault.ErrConflict, to+"/from", q.From.String(), "where the section before it ends, "+sh.Sections[k-1].To.String())
		}
	}
	if m := sh.Material; len(sh.Sections) > 0 && !(m.Given && m.Value.Modulus.Given && m.Value.Modulus.Value > 0) {
		c.add(fault.ErrMissing, at+"/material", m.Value.Name, "a material with a modulus: a shaft with sections bends")
	}
}

func (c *checker) references(s *Stack, bores map[string]bool) {
	names := map[string]bool{}
	for i, r := range s.References {
		at := fmt.Sprintf("/references/%d", i)
		c.name(at+"/name", r.Name, names)
		ways := 0
		for _, w := range []bool{r.Through != [2]string{}, r.Axis != "", len(r.Best) > 0} {
			if w {
				ways++
			}
		}
		if ways != 1 {
			c.add(fault.ErrConflict, at, fmt.Sprintf("%d ways", ways), "one of through, axis and best")
			continue
		}
		list, key := r.Best, "best"
		switch {
		case r.Axis != "":
			c.known(at+"/axis", "bore, \"part/bore\"", r.Axis, bores)
			continue
		case len(r.Best) == 0:
			list, key = r.Through[:], "through"
		case len(r.Best) < 3 || len(r.Best) > maxSupports:
			c.add(fault.ErrOutOfRange, at+"/best", fmt.Sprintf("a list of %d", len(r.Best)), "three or more bores")
		}
		seen := map[string]bool{}
		for k, b := range list {
			q := fmt.Sprintf("%s/%s/%d", at, key, k)
			if c.known(q, "bore, \"part/bore\"", b, bores) && seen[b] {
				c.add(fault.ErrRepeated, q, strconv.Quote(b), "each bore once")
			}
			seen[b] = true
		}
	}
}

func (c *checker) meshes(s *Stack, bores map[string]bool) {
	names := map[string]bool{}
	for i, m := range s.Meshes {
		at := fmt.Sprintf("/meshes/%d", i)
		c.name(at+"/name", m.Name, names)
		for k, a := range m.Axes {
			for n, b := range a {
				c.known(fmt.Sprintf("%s/axes/%d/%d", at, k, n), "bore, \"part/bore\"", b, bores)
			}
			if a[0] == a[1] {
				c.add(fault.ErrRepeated, fmt.Sprintf("%s/axes/%d", at, k), strconv.Quote(a[0]), "two different bores")
			}
		}
		c.values(at, &m)
	}
}

func (c *checker) chains(s *Stack) {
	names := map[string]bool{}
	faces := map[string]bool{}
	for i := range s.Parts {
		if s.Parts[i].Front != nil {
			faces[s.Parts[i].Name+"/front"] = true
		}
		if s.Parts[i].Rear != nil {
			faces[s.Parts[i].Name+"/rear"] = true
		}
	}
	for i, ch := range s.Chains {
		at := fmt.Sprintf("/chains/%d", i)
		c.name(at+"/name", ch.Name, names)
		if len(ch.Links) == 0 {
			c.add(fault.ErrMissing, at+"/links", "a list of 0", "at least one link")
		}
		if !c.atMost(at+"/links", len(ch.Links), maxChains) {
			continue
		}
		c.values(at, &ch)
		for k, l := range ch.Links {
			q := fmt.Sprintf("%s/links/%d", at, k)
			switch {
			case l.From == "" && l.To == "":
			case l.From == "" || l.To == "":
				c.add(fault.ErrMissing, q, strconv.Quote(l.From+l.To), "both from and to")
			case l.Length != 0:
				c.add(fault.ErrConflict, q+"/length", l.Length.String(), "a length, or from and to")
			default:
				c.known(q+"/from", "face, \"part/front\" or \"part/rear\"", l.From, faces)
				c.known(q+"/to", "face, \"part/front\" or \"part/rear\"", l.To, faces)
			}
		}
		if ch.Least.Given && ch.Greatest.Given && ch.Least.Value > ch.Greatest.Value {
			c.add(fault.ErrConflict, at+"/least", ch.Least.Value.String(), "at most greatest")
		}
	}
}

func (c *checker) states(s *Stack) {
	names := map[string]bool{}
	parts := nameSet(s.Parts, func(p *Part) string { return p.Name })
	either := nameSet(s.Shafts, func(q *Shaft) string { return q.Name })
	maps.Copy(either, parts)
	for i, st := range s.States {
		at := fmt.Sprintf("/states/%d", i)
		c.name(at+"/name", st.Name, names)
		for _, t := range st.Temperatures {
			to := at + "/temperatures/" + strings.ReplaceAll(strings.ReplaceAll(t.Of, "~", "~0"), "/", "~1")
			if c.known(to, "part or shaft", t.Of, either) {
				c.warm(to, tolerance.Given(t.Temperature), s.hasMaterial(t.Of))
			}
		}
		for _, m := range st.Moves {
			to := at + "/moves/" + strings.ReplaceAll(strings.ReplaceAll(m.Part, "~", "~0"), "/", "~1")
			if c.known(to, "part", m.Part, parts) {
				c.values(to, &m.By)
			}
		}
	}
}

// hasMaterial reports whether every part and shaft of that name has a material.
func (s *Stack) hasMaterial(name string) bool {
	for i := range s.Parts {
		if s.Parts[i].Name == name && !s.Parts[i].Material.Given {
			return false
		}
	}
	for i := range s.Shafts {
		if s.Shafts[i].Name == name && !s.Shafts[i].Material.Given {
			return false
		}
	}
	return true
}
