package align

import "slices"

// Clone returns a deep copy: nothing that either holds is seen by the other.
func (s Stack) Clone() Stack {
	s.Parts = cloneParts(s.Parts)
	s.Joints = slices.Clone(s.Joints)
	for i := range s.Joints {
		j := &s.Joints[i]
		j.Gasket = clonePtr(j.Gasket)
		j.Float = clonePtr(j.Float)
		if j.Yield = clonePtr(j.Yield); j.Yield != nil {
			j.Yield.BoltLoads = slices.Clone(j.Yield.BoltLoads)
		}
		j.Pins = slices.Clone(j.Pins)
		j.Bolts = slices.Clone(j.Bolts)
	}
	s.Shafts = slices.Clone(s.Shafts)
	for i := range s.Shafts {
		s.Shafts[i].Supports = slices.Clone(s.Shafts[i].Supports)
		s.Shafts[i].Sections = slices.Clone(s.Shafts[i].Sections)
		s.Shafts[i].Loads = slices.Clone(s.Shafts[i].Loads)
		for k := range s.Shafts[i].Loads {
			s.Shafts[i].Loads[k].Gear = clonePtr(s.Shafts[i].Loads[k].Gear)
		}
	}
	s.Pockets = slices.Clone(s.Pockets)
	s.References = slices.Clone(s.References)
	for i := range s.References {
		s.References[i].Best = slices.Clone(s.References[i].Best)
	}
	s.Meshes = slices.Clone(s.Meshes)
	s.Chains = slices.Clone(s.Chains)
	for i := range s.Chains {
		s.Chains[i].Links = slices.Clone(s.Chains[i].Links)
	}
	s.Candidates = slices.Clone(s.Candidates)
	for i := range s.Candidates {
		s.Candidates[i].Parts = cloneParts(s.Candidates[i].Parts)
	}
	s.States = slices.Clone(s.States)
	for i := range s.States {
		s.States[i].Temperatures = slices.Clone(s.States[i].Temperatures)
		s.States[i].Moves = slices.Clone(s.States[i].Moves)
	}
	return s
}

func clonePtr[T any](p *T) *T {
	if p == nil {
		return nil
	}
	v := *p
	return &v
}

func cloneParts(in []Part) []Part {
	out := slices.Clone(in)
	for i := range out {
		p := &out[i]
		p.Front, p.Rear = cloneFace(p.Front), cloneFace(p.Rear)
		p.Bores = slices.Clone(p.Bores)
		for b := range p.Bores {
			p.Bores[b].Sweep = cloneSweep(p.Bores[b].Sweep)
			p.Bores[b].Errors = slices.Clone(p.Bores[b].Errors)
		}
	}
	return out
}

func cloneFace(f *Face) *Face {
	g := clonePtr(f)
	if g == nil {
		return nil
	}
	g.Points = slices.Clone(g.Points)
	g.Thickness = clonePtr(g.Thickness)
	if g.Thickness != nil {
		g.Thickness.Readings = cloneReadings(g.Thickness.Readings)
	}
	g.Sweep = cloneSweep(g.Sweep)
	g.Pilot = clonePtr(g.Pilot)
	if g.Pilot != nil {
		g.Pilot.Sweep = cloneSweep(g.Pilot.Sweep)
		g.Pilot.Errors = slices.Clone(g.Pilot.Errors)
	}
	g.Dowels = slices.Clone(g.Dowels)
	return g
}

func cloneSweep(s *Sweep) *Sweep {
	t := clonePtr(s)
	if t != nil {
		t.Readings = cloneReadings(t.Readings)
	}
	return t
}

func cloneReadings(r Readings) Readings {
	r.At = slices.Clone(r.At)
	r.Values = slices.Clone(r.Values)
	for i := range r.Values {
		r.Values[i] = slices.Clone(r.Values[i])
	}
	return r
}
