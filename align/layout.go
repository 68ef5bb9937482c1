package align

import (
	"slices"
	"strings"
)

// layout is a stack's names resolved to indices. It is shared by all who evaluate the stack and
// never changes.
type layout struct {
	pins     [][]pinHoles // per joint
	supports []supportAt
	pockets  [][2]int // shafts
	refs     []referenceAt
	chains   [][]linkAt
	meshes   [][2][2]boreAt
	groups   [][]int // shafts that pockets couple, in order
}

type boreAt struct{ part, bore int }

type supportAt struct {
	shaft, index int // the index-th support of the shaft
	boreAt
}

// referenceAt is through two centres, along one axis, or least squares through several.
type referenceAt struct {
	bores []boreAt
	axis  bool
}

type linkAt struct{ from, to faceAt }

type faceAt struct {
	part int
	rear bool // as measured
}

// side is its place among a part's faces as measured.
func (f faceAt) side() int {
	if f.rear {
		return 1
	}
	return 0
}

// newLayout resolves the names of a valid stack.
func newLayout(s *Stack) *layout {
	l := &layout{}
	bore := func(name string) boreAt { return boreOf(s, name) }
	for k := range s.Joints {
		front, rear := rearAsMounted(&s.Parts[k]), frontAsMounted(&s.Parts[k+1])
		l.pins = append(l.pins, pinsOf(&s.Joints[k], front, rear))
	}
	for k, sh := range s.Shafts {
		for i, q := range sh.Supports {
			l.supports = append(l.supports, supportAt{k, i, bore(q.Bore)})
		}
	}
	for _, p := range s.Pockets {
		var two [2]int
		for i, name := range p.Between {
			two[i] = slices.IndexFunc(s.Shafts, func(q Shaft) bool { return q.Name == name })
		}
		l.pockets = append(l.pockets, two)
	}
	for _, r := range s.References {
		switch {
		case r.Axis != "":
			l.refs = append(l.refs, referenceAt{[]boreAt{bore(r.Axis)}, true})
		case len(r.Best) > 0:
			var q referenceAt
			for _, b := range r.Best {
				q.bores = append(q.bores, bore(b))
			}
			l.refs = append(l.refs, q)
		default:
			l.refs = append(l.refs, referenceAt{[]boreAt{bore(r.Through[0]), bore(r.Through[1])}, false})
		}
	}
	if len(l.refs) == 0 && len(s.Shafts) > 0 {
		l.refs = append(l.refs, defaultReference(l))
	}
	for _, c := range s.Chains {
		var links []linkAt
		for _, k := range c.Links {
			links = append(links, linkAt{face(s, k.From), face(s, k.To)})
		}
		l.chains = append(l.chains, links)
	}
	for _, m := range s.Meshes {
		l.meshes = append(l.meshes, [2][2]boreAt{{bore(m.Axes[0][0]), bore(m.Axes[0][1])}, {bore(m.Axes[1][0]), bore(m.Axes[1][1])}})
	}
	l.groups = coupled(len(s.Shafts), l.pockets)
	return l
}

// namesOf lists a name of each.
func namesOf[T any](list []T, name func(*T) string) []string {
	names := make([]string, len(list))
	for i := range list {
		names[i] = name(&list[i])
	}
	return names
}

// boreOf finds the bore "part/bore".
func boreOf(s *Stack, name string) boreAt {
	p, b, _ := strings.Cut(name, "/")
	i := slices.IndexFunc(s.Parts, func(q Part) bool { return q.Name == p })
	if i < 0 {
		return boreAt{-1, -1}
	}
	return boreAt{i, slices.IndexFunc(s.Parts[i].Bores, func(q Bore) bool { return q.Name == b })}
}

// pinsOf finds the holes that a joint's pins enter on the two faces that meet.
func pinsOf(j *Joint, front, rear *Face) (pins []pinHoles) {
	for _, p := range j.Pins {
		named := func(d Dowel) bool { return d.Name == p.Dowel }
		pins = append(pins, pinHoles{slices.IndexFunc(front.Dowels, named), slices.IndexFunc(rear.Dowels, named)})
	}
	return pins
}

// defaultReference is the line through the first shaft's first two supports, or its only support's
// axis.
func defaultReference(l *layout) referenceAt {
	var r referenceAt
	for _, q := range l.supports {
		if q.shaft == 0 && len(r.bores) < 2 {
			r.bores = append(r.bores, q.boreAt)
		}
	}
	r.axis = len(r.bores) == 1
	return r
}

// face resolves "part/front" or "part/rear"; part -1 for a plain length.
func face(s *Stack, name string) faceAt {
	p, f, _ := strings.Cut(name, "/")
	return faceAt{slices.IndexFunc(s.Parts, func(q Part) bool { return q.Name == p }), f == "rear"}
}

// rearAsMounted is the face that looks rearward.
func rearAsMounted(p *Part) *Face {
	if p.Turned {
		return p.Front
	}
	return p.Rear
}

// frontAsMounted is the face that looks forward.
func frontAsMounted(p *Part) *Face {
	if p.Turned {
		return p.Rear
	}
	return p.Front
}

// coupled groups n shafts by the pockets between them.
func coupled(n int, pockets [][2]int) [][]int {
	group := make([]int, n)
	for i := range group {
		group[i] = i
	}
	root := func(i int) int {
		for group[i] != i {
			i = group[i]
		}
		return i
	}
	for _, p := range pockets {
		a, b := root(p[0]), root(p[1])
		group[max(a, b)] = min(a, b)
	}
	var out [][]int
	for i := range n {
		if root(i) != i {
			continue
		}
		var g []int
		for k := range n {
			if root(k) == i {
				g = append(g, k)
			}
		}
		out = append(out, g)
	}
	return out
}

// pinHoles are the dowel holes that a pin joins: indices into the front part's rear face and the
// rear part's front face, as mounted.
type pinHoles struct{ a, b int }
