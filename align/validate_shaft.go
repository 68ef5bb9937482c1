package align

import (
	"fmt"
	"math"
	"slices"
	"strconv"

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

func (c *checker) shafts(s *Stack, bores []string) {
	names := map[string]bool{}
	carried := map[string]string{}
	total := 0
	count := map[string]int{}
	c.each("/shafts", len(s.Shafts), func(i int) {
		sh := &s.Shafts[i]
		if total > maxSupports {
			return
		}
		c.name("/name", sh.Name, names)
		c.warm("/temperature", sh.Temperature, sh.Material.Given)
		if total += len(sh.Supports); total > maxSupports {
			c.add(fault.ErrTooMany, "/supports", strconv.Itoa(total), fmt.Sprintf("at most %d supports in all", maxSupports))
			return
		}
		count[sh.Name] += len(sh.Supports)
		if !c.values(sh) {
			return
		}
		c.each("/supports", len(sh.Supports), func(k int) { c.support(&sh.Supports[k], sh.Name, bores, carried) })
		c.sections(sh)
		if len(sh.Sections) == 0 && (len(sh.Loads) > 0 || sh.Density.Given) {
			c.add(fault.ErrMissing, "/sections", "", "sections: only a shaft with sections carries loads")
		}
	})
	if total > maxSupports {
		return
	}
	shafts, pockets := namesOf(s.Shafts, shaftName), map[string]bool{}
	c.each("/pockets", len(s.Pockets), func(i int) {
		p := &s.Pockets[i]
		c.name("/name", p.Name, pockets)
		c.each("/between", len(p.Between), func(k int) {
			if c.known("", "shaft", p.Between[k], shafts) {
				count[p.Between[k]]++
			}
		})
		if p.Between[0] == p.Between[1] {
			c.add(fault.ErrConflict, "/between", strconv.Quote(p.Between[0])+" twice", "two different shafts")
		}
		c.values(p)
	})
	c.each("/shafts", len(s.Shafts), func(i int) {
		if n := count[s.Shafts[i].Name]; n < 2 {
			c.add(fault.ErrMissing, "/supports", fmt.Sprintf("%d supports or pockets", n), "at least two supports or pockets")
		}
	})
}

func shaftName(s *Shaft) string { return s.Name }

func (c *checker) support(p *Support, shaft string, bores []string, carried map[string]string) {
	c.known("/bore", aBore, p.Bore, bores)
	if other, twice := carried[p.Bore]; twice {
		c.add(fault.ErrRepeated, "/bore", strconv.Quote(p.Bore), "one shaft in a bore: it already carries "+strconv.Quote(other))
	}
	carried[p.Bore] = shaft
	switch {
	case p.Kind == Bush && p.Width == 0:
		c.add(fault.ErrMissing, "/width", "", "a width: a bush binds at its mouths")
	case p.Kind == Bush:
		c.positive("/width", p.Width)
	case p.Width != 0:
		c.add(fault.ErrConflict, "/width", p.Width.String(), "no width on a bearing, or kind \"bush\"")
	}
}

// Kinds of names, as faults call them.
const (
	aBore = "bore, \"part/bore\""
	aFace = "face, \"part/front\" or \"part/rear\""
)

// sections checks an elastic shaft.
func (c *checker) sections(sh *Shaft) {
	c.each("/sections", len(sh.Sections), func(k int) {
		q := &sh.Sections[k]
		if q.To <= q.From {
			c.add(fault.ErrConflict, "/to", q.To.String(), "more than from")
		}
		if q.Bore >= q.Diameter {
			c.add(fault.ErrConflict, "/bore", q.Bore.String(), "less than the diameter")
		}
		if k > 0 && math.Abs(float64(q.From-sh.Sections[k-1].To)) > tol.Meet {
			c.add(fault.ErrConflict, "/from", q.From.String(), "where the section before it ends, "+sh.Sections[k-1].To.String())
		}
	})
	if m := sh.Material; len(sh.Sections) > 0 && !(m.Given && m.Value.Modulus.Given && m.Value.Modulus.Value > 0) {
		c.add(fault.ErrMissing, "/material", m.Value.Name, "a material with a modulus: a shaft with sections bends")
	}
}

func (c *checker) references(s *Stack, bores []string) {
	names := map[string]bool{}
	c.each("/references", len(s.References), func(i int) {
		r := &s.References[i]
		c.name("/name", r.Name, names)
		if ways := oneOf(r.Through != [2]string{}, r.Axis != "", len(r.Best) > 0); ways != 1 {
			c.add(fault.ErrConflict, "", fmt.Sprintf("%d ways", ways), "one of through, axis and best")
			return
		}
		list, key := r.Best, "/best"
		switch {
		case r.Axis != "":
			c.known("/axis", aBore, r.Axis, bores)
			return
		case len(r.Best) == 0:
			list, key = r.Through[:], "/through"
		case len(r.Best) < 3 || len(r.Best) > maxSupports:
			c.add(fault.ErrOutOfRange, "/best", fmt.Sprintf("a list of %d", len(r.Best)), "three or more bores")
		}
		c.each(key, len(list), func(k int) {
			if c.known("", aBore, list[k], bores) && slices.Contains(list[:k], list[k]) {
				c.add(fault.ErrRepeated, "", strconv.Quote(list[k]), "each bore once")
			}
		})
	})
}

func (c *checker) meshes(s *Stack, bores []string) {
	names := map[string]bool{}
	c.each("/meshes", len(s.Meshes), func(i int) {
		m := &s.Meshes[i]
		c.name("/name", m.Name, names)
		c.each("/axes", len(m.Axes), func(k int) {
			a := &m.Axes[k]
			c.each("", len(a), func(n int) { c.known("", aBore, a[n], bores) })
			if a[0] == a[1] {
				c.add(fault.ErrRepeated, "", strconv.Quote(a[0]), "two different bores")
			}
		})
		c.values(m)
	})
}

func (c *checker) chains(s *Stack) {
	names := map[string]bool{}
	var faces []string
	for i := range s.Parts {
		if s.Parts[i].Front != nil {
			faces = append(faces, s.Parts[i].Name+"/front")
		}
		if s.Parts[i].Rear != nil {
			faces = append(faces, s.Parts[i].Name+"/rear")
		}
	}
	c.each("/chains", len(s.Chains), func(i int) {
		ch := &s.Chains[i]
		c.name("/name", ch.Name, names)
		if len(ch.Links) == 0 {
			c.add(fault.ErrMissing, "/links", "a list of 0", "at least one link")
		}
		if !c.atMost("/links", len(ch.Links), maxChains) {
			return
		}
		c.values(ch)
		c.each("/links", len(ch.Links), func(k int) {
			l := &ch.Links[k]
			switch {
			case l.From == "" && l.To == "":
			case l.From == "" || l.To == "":
				c.add(fault.ErrMissing, "", strconv.Quote(l.From+l.To), "both from and to")
			case l.Length != 0:
				c.add(fault.ErrConflict, "/length", l.Length.String(), "a length, or from and to")
			default:
				c.known("/from", aFace, l.From, faces)
				c.known("/to", aFace, l.To, faces)
			}
		})
		if ch.Least.Given && ch.Greatest.Given && ch.Least.Value > ch.Greatest.Value {
			c.add(fault.ErrConflict, "/least", ch.Least.Value.String(), "at most greatest")
		}
	})
}

func (c *checker) states(s *Stack) {
	names := map[string]bool{}
	parts := namesOf(s.Parts, partName)
	either := slices.Concat(parts, namesOf(s.Shafts, shaftName))
	c.each("/states", len(s.States), func(i int) {
		st := &s.States[i]
		c.name("/name", st.Name, names)
		for _, t := range st.Temperatures {
			to := "/temperatures/" + escaped(t.Of)
			if c.known(to, "part or shaft", t.Of, either) {
				c.warm(to, tolerance.Given(t.Temperature), s.hasMaterial(t.Of))
			}
		}
		for k := range st.Moves {
			m := &st.Moves[k]
			if to := "/moves/" + escaped(m.Part); c.known(to, "part", m.Part, parts) {
				c.below(to, func() { c.values(&m.By) })
			}
		}
	})
}

// hasMaterial reports whether every part and shaft of that name has a material.
func (s *Stack) hasMaterial(name string) bool {
	return !slices.ContainsFunc(s.Parts, func(p Part) bool { return p.Name == name && !p.Material.Given }) &&
		!slices.ContainsFunc(s.Shafts, func(q Shaft) bool { return q.Name == name && !q.Material.Given })
}
