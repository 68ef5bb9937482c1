package align

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"example.com/borestack/align/internal/tol"
	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

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
		for k := range sh.Supports {
			c.support(fmt.Sprintf("%s/supports/%d", at, k), &sh.Supports[k], sh.Name, bores, carried)
		}
		c.sections(at, sh)
		c.loads(at, sh)
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
		c.length(at+"/z", p.Z)
		c.notNegative(at+"/clearance", p.Clearance.Length())
		if p.Width.Given {
			c.positive(at+"/width", p.Width.Value)
		}
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
	c.notNegative(at+"/clearance", p.Clearance.Length())
	c.notNegative(at+"/runout", p.Runout.Length())
	c.choice(at+"/kind", uint8(p.Kind), uint8(Bush), "bearing or bush")
	switch {
	case p.Kind == Bush && p.Width == 0:
		c.add(fault.ErrMissing, at+"/width", "", "a width: a bush binds at its mouths")
	case p.Kind == Bush:
		c.positive(at+"/width", p.Width)
	case p.Width != 0:
		c.add(fault.ErrConflict, at+"/width", p.Width.String(), "no width on a bearing, or kind \"bush\"")
	}
	if p.Journal.Given {
		c.positive(at+"/journal", p.Journal.Value)
	}
	if p.Tilt.Given && !(p.Tilt.Value >= 0 && p.Tilt.Value <= 10) {
		c.add(fault.ErrOutOfRange, at+"/tilt", fmt.Sprint(p.Tilt.Value), "a permitted tilt as a ratio, 0 or more")
	}
	if g := p.Guide.Offset; g.Given {
		c.positive(at+"/guide/offset", g.Value)
	}
	if g := p.Guide.Force; g.Given && !(g.Value > 0 && g.Value < 1e12) {
		c.add(fault.ErrOutOfRange, at+"/guide/force", fmt.Sprint(g.Value), "a force in N, more than 0")
	}
	if p.Stiffness.Given && !(p.Stiffness.Value > 0 && p.Stiffness.Value < 1e12) {
		c.add(fault.ErrOutOfRange, at+"/stiffness", fmt.Sprint(p.Stiffness.Value), "a stiffness in N/mm, more than 0")
	}
}

// sections checks an elastic shaft.
func (c *checker) sections(at string, sh *Shaft) {
	if !c.atMost(at+"/sections", len(sh.Sections), maxSections) {
		return
	}
	for k, q := range sh.Sections {
		to := fmt.Sprintf("%s/sections/%d", at, k)
		c.section(to, q)
		if k > 0 && math.Abs(float64(q.From-sh.Sections[k-1].To)) > tol.Meet {
			c.add(fault.ErrConflict, to+"/from", q.From.String(), "where the section before it ends, "+sh.Sections[k-1].To.String())
		}
	}
	if m := sh.Material; len(sh.Sections) > 0 && !(m.Given && m.Value.Modulus.Given && m.Value.Modulus.Value > 0) {
		c.add(fault.ErrMissing, at+"/material", m.Value.Name, "a material with a modulus: a shaft with sections bends")
	}
	if d := sh.Density; d.Given && !(d.Value >= 0 && d.Value < 1e5) {
		c.add(fault.ErrOutOfRange, at+"/density", fmt.Sprint(d.Value), "a density in kg/m³, 0 or more")
	}
}

