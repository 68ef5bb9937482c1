package align

import (
	"errors"
	"fmt"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"example.com/borestack/fault"
)

// Validate reports every fault of the stack, joined, in its order: each is a [fault.FieldError]
// whose path is a JSON Pointer into the record of the same layout. It does not judge whether the
// machine is any good.
func (s Stack) Validate() error {
	c := &checker{mounted: make([]*mountedPart, len(s.Parts)), only: -1}
	c.stack(&s)
	return errors.Join(c.faults...)
}

// stack checks a stack, or what another part in one place may break.
func (c *checker) stack(s *Stack) {
	if len(s.Parts) == 0 {
		c.add(fault.ErrMissing, "/parts", "a list of 0", "at least one part")
		return
	}
	if !c.counts(s) || !c.pairs(s) {
		return
	}
	c.parts(s)
	c.joints(s)
	bores := boreNames(s.Parts)
	c.shafts(s, bores)
	c.work(s)
	c.references(s, bores)
	c.meshes(s, bores)
	c.chains(s)
	c.candidates(s)
	c.states(s)
}

// counts refuses lists that are too long.
func (c *checker) counts(s *Stack) bool {
	v, fits := reflect.ValueOf(s).Elem(), true
	for _, f := range shapes[v.Type()].fields {
		if f.most > 0 {
			fits = c.atMost(f.key, v.Field(f.index).Len(), f.most) && fits
		}
	}
	return fits
}

// pairs refuses joints on more measured points than can be paired in a second or two.
func (c *checker) pairs(s *Stack) bool {
	boxes, n := 1, 0
	for _, q := range s.Candidates {
		boxes += len(q.Parts)
	}
	for i := range s.Joints {
		if !s.Joints[i].SeatOnPoints || i+1 >= len(s.Parts) {
			continue
		}
		if n += boxes * s.Parts[i].Facing(true).measuredPoints() * s.Parts[i+1].Facing(false).measuredPoints(); n > maxPairs {
			c.add(fault.ErrTooMany, fmt.Sprintf("/joints/%d/seat", i), strconv.Itoa(n), fmt.Sprintf("at most %d pairs of a point on one face and one on the other, with every candidate: seat on fewer points, or on planes", maxPairs))
			return false
		}
	}
	return true
}

// measuredPoints is how many points were measured on a face; nil has none.
func (f *Face) measuredPoints() int {
	if f == nil {
		return 0
	}
	return len(f.Points)
}

// parts checks every part, or the one that has not been checked before.
func (c *checker) parts(s *Stack) {
	seen := map[string]bool{}
	c.each("/parts", len(s.Parts), func(i int) {
		if c.only >= 0 && i != c.only {
			return
		}
		c.name("/name", s.Parts[i].Name, seen)
		before := len(c.faults)
		if m := c.part(&s.Parts[i]); len(c.faults) == before {
			c.mounted[i] = m
		}
	})
}

// joints checks every joint, or those of the one part that has not been checked before.
func (c *checker) joints(s *Stack) {
	if len(s.Joints) != len(s.Parts)-1 {
		c.add(fault.ErrConflict, "/joints", fmt.Sprintf("a list of %d", len(s.Joints)), fmt.Sprintf("%d joints for %d parts", len(s.Parts)-1, len(s.Parts)))
		return
	}
	seen := map[string]bool{}
	c.each("/joints", len(s.Joints), func(i int) {
		if c.only >= 0 && i != c.only && i+1 != c.only {
			return
		}
		name := s.JointName(i)
		if seen[name] {
			c.add(fault.ErrRepeated, "/name", strconv.Quote(name), "each name once")
		} else if s.Joints[i].Name != "" {
			c.name("/name", name, map[string]bool{})
		}
		seen[name] = true
		c.joint(s, i)
	})
}

func boreNames(parts []Part) (names []string) {
	for i := range parts {
		for k := range parts[i].Bores {
			names = append(names, parts[i].Name+"/"+parts[i].Bores[k].Name)
		}
	}
	return names
}

func partName(p *Part) string { return p.Name }

// candidates checks each candidate by putting it in its place.
func (c *checker) candidates(s *Stack) {
	total := 0
	places := map[string]bool{}
	details := s.details()
	for _, q := range s.Candidates {
		at := "/candidates/" + escaped(q.Place)
		i := slices.IndexFunc(s.Parts, func(p Part) bool { return p.Name == q.Place })
		if i < 0 {
			c.known(at, "part", q.Place, namesOf(s.Parts, partName))
			continue
		}
		c.refuse(places[q.Place], fault.ErrRepeated, at, "each place once", "%q", q.Place)
		places[q.Place] = true
		if total += len(q.Parts); total > maxCandidates {
			c.add(fault.ErrTooMany, at, strconv.Itoa(total), fmt.Sprintf("at most %d candidates in all", maxCandidates))
			return
		}
		if total*details > maxTried {
			c.add(fault.ErrTooMany, at, strconv.Itoa(total), fmt.Sprintf("at most %d candidates beside the %d readings and points of this record", maxTried/details, details))
			return
		}
		// what a candidate lacks in its place can be told only when the rest is right
		alone := len(c.faults) > 0
		names := map[string]bool{}
		c.each(at, len(q.Parts), func(n int) {
			if !alone && len(c.faults) >= maxListed {
				return
			}
			c.name("/name", q.Parts[n].Name, names)
			if alone {
				c.part(&q.Parts[n])
			} else {
				c.inPlace(s, i, q.Parts[n])
			}
		})
	}
}

// inPlace checks a candidate in place i of a stack without faults: its own faults at its own place,
// what it breaks elsewhere at the candidate.
func (c *checker) inPlace(s *Stack, i int, candidate Part) {
	with := s.withPart(i, candidate)
	in := checker{mounted: slices.Clone(c.mounted), only: i}
	in.mounted[i] = nil
	in.stack(&with)
	for _, err := range in.faults {
		var own *fault.FieldError
		errors.As(err, &own) // as add makes them all
		f := *own
		if rest, own := strings.CutPrefix(f.Path, fmt.Sprintf("/parts/%d/", i)); own {
			f.Path = string(c.at) + "/" + rest
		} else {
			f.Want += fmt.Sprintf(" (with this candidate, at %s)", f.Path)
			f.Path = string(c.at)
		}
		c.faults = append(c.faults, &f)
	}
}

// details is how many readings and points the parts hold.
func (s *Stack) details() (n int) {
	for i := range s.Parts {
		p := &s.Parts[i]
		for _, r := range p.rounds(nil) {
			n += len(r.Values)
		}
		n += p.Front.measuredPoints() + p.Rear.measuredPoints()
	}
	return n
}
