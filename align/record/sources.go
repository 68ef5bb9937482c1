package record

import (
	"strconv"

	"example.com/borestack/align"
	"example.com/borestack/fault"
)

// sources refuses what one number lacks or has twice: nothing that says where a bore, a pilot or a
// rear face is, or two things that do. Presence alone decides, so that a zero that was written
// counts. What follows from a fault already found is left out.
func (d *decoder) sources(r *Record) []error {
	c := &sourceCheck{d: d}
	r.eachPart(nil, func(p *Part, _ *align.Part, at string) { c.part(at, p) })
	r.eachSize(c.size)
	return c.faults
}

// sourceCheck collects the faults of [decoder.sources].
type sourceCheck struct {
	d      *decoder
	faults []error
}

func (c *sourceCheck) missing(at, want string) {
	c.add(&fault.FieldError{Path: at, Want: want, Err: fault.ErrMissing})
}

func (c *sourceCheck) twice(at, want string) {
	f := &fault.FieldError{Path: at, Want: want, Err: fault.ErrConflict}
	if n, ok := c.d.root.find(at); ok {
		f.Value = n.show()
	}
	c.add(f)
}

// add adds a fault, unless it follows from one already found.
func (c *sourceCheck) add(f *fault.FieldError) {
	switch {
	case within(f, c.d.faults):
	case len(c.faults) >= maxFaults:
		c.d.more++
	default:
		c.faults = append(c.faults, f)
	}
}

func (c *sourceCheck) part(at string, p *Part) {
	c.face(at+"/front", p.Front)
	c.face(at+"/rear", p.Rear)
	if q := p.Rear; q != nil && p.Front != nil && q.Z == nil && q.Thickness == nil && len(q.Points) == 0 {
		c.missing(at+"/rear", "how far the rear face lies behind the front face: z, thickness or points")
	}
	for i := range p.Bores {
		c.bore(at+"/bores/"+strconv.Itoa(i), &p.Bores[i])
	}
}

func (c *sourceCheck) face(at string, f *Face) {
	if f == nil {
		return
	}
	var given []string
	for _, w := range []struct {
		key   string
		given bool
	}{{"slope", f.Slope != nil}, {"points", f.Points != nil}, {"thickness", f.Thickness != nil}, {"sweep", f.Sweep != nil}} {
		if w.given {
			given = append(given, w.key)
		}
	}
	if len(given) > 1 {
		// the slope, where it is one of them: what was measured stands
		c.twice(at+"/"+given[0], "one of slope, points, thickness and sweep: "+given[1]+" gives the plane as well")
	}
	if f.Pilot != nil {
		c.pilot(at+"/pilot", f.Pilot)
	}
}