// loads checks what acts on a shaft.
func (c *checker) loads(at string, sh *Shaft) {
	if !c.atMost(at+"/loads", len(sh.Loads), maxSections) {
		return
	}
	if len(sh.Sections) == 0 && (len(sh.Loads) > 0 || sh.Density.Given) {
		c.add(fault.ErrMissing, at+"/sections", "", "sections: only a shaft with sections carries loads")
	}
	names := map[string]bool{}
	for k, l := range sh.Loads {
		to := fmt.Sprintf("%s/loads/%d", at, k)
		c.name(to+"/name", l.Name, names)
		c.length(to+"/z", l.Z)
		c.force(to+"/force/0", l.Force.X)
		c.force(to+"/force/1", l.Force.Y)
		g := l.Gear
		if g == nil {
			continue
		}
		c.positive(to+"/gear/pitch_diameter", g.PitchDiameter)
		c.force(to+"/gear/torque", g.Torque)
		if a := g.PressureAngle; a.Given && !(a.Value > 0 && a.Value < 60*tolerance.Degree) {
			c.add(fault.ErrOutOfRange, to+"/gear/pressure_angle", a.Value.String(), "an angle above 0 and below 60 degrees")
		}
		if !(math.Abs(float64(g.Helix)) < float64(80*tolerance.Degree)) {
			c.add(fault.ErrOutOfRange, to+"/gear/helix", g.Helix.String(), "a helix angle within 80 degrees")
		}
		c.finite(to+"/gear/mate", float64(g.Mate))
	}
}

// force checks a force or torque: N or N·m.
func (c *checker) force(at string, v float64) {
	if !(math.Abs(v) <= 1e9) {
		c.add(fault.ErrOutOfRange, at, fmt.Sprint(v), "a finite number, at most 1e9")
	}
}

