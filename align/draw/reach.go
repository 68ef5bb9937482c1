package draw

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"example.com/borestack/align"
	"example.com/borestack/tolerance"
)

// reachDirections is how many directions bound a region: a disc comes out at most 1/cos(π/24) - 1 = 0.9 % too large. Each is a search over the float, which makes up nearly all of the time that a target takes.
const reachDirections = 24

// farthestReference bounds the shift of a reference: half of the 100 m that a record may hold, so that a bore moved by it is still a bore. An offset |o| drawn by it is out by |o|/2D of itself.
const farthestReference = 50_000 // mm

// leastTurn is the least turn of parts that is reckoned with, so that D below is at most 10,000 |o|.
const leastTurn = 1e-4

// reachOf is the region that a bore centre takes, from the main reference, over the float of all joints: nil when nothing floats.
//
// The results give the greatest size of an offset, not its greatest part in a direction u. But the offset from the reference shifted by -D u is o + D u, and |o + D u| = D + o·u + |o⊥|²/2D to second order, so that the greatest size less the size at rest is the greatest of o·u less o·u at rest. A shifted reference follows its parts; their turn γ moves it by γD, square to u, which enters to second order too. With D = |o|/γ both together stay below 2γ|o|, less than the line that draws it.
func reachOf(s *align.Stack, a *align.Assembly, out align.Output) ([]align.Vec2, error) {
	over, err := a.Range(out)
	if err != nil {
		return nil, fmt.Errorf("draw: reach: %w", err)
	}
	if !over.Floats || !over.High.Given || !(over.High.Value > over.Low.Value) {
		return nil, nil
	}
	turn := leastTurn
	for i := range a.Joints {
		if j := &a.Joints[i]; j.TurnRange.Given {
			turn += float64(j.TurnRange.Value[1] - j.TurnRange.Value[0])
		}
	}
	shift := math.Min(over.High.Value/turn, farthestReference)
	t := *s
	t.Candidates, t.States, t.Chains, t.Meshes = nil, nil, nil, nil
	t.Parts, t.References = slices.Clone(s.Parts), slices.Clone(s.References)
	if len(t.References) == 0 {
		t.References = []align.Reference{defaultReference(s)}
	}
	main := t.References[0]
	var outputs []align.Output
	for k := range reachDirections {
		sn, cs := math.Sincos(2 * math.Pi * float64(k) / reachDirections)
		ref := movedReference(main, func(bore string) string { return shifted(&t, a, bore, -shift*sn, -shift*cs) })
		ref.Name = unused(fmt.Sprintf("reach %d", k), t.References, func(r align.Reference) string { return r.Name })
		t.References = append(t.References, ref)
		outputs = append(outputs, align.Output{What: out.What, Of: out.Of, From: ref.Name})
	}
	ranges, _, err := t.Ranges(outputs)
	if err != nil {
		return nil, fmt.Errorf("draw: reach: %w", err)
	}
	var at align.Vec2
	for i := range a.Supports {
		if a.Supports[i].Bore == out.Of {
			at = a.Supports[i].Offset
		}
	}
	far := float64(at.Size()) + 2*over.High.Value
	region := []align.Vec2{}
	for _, c := range [4][2]float64{{-1, -1}, {-1, 1}, {1, 1}, {1, -1}} {
		region = append(region, align.Vec2{X: tolerance.Length(c[0] * far), Y: tolerance.Length(c[1] * far)})
	}
	for k, r := range ranges {
		sn, cs := math.Sincos(2 * math.Pi * float64(k) / reachDirections)
		most := r.High.Value - r.Rest.Value + float64(at.X)*sn + float64(at.Y)*cs
		region = clip(region, sn, cs, most)
	}
	return region, nil
}

// movedReference is a reference through other bores.
func movedReference(main align.Reference, moved func(bore string) string) (out align.Reference) {
	switch {
	case main.Axis != "":
		out.Axis = moved(main.Axis)
	case len(main.Best) > 0:
		for _, b := range main.Best {
			out.Best = append(out.Best, moved(b))
		}
	default:
		out.Through = [2]string{moved(main.Through[0]), moved(main.Through[1])}
	}
	return out
}

// defaultReference is what offsets are from where no reference is named: the line through the first shaft's first two supports, or its only support's axis.
func defaultReference(s *align.Stack) align.Reference {
	r := align.Reference{Name: "reference"}
	if first := s.Shafts[0].Supports; len(first) > 1 {
		r.Through = [2]string{first[0].Bore, first[1].Bore}
	} else if len(first) == 1 {
		r.Axis = first[0].Bore
	}
	return r
}

// clip keeps the part of a convex region with x ux + y uy ≤ most.
func clip(region []align.Vec2, ux, uy, most float64) []align.Vec2 {
	var out []align.Vec2
	over := func(v align.Vec2) float64 { return float64(v.X)*ux + float64(v.Y)*uy - most }
	for i, v := range region {
		w := region[(i+1)%len(region)]
		dv, dw := over(v), over(w)
		if dv <= 0 {
			out = append(out, v)
		}
		if (dv < 0) != (dw < 0) && dv != dw {
			f := tolerance.Length(dv / (dv - dw))
			out = append(out, align.Vec2{X: v.X + f*(w.X-v.X), Y: v.Y + f*(w.Y-v.Y)})
		}
	}
	return out
}

// shifted adds a bore beside another of the same part, (dx, dy) from it in S, with the same axis slope, and returns its name. It is given as a sweep about the other, whose own centre may come from readings.
func shifted(t *align.Stack, a *align.Assembly, at string, dx, dy float64) string {
	part, bore, _ := strings.Cut(at, "/")
	i := slices.IndexFunc(t.Parts, func(p align.Part) bool { return p.Name == part })
	p := &t.Parts[i]
	b := p.Bores[slices.IndexFunc(p.Bores, func(b align.Bore) bool { return b.Name == bore })]
	// a rotation's inverse is its transpose
	m := a.Placed[i].BaseFromPart.Matrix()
	x, y := tolerance.Length(m[0][0]*dx+m[1][0]*dy), tolerance.Length(m[0][1]*dx+m[1][1]*dy)
	if p.Turned {
		x = -x
	}
	// a bore swept from inside reads -e·u(θ) at θ = 0°, 90°, 180°, 270°
	readings := [][]tolerance.Length{{-y}, {-x}, {y}, {x}}
	p.Bores = append(slices.Clone(p.Bores), align.Bore{
		Name:   unused("shifted "+bore, p.Bores, func(b align.Bore) string { return b.Name }),
		Centre: align.Vec3{Z: b.Centre.Z},
		Slope:  b.Slope,
		Sweep:  &align.Sweep{Readings: align.Readings{Values: readings}, About: at},
	})
	return part + "/" + p.Bores[len(p.Bores)-1].Name
}

// unused is a name that no element of list has.
func unused[T any](base string, list []T, nameOf func(T) string) string {
	for slices.ContainsFunc(list, func(v T) bool { return nameOf(v) == base }) {
		base += "'"
	}
	return base
}
