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
	circles := make([]int, len(s.Shafts))
	add := func(shaft int, twoMouths bool) {
		if circles[shaft]++; twoMouths {
			circles[shaft]++
		}
	}
	for i := range s.Shafts {
		for k := range s.Shafts[i].Supports {
			add(i, s.Shafts[i].Supports[k].Kind == Bush)
		}
	}
	var pockets [][2]int
	for i := range s.Pockets {
		two := s.between(i)
		if min(two[0], two[1]) < 0 {
			return // reported already
		}
		add(two[0], s.Pockets[i].Width.Given)
		pockets = append(pockets, two)
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

// shafts checks shafts and pockets.
func (c *checker) shafts(s *Stack, bores []string) {
	total, holders := 0, map[string]int{} // supports and pockets, by the shaft's name
	for i := range s.Shafts {
		n := len(s.Shafts[i].Supports)
		holders[s.Shafts[i].Name] += n
		if total += n; total > maxSupports {
			c.add(fault.ErrTooMany, fmt.Sprintf("/shafts/%d/supports", i), strconv.Itoa(total), fmt.Sprintf("at most %d supports in all", maxSupports))
			return
		}
	}
	carried := map[string]string{}
	named(c, "/shafts", s.Shafts, func(_ int, sh *Shaft) {
		c.warm("/temperature", sh.Temperature, sh.Material.Given)
		c.each("/supports", len(sh.Supports), func(k int) { c.support(&sh.Supports[k], sh.Name, bores, carried) })
		c.sections(sh)
	})
	shafts := namesOf(s.Shafts, shaftName)
	named(c, "/pockets", s.Pockets, func(_ int, p *Pocket) {
		c.each("/between", len(p.Between), func(k int) {
			if c.known("", "shaft", p.Between[k], shafts) {
				holders[p.Between[k]]++
			}
		})
		c.refuse(p.Between[0] == p.Between[1], fault.ErrConflict, "/between", "two different shafts", "%q twice", p.Between[0])
	})
	c.each("/shafts", len(s.Shafts), func(i int) {
		n := holders[s.Shafts[i].Name]
		c.refuse(n < 2, fault.ErrMissing, "/supports", "at least two supports or pockets", "%d supports or pockets", n)
	})
}

func shaftName(s *Shaft) string { return s.Name }

func (c *checker) support(p *Support, shaft string, bores []string, carried map[string]string) {
	c.known("/bore", aBore, p.Bore, bores)
	other, twice := carried[p.Bore]
	if twice {
		c.add(fault.ErrRepeated, "/bore", strconv.Quote(p.Bore), "one shaft in a bore: it already carries "+strconv.Quote(other))
	}
	carried[p.Bore] = shaft
	switch {
	case p.Kind == Bush && p.Width == 0:
		c.add(fault.ErrMissing, "/width", "", "a width: a bush binds at its mouths")
	case p.Kind == Bush:
		c.positive("/width", p.Width)
	default:
		c.refuse(p.Width != 0, fault.ErrConflict, "/width", "no width on a bearing, or kind \"bush\"", "%v", p.Width)
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
		c.refuse(q.To <= q.From, fault.ErrConflict, "/to", "more than from", "%v", q.To)
		c.refuse(q.Bore >= q.Diameter, fault.ErrConflict, "/bore", "less than the diameter", "%v", q.Bore)
		if k > 0 && math.Abs(float64(q.From-sh.Sections[k-1].To)) > tol.Meet {
			c.add(fault.ErrConflict, "/from", q.From.String(), "where the section before it ends, "+sh.Sections[k-1].To.String())
		}
	})
	elastic, m := len(sh.Sections) > 0, sh.Material
	c.refuse(elastic && !(m.Given && m.Value.Modulus.Given && m.Value.Modulus.Value > 0), fault.ErrMissing, "/material", "a material with a modulus: a shaft with sections bends", "%s", m.Value.Name)
	c.refuse(!elastic && (len(sh.Loads) > 0 || sh.Density.Given), fault.ErrMissing, "/sections", "sections: only a shaft with sections carries loads", "")
}

func (c *checker) references(s *Stack, bores []string) {
	named(c, "/references", s.References, func(_ int, r *Reference) {
		if ways := oneOf(r.Through != [2]string{}, r.Axis != "", len(r.Best) > 0); ways != 1 {
			c.add(fault.ErrConflict, "", fmt.Sprintf("%d ways", ways), "one of through, axis and best")
			return
		}
		switch n := len(r.Best); {
		case r.Axis != "":
			c.known("/axis", aBore, r.Axis, bores)
		case n == 0:
			c.distinct("/through", r.Through[:], bores)
			c.apart(s, "/through", r.Through[:])
		default:
			c.refuse(n < 3 || n > maxSupports, fault.ErrOutOfRange, "/best", "three or more bores", "a list of %d", n)
			c.distinct("/best", r.Best, bores)
			c.apart(s, "/best", r.Best)
		}
	})
}

// apart refuses bores of one part that lie side by side: no line through them has a direction.
func (c *checker) apart(s *Stack, key string, list []string) {
	part, lo, hi := boreOf(s, list[0]).part, math.Inf(1), math.Inf(-1)
	for _, name := range list {
		b := boreOf(s, name)
		if b.bore < 0 || b.part != part || c.mounted[part] == nil {
			return // reported already, or in several parts
		}
		z := c.mounted[part].bores[b.bore].c.Z
		lo, hi = math.Min(lo, z), math.Max(hi, z)
	}
	c.refuse(hi-lo <= tol.Meet, fault.ErrConflict, key, "bores one behind the other along z", "bores side by side")
}

// distinct checks a list of bores, each named once.
func (c *checker) distinct(key string, list, bores []string) {
	c.each(key, len(list), func(k int) {
		if c.known("", aBore, list[k], bores) {
			c.refuse(slices.Contains(list[:k], list[k]), fault.ErrRepeated, "", "each bore once", "%q", list[k])
		}
	})
}

func (c *checker) meshes(s *Stack, bores []string) {
	named(c, "/meshes", s.Meshes, func(_ int, m *Mesh) {
		c.each("/axes", len(m.Axes), func(k int) { c.distinct("", m.Axes[k][:], bores) })
	})
}

func (c *checker) chains(s *Stack) {
	var faces []string
	for i := range s.Parts {
		if s.Parts[i].Front != nil {
			faces = append(faces, s.Parts[i].Name+"/front")
		}
		if s.Parts[i].Rear != nil {
			faces = append(faces, s.Parts[i].Name+"/rear")
		}
	}
	named(c, "/chains", s.Chains, func(_ int, ch *Chain) {
		c.refuse(len(ch.Links) == 0, fault.ErrMissing, "/links", "at least one link", "a list of 0")
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
		c.refuse(ch.Least.Given && ch.Greatest.Given && ch.Least.Value > ch.Greatest.Value, fault.ErrConflict, "/least", "at most greatest", "%v", ch.Least.Value)
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
