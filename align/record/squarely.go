package record

import (
	"example.com/borestack/align"
	"example.com/borestack/tolerance"
)

// squareZ is where every bore lies along the shaft line in a stack that is put together squarely:
// each part's mounted front face on the rear face before it, gaskets between, at the parts' z axes.
// The stack must be valid.
func squareZ(s *align.Stack) map[string]tolerance.Length {
	z := map[string]tolerance.Length{}
	var behind tolerance.Length // where the meeting plane lies that the next part seats on
	for k := range s.Parts {
		p := &s.Parts[k]
		l := p.Located()
		front, rear, sign := l.Front.Z, l.Rear.Z, tolerance.Length(1)
		if p.Turned {
			front, rear, sign = -rear, -front, -1
		}
		origin := behind - front
		if k == 0 {
			origin = 0
		}
		for i, c := range l.Bores {
			z[p.Name+"/"+p.Bores[i].Name] = origin + sign*c.Z
		}
		behind = origin + rear
		if k < len(s.Joints) && s.Joints[k].Gasket != nil {
			behind += s.Joints[k].Gasket.Thickness
		}
	}
	return z
}
