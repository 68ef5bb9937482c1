package advise_test

import (
	"fmt"
	"math"
	"strings"

	"example.com/borestack/align"
	. "example.com/borestack/tolerance"
)

// The literal fitter, third part: working. Each order is carried out on the raw record as it would be on the parts: strips tilt a part under the cutter, marks are on the metal, dials have their zero where pushing puts it. What the paper says beside that (where a mark stands, how far it travels, how thick it finishes) is compared with what he finds.

// fitter works on one box.
type fitter struct {
	s      align.Stack
	faults []string // what he finds otherwise than the paper says
}

func (w *fitter) fault(o *order, format string, args ...any) {
	w.faults = append(w.faults, o.kind+" of "+o.place+": "+fmt.Sprintf(format, args...))
}

// carry carries out all orders of a sheet on a copy of the box.
func carry(s align.Stack, orders []*order) (*fitter, error) {
	w := &fitter{s: s.Clone()}
	for _, o := range orders {
		if err := w.do(o); err != nil {
			return nil, fmt.Errorf("%s of %s: %w", o.kind, o.place, err)
		}
	}
	return w, nil
}

func (w *fitter) part(name string) *align.Part {
	for i := range w.s.Parts {
		if w.s.Parts[i].Name == name {
			return &w.s.Parts[i]
		}
	}
	return nil
}

// between finds the joint between two parts.
func (w *fitter) between(front, behind string) (int, error) {
	for k := range w.s.Joints {
		if w.s.Parts[k].Name == front && w.s.Parts[k+1].Name == behind {
			return k, nil
		}
	}
	return 0, fmt.Errorf("no joint between %q and %q", front, behind)
}

// inBox is where a mark of a part as measured stands in the box: end for end it is mirrored, and every joint before it may be clocked.
func (w *fitter) inBox(name string, own float64) float64 {
	for i := range w.s.Parts {
		if p := &w.s.Parts[i]; p.Name == name {
			if p.Turned {
				own = -own
			}
			return own + lookAt(&w.s, min(i, len(w.s.Joints)-1)).standsOf(i, &w.s)
		}
	}
	return math.NaN()
}

// standsOf is the sum of the clocks before part i.
func (*joint) standsOf(i int, s *align.Stack) (sum float64) {
	for k := range i {
		sum += float64(s.Joints[k].Clock)
	}
	return sum
}

// seen is how closely a mark's place in the box is compared: parts lie turned in their floats by less than this.
const seen = 0.25 * math.Pi / 180

func apart(a, b float64) float64 { return math.Abs(math.Remainder(a-b, 2*math.Pi)) }

// frame checks that the paper says which parts are end for end, and where the marks of a part stand.
func (w *fitter) frame(o *order) {
	concerned := map[string]bool{o.part: true, o.behind: true}
	for _, h := range o.holds {
		concerned[h.part] = true
	}
	said := map[string]bool{}
	for _, name := range o.over {
		said[name] = true
	}
	for i := range w.s.Parts {
		p := &w.s.Parts[i]
		if p.Turned && concerned[p.Name] && !said[p.Name] || !p.Turned && said[p.Name] {
			w.fault(o, "%s end for end: said %v, is %v", p.Name, said[p.Name], p.Turned)
		}
	}
	if !o.bench {
		return
	}
	at := w.inBox(o.marksOf, 0)
	switch {
	case o.marksOf != o.part:
		w.fault(o, "marks of %s, work on %s", o.marksOf, o.part)
	case o.clockedAt == nil && apart(at, 0) > 2*seen+math.Pi/360:
		w.fault(o, "its 12 o'clock mark stands at %.1f°, unsaid", at*180/math.Pi)
	case o.clockedAt != nil && apart(at, o.clockedAt.v) > seen:
		w.fault(o, "its 12 o'clock mark stands at %.1f°, not %.1f°", at*180/math.Pi, o.clockedAt.v*180/math.Pi)
	}
}

func (w *fitter) do(o *order) error {
	if o.kind == "Bore and sleeve" || o.kind == "Bush off centre" {
		o.part, _, _ = strings.Cut(o.place, "/")
	}
	w.frame(o)
	switch o.kind {
	case "Another part":
		return w.swap(o)
	case "Turn end for end":
		p := w.part(o.part)
		if p == nil {
			return fmt.Errorf("no part %q", o.part)
		}
		p.Turned = !p.Turned
		return nil
	case "Re-clock":
		return w.reclock(o)
	case "Skim parallel", "Skim by a wedge":
		return w.cut(o)
	case "Bore and sleeve", "Bush off centre":
		return w.bore(o)
	case "Shim", "Tapered shim":
		return w.shim(o)
	case "Offset dowels":
		return w.dowels(o)
	case "Ream and re-dowel in place":
		return w.redowel(o)
	case "Push before tightening":
		for _, h := range o.holds {
			if err := w.push(o, h); err != nil {
				return err
			}
		}
		return nil
	}
	return fmt.Errorf("nobody knows how")
}