func (c *checker) section(at string, q Section) {
	c.length(at+"/from", q.From)
	c.length(at+"/to", q.To)
	c.positive(at+"/diameter", q.Diameter)
	c.notNegative(at+"/bore", q.Bore)
	if q.To <= q.From {
		c.add(fault.ErrConflict, at+"/to", q.To.String(), "more than from")
	}
	if q.Bore >= q.Diameter {
		c.add(fault.ErrConflict, at+"/bore", q.Bore.String(), "less than the diameter")
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
		c.length(at+"/z", m.Z)
		c.positive(at+"/face_width", m.FaceWidth)
		if m.HelixTolerance.Given {
			c.notNegative(at+"/helix_tolerance", m.HelixTolerance.Value)
		}
		if a := m.PressureAngle; a.Given && !(a.Value > 0 && a.Value < 60*tolerance.Degree) {
			c.add(fault.ErrOutOfRange, at+"/pressure_angle", a.Value.String(), "an angle above 0 and below 60 degrees")
		}
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
		links := map[string]bool{}
		for k, l := range ch.Links {
			q := fmt.Sprintf("%s/links/%d", at, k)
			c.name(q+"/name", l.Name, links)
			c.length(q+"/length", l.Length)
			c.finite(q+"/gain", l.Gain.Value)
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

// candidates checks each candidate by putting it in its place.
func (c *checker) candidates(s *Stack) {
	total := 0
	places := map[string]bool{}
	details := s.details()
	for _, q := range s.Candidates {
		at := "/candidates" + "/" + strings.ReplaceAll(strings.ReplaceAll(q.Place, "~", "~0"), "/", "~1")
		i := slices.IndexFunc(s.Parts, func(p Part) bool { return p.Name == q.Place })
		if i < 0 {
			known := map[string]bool{}
			for _, p := range s.Parts {
				known[p.Name] = true
			}
			c.known(at, "part", q.Place, known)
			continue
		}
		if places[q.Place] {
			c.add(fault.ErrRepeated, at, strconv.Quote(q.Place), "each place once")
		}
		places[q.Place] = true
		if total += len(q.Parts); total > maxCandidates {
			c.add(fault.ErrTooMany, at, strconv.Itoa(total), fmt.Sprintf("at most %d candidates in all", maxCandidates))
			return
		}
		if total*details > maxTried {
			c.add(fault.ErrTooMany, at, strconv.Itoa(total), fmt.Sprintf("at most %d candidates beside the %d readings and points of this record", maxTried/details, details))
			return
		}
		if len(c.faults) > 0 {
			// what a candidate lacks in its place can be told only when the rest is right
			names := map[string]bool{}
			for n := range q.Parts {
				c.name(fmt.Sprintf("%s/%d/name", at, n), q.Parts[n].Name, names)
				c.part(fmt.Sprintf("%s/%d", at, n), &q.Parts[n])
			}
			continue
		}
		names := map[string]bool{}
		for n := range q.Parts {
			to := fmt.Sprintf("%s/%d", at, n)
			c.name(to+"/name", q.Parts[n].Name, names)
			if len(c.faults) >= maxListed {
				return
			}
			for _, err := range faultsOf(s.withPart(i, q.Parts[n])) {
				// the candidate's own faults at its own place; what it breaks elsewhere, at the candidate
				f := *err
				if rest, own := strings.CutPrefix(f.Path, fmt.Sprintf("/parts/%d/", i)); own {
					f.Path = to + "/" + rest
				} else {
					f.Want += fmt.Sprintf(" (with this candidate, at %s)", f.Path)
					f.Path = to
				}
				c.faults = append(c.faults, &f)
			}
		}
	}
}

// details is how many readings and points the parts hold.
func (s *Stack) details() (n int) {
	sweep := func(r *Sweep) {
		if r != nil {
			n += len(r.Values)
		}
	}
	count := func(p *Part) {
		for _, f := range []*Face{p.Front, p.Rear} {
			if f == nil {
				continue
			}
			n += len(f.Points)
			sweep(f.Sweep)
			if f.Thickness != nil {
				n += len(f.Thickness.Values)
			}
			if f.Pilot != nil {
				sweep(f.Pilot.Sweep)
			}
		}
		for i := range p.Bores {
			sweep(p.Bores[i].Sweep)
		}
	}
	for i := range s.Parts {
		count(&s.Parts[i])
	}
	return n
}

// faultsOf lists the faults of a stack.
func faultsOf(s Stack) []*fault.FieldError {
	var out []*fault.FieldError
	if j, ok := s.Validate().(interface{ Unwrap() []error }); ok {
		for _, err := range j.Unwrap() {
			if f, ok := err.(*fault.FieldError); ok {
				out = append(out, f)
			}
		}
	}
	return out
}

// withPart is the stack with another part in place i, under the place's name, without candidates.
func (s Stack) withPart(i int, p Part) Stack {
	s.Candidates = nil
	s.Parts = slices.Clone(s.Parts)
	own := p.Name
	p.Name = s.Parts[i].Name
	p.Front, p.Rear, p.Bores = reAbout(p.Front, own, p.Name), reAbout(p.Rear, own, p.Name), slices.Clone(p.Bores)
	for b := range p.Bores {
		p.Bores[b].Sweep = reAboutSweep(p.Bores[b].Sweep, own, p.Name)
	}
	s.Parts[i] = p
	return s
}

// reAbout renames the part in what a candidate's sweeps are about.
func reAbout(f *Face, from, to string) *Face {
	g := clonePtr(f)
	if g == nil {
		return nil
	}
	g.Sweep = reAboutSweep(g.Sweep, from, to)
	if g.Pilot != nil {
		g.Pilot = clonePtr(g.Pilot)
		g.Pilot.Sweep = reAboutSweep(g.Pilot.Sweep, from, to)
	}
	return g
}

func reAboutSweep(s *Sweep, from, to string) *Sweep {
	t := clonePtr(s)
	if t == nil {
		return nil
	}
	if rest, ok := strings.CutPrefix(t.About, from+"/"); ok {
		t.About = to + "/" + rest
	}
	return t
}

func (c *checker) states(s *Stack) {
	names := map[string]bool{}
	parts, either := map[string]bool{}, map[string]bool{}
	for _, p := range s.Parts {
		parts[p.Name], either[p.Name] = true, true
	}
	for _, q := range s.Shafts {
		either[q.Name] = true
	}
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
				c.vec3(to, m.By)
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
