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
func (s Stack) Validate() error { return errors.Join(s.faults(map[reflect.Type]*shape{})...) }

// faults lists the faults of the stack; shapes are kept from one check to the next.
func (s Stack) faults(shapes map[reflect.Type]*shape) []error {
	c := &checker{broken: map[int]bool{}, shapes: shapes}
	if len(s.Parts) == 0 {
		c.add(fault.ErrMissing, "/parts", "a list of 0", "at least one part")
		return c.faults
	}
	fits := c.atMost("/parts", len(s.Parts), maxParts) && c.atMost("/shafts", len(s.Shafts), maxShafts) &&
		c.atMost("/pockets", len(s.Pockets), maxPockets) && c.atMost("/chains", len(s.Chains), maxChains) &&
		c.atMost("/states", len(s.States), maxStates) && c.atMost("/references", len(s.References), maxSupports) && c.atMost("/meshes", len(s.Meshes), maxChains) && c.pairs(&s)
	if !fits {
		return c.faults
	}
	seen := map[string]bool{}
	for i := range s.Parts {
		at := fmt.Sprintf("/parts/%d", i)
		c.name(at+"/name", s.Parts[i].Name, seen)
		before := len(c.faults)
		c.part(at, &s.Parts[i])
		c.broken[i] = len(c.faults) > before
	}
	if len(s.Joints) != len(s.Parts)-1 {
		c.add(fault.ErrConflict, "/joints", fmt.Sprintf("a list of %d", len(s.Joints)), fmt.Sprintf("%d joints for %d parts", len(s.Parts)-1, len(s.Parts)))
	} else {
		names := map[string]bool{}
		for i := range s.Joints {
			at := fmt.Sprintf("/joints/%d", i)
			if name := s.JointName(i); names[name] {
				c.add(fault.ErrRepeated, at+"/name", strconv.Quote(name), "each name once")
			} else if s.Joints[i].Name != "" {
				c.name(at+"/name", name, map[string]bool{})
			}
			names[s.JointName(i)] = true
			c.joint(at, &s, i)
		}
	}
	bores := boreNames(s.Parts)
	c.shafts(&s, bores)
	c.work(&s)
	c.references(&s, bores)
	c.meshes(&s, bores)
	c.chains(&s)
	c.candidates(&s)
	c.states(&s)
	return c.faults
}

// pairs refuses joints on more measured points than can be paired in a second or two.
func (c *checker) pairs(s *Stack) bool {
	points := func(f *Face) int {
		if f == nil {
			return 0
		}
		return len(f.Points)
	}
	boxes, n := 1, 0
	for _, q := range s.Candidates {
		boxes += len(q.Parts)
	}
	for i := range s.Joints {
		if !s.Joints[i].SeatOnPoints || i+1 >= len(s.Parts) {
			continue
		}
		if n += boxes * points(rearAsMounted(&s.Parts[i])) * points(frontAsMounted(&s.Parts[i+1])); n > maxPairs {
			c.add(fault.ErrTooMany, fmt.Sprintf("/joints/%d/seat", i), strconv.Itoa(n), fmt.Sprintf("at most %d pairs of a point on one face and one on the other, with every candidate: seat on fewer points, or on planes", maxPairs))
			return false
		}
	}
	return true
}

func boreNames(parts []Part) map[string]bool {
	bores := map[string]bool{}
	for i := range parts {
		for _, b := range parts[i].Bores {
			bores[parts[i].Name+"/"+b.Name] = true
		}
	}
	return bores
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
			c.known(at, "part", q.Place, nameSet(s.Parts, func(p *Part) string { return p.Name }))
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
			if len(c.faults) >= maxListed {
				return
			}
			to := fmt.Sprintf("%s/%d", at, n)
			c.name(to+"/name", q.Parts[n].Name, names)
			for _, err := range s.withPart(i, q.Parts[n]).faults(c.shapes) {
				// the candidate's own faults at its own place; what it breaks elsewhere, at the
				// candidate
				var own *fault.FieldError
				errors.As(err, &own) // as add makes them all
				f := *own
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
	for i := range s.Parts {
		p := &s.Parts[i]
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
		for b := range p.Bores {
			sweep(p.Bores[b].Sweep)
		}
	}
	return n
}