// swap fits another part; it answers to the name of the one that it replaces.
func (w *fitter) swap(o *order) error {
	for _, c := range w.s.Candidates {
		for i := range c.Parts {
			if c.Place != o.part || c.Parts[i].Name != o.candidate {
				continue
			}
			p := w.part(o.part)
			*p = align.Stack{Parts: []align.Part{c.Parts[i]}}.Clone().Parts[0]
			old := p.Name + "/"
			p.Name = o.part
			renamed := func(s *align.Sweep) {
				if s != nil && strings.HasPrefix(s.About, old) {
					s.About = o.part + "/" + strings.TrimPrefix(s.About, old)
				}
			}
			for b := range p.Bores {
				renamed(p.Bores[b].Sweep)
			}
			for _, f := range []*align.Face{p.Front, p.Rear} {
				if f == nil {
					continue
				}
				renamed(f.Sweep)
				if f.Pilot != nil {
					renamed(f.Pilot.Sweep)
				}
			}
			return nil
		}
	}
	return fmt.Errorf("no part %q for %q", o.candidate, o.part)
}

// reclock turns a part and drills its holes where its neighbours' are.
func (w *fitter) reclock(o *order) error {
	at := -1
	for i := range w.s.Parts {
		if w.s.Parts[i].Name == o.part {
			at = i
		}
	}
	if at < 1 {
		return fmt.Errorf("no part %q that can be turned", o.part)
	}
	w.s.Joints[at-1].Clock += Angle(o.turn.v)
	behind := at < len(w.s.Joints)
	if behind {
		w.s.Joints[at].Clock -= Angle(o.turn.v)
	}
	// a gasket is by the marks of the part that it lies on, which is how the record has it: the words must say so
	tapered := func(k int) string {
		if k < len(w.s.Joints) && w.s.Joints[k].Gasket != nil && w.s.Joints[k].Gasket.Slope != (align.Slope{}) {
			return w.s.Parts[k].Name
		}
		return ""
	}
	if o.stays != tapered(at-1) || o.lies != tapered(at) {
		w.fault(o, "tapered gaskets by the marks of %q and %q, which are on %q and %q", o.stays, o.lies, tapered(at-1), tapered(at))
	}
	if !o.drilled {
		return nil
	}
	concerned := map[string]bool{}
	for _, n := range o.pins {
		concerned[n] = true
	}
	for k := at - 1; k <= at && k < len(w.s.Joints); k++ {
		j := lookAt(&w.s, k)
		if !j.piloted {
			return fmt.Errorf("no pilots to set it by")
		}
		push := j.lean.times(-0.5)
		for i := range w.s.Joints[k].Pins {
			name := w.s.Joints[k].Pins[i].Dowel
			h, g := j.front.hole(name), j.behind.hole(name)
			if !concerned[name] {
				w.fault(o, "the hole for %s is not said to be drilled", name)
			}
			if k == at-1 {
				g.Centre = j.through(j.front.mirror(flatOf(h.Centre)), push, 0).vec()
			} else {
				h.Centre = j.back(flatOf(g.Centre), push, 0).vec()
			}
		}
	}
	return nil
}

// numbers are those of an order that a fitter works by.
func (o *order) numbers() []*printed {
	var out []*printed
	switch o.kind {
	case "Skim parallel", "Shim":
		out = append(out, &o.amount)
	case "Skim by a wedge":
		if out = append(out, &o.amount, &o.at); o.strip != nil {
			out = append(out, &o.strip.size, &o.strip.at, &o.strip.from)
		}
	case "Bore and sleeve", "Bush off centre", "Offset dowels":
		out = append(out, &o.amount, &o.at)
	case "Tapered shim":
		for i := range o.rows {
			out = append(out, &o.rows[i].finish, &o.rows[i].tail, &o.rows[i].radius)
		}
	case "Re-clock":
		out = append(out, &o.turn)
	}
	for _, h := range o.holds {
		out = append(out, &h.at[0], &h.at[1], &h.turned)
	}
	return out
}
