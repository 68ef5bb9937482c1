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

// faceAt is a face of a part: 0 its front, 1 its rear as measured.
type faceAt struct{ part, side int }

// newLayout resolves the names of a valid stack.
func newLayout(s *Stack) *layout {
	l := &layout{}
	for k := range s.Joints {
		l.pins = append(l.pins, pinsOf(&s.Joints[k], s.Parts[k].Facing(true), s.Parts[k+1].Facing(false)))
	}
	for k, sh := range s.Shafts {
		for i, q := range sh.Supports {
			l.supports = append(l.supports, supportAt{k, i, boreOf(s, q.Bore)})
		}
	}
	for i := range s.Pockets {
		l.pockets = append(l.pockets, s.between(i))
	}
	for _, r := range s.References {
		names := r.Best
		if r.Axis != "" {
			names = []string{r.Axis}
		} else if len(names) == 0 {
			names = r.Through[:]
		}
		l.refs = append(l.refs, referenceAt{boresOf(s, names), r.Axis != ""})
	}
	if len(l.refs) == 0 && len(l.supports) > 0 {
		l.refs = append(l.refs, defaultReference(&s.Shafts[l.supports[0].shaft], s))
	}
	for _, c := range s.Chains {
		var links []linkAt
		for _, k := range c.Links {
			links = append(links, linkAt{face(s, k.From), face(s, k.To)})
		}
		l.chains = append(l.chains, links)
	}
	for i := range s.Meshes {
		var axes [2][2]boreAt
		for n := range axes {
			axes[n] = [2]boreAt(boresOf(s, s.Meshes[i].Axes[n][:]))
		}
		l.meshes = append(l.meshes, axes)
	}
	l.groups = coupled(len(s.Shafts), l.pockets)
	return l
}

// between finds the two shafts of pocket i; −1 for one that is not there.
func (s *Stack) between(i int) (two [2]int) {
	for n, name := range s.Pockets[i].Between {
		two[n] = slices.IndexFunc(s.Shafts, func(q Shaft) bool { return q.Name == name })
	}
	return two
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

// boresOf finds several.
func boresOf(s *Stack, names []string) (at []boreAt) {
	for _, name := range names {
		at = append(at, boreOf(s, name))
	}
	return at
}

// pinsOf finds the holes that a joint's pins enter on the two faces that meet.
func pinsOf(j *Joint, front, rear *Face) (pins []pinHoles) {
	for _, p := range j.Pins {
		named := func(d Dowel) bool { return d.Name == p.Dowel }
		pins = append(pins, pinHoles{slices.IndexFunc(front.Dowels, named), slices.IndexFunc(rear.Dowels, named)})
	}
	return pins
}

// defaultReference is the line through a shaft's first two supports, or its only support's axis.
func defaultReference(sh *Shaft, s *Stack) referenceAt {
	names := namesOf(sh.Supports, func(q *Support) string { return q.Bore })
	return referenceAt{boresOf(s, names[:min(2, len(names))]), len(names) == 1}
}

// face resolves "part/front" or "part/rear"; part -1 for a plain length.
func face(s *Stack, name string) faceAt {
	p, f, _ := strings.Cut(name, "/")
	return faceAt{slices.IndexFunc(s.Parts, func(q Part) bool { return q.Name == p }), slices.Index([]string{"front", "rear"}, f)}
}

// coupled groups n shafts by the pockets between them.
func coupled(n int, pockets [][2]int) (groups [][]int) {
	first := make([]int, n) // of the group that each is in
	for i := range first {
		first[i] = i
	}
	for _, p := range pockets {
		a, b := first[p[0]], first[p[1]]
		for i, f := range first {
			if f == max(a, b) {
				first[i] = min(a, b)
			}
		}
	}
	at := make([]int, n) // where in groups
	for i, f := range first {
		if f == i {
			at[i], groups = len(groups), append(groups, nil)
		}
		groups[at[f]] = append(groups[at[f]], i)
	}
	return groups
}

// pinHoles are the dowel holes that a pin joins: indices into the front part's rear face and the
// rear part's front face, as mounted.
type pinHoles struct{ a, b int }
