package align

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/borestack/align/internal/bend"
	"example.com/borestack/align/internal/tol"
	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// defaultPressureAngle is the transverse working pressure angle of a mesh that gives none.
const defaultPressureAngle = 20 * tolerance.Degree

// alike is the share by which one bearing span must exceed the other to be the longer: equal spans
// that came another way through the poses differ by rounding.
const alike = 1e-12

// meshGeometry is how two gear axes lie: millimetres.
type meshGeometry struct {
	span    float64 // the longer bearing span
	in, out float64 // deviations over the span: positive in plane when the axes part rearward, out of plane along k × e
	swapped bool    // the second-named axis carries the plane
	centre  float64 // distance of the axes at the middle of the face
}

// mesh works out how the axes of mesh i lie to each other. The plane holds the axis with the longer
// span and the first-named centre of the other.
//
// Source: ISO/TR 10064-3:1996, section on shaft parallelism (from memory): deviations in the common
// plane of the axes and square to it.
func (k *kernel) mesh(i int) (meshGeometry, error) {
	var at [2][2]r3.Vec
	for n, axis := range k.lay.meshes[i] {
		at[n] = [2]r3.Vec{k.centre(axis[0]), k.centre(axis[1])}
	}
	return k.meshAt(i, &at)
}

// meshAt is the same of axes through these centres.
func (k *kernel) meshAt(i int, at *[2][2]r3.Vec) (meshGeometry, error) {
	m := &k.stack.Meshes[i]
	wrong := func(key, value, want string) error {
		return &fault.FieldError{Path: fmt.Sprintf("/meshes/%d/%s", i, key), Value: value, Want: want, Err: fault.ErrConflict}
	}
	var start, dir [2]r3.Vec
	var span [2]float64
	for n, axis := range at {
		a, b := axis[0], axis[1]
		start[n], dir[n] = a, r3.Sub(b, a)
		span[n] = r3.Norm(dir[n])
		if !(math.Abs(dir[n].Z) > tol.Touching) {
			return meshGeometry{}, wrong(fmt.Sprintf("axes/%d", n), fmt.Sprintf("%q, %q", m.Axes[n][0], m.Axes[n][1]), "two bores one behind the other")
		}
		dir[n] = r3.Scale(1/dir[n].Z, dir[n]) // rearward, by z
	}
	own, other := 0, 1
	if span[1] > span[0]*(1+alike) {
		own, other = 1, 0
	}
	g, err := meshOf(start[own], dir[own], start[other], dir[other], span[own], float64(m.Z), wrong)
	g.swapped = own == 1
	return g, err
}

// meshOf is the geometry of an axis through p along d, which carries the plane, and another through
// q along g; directions have z = 1.
func meshOf(p, d, q, g r3.Vec, span, z float64, wrong func(key, value, want string) error) (meshGeometry, error) {
	axis := r3.Unit(d)
	e := r3.Sub(q, p)
	e = r3.Sub(e, r3.Scale(r3.Dot(e, axis), axis))
	if !(r3.Norm(e) > tol.Touching) {
		return meshGeometry{}, wrong("axes", "one axis", "two axes side by side")
	}
	e = r3.Unit(e)
	g = r3.Scale(1/r3.Dot(g, axis), g)
	a := r3.Add(p, r3.Scale(z-p.Z, d))
	b := r3.Add(q, r3.Scale((z-q.Z)/g.Z, g))
	return meshGeometry{
		span: span, in: span * r3.Dot(g, e), out: span * r3.Dot(g, r3.Cross(axis, e)),
		centre: r3.Norm(r3.Sub(b, a)),
	}, nil
}

// meshFit describes mesh i.
func (k *kernel) meshFit(i int) (MeshFit, error) {
	g, err := k.mesh(i)
	if err != nil {
		return MeshFit{}, err
	}
	m := &k.stack.Meshes[i]
	share := float64(m.FaceWidth) / g.span
	f := MeshFit{
		Name: m.Name, Span: tolerance.Length(g.span), InPlane: tolerance.Length(g.in), OutOfPlane: tolerance.Length(g.out),
		CentreDistance: tolerance.Length(g.centre), BacklashGain: 2 * math.Tan(float64(m.PressureAngle.Or(defaultPressureAngle))),
		Mismatch: g.mismatch(m),
	}
	if t := m.HelixTolerance; t.Given {
		// Source: ISO/TR 10064-3:1996 (from memory): f_Σβ = 0.5 (L/b) F_β, f_Σδ = 2 f_Σβ.
		limit := t.Value / tolerance.Length(share)
		f.InPlaneLimit, f.OutPlaneLimit = tolerance.Given(limit), tolerance.Given(limit/2)
	}
	return f, nil
}

// mismatch is by how much the rear end of the face engages first, along the line of action: of the
// flank that the other gear pushes along k × e, and of the other flank.
func (g *meshGeometry) mismatch(m *Mesh) [2]tolerance.Length {
	share := float64(m.FaceWidth) / g.span
	sin, cos := math.Sincos(float64(m.PressureAngle.Or(defaultPressureAngle)))
	return [2]tolerance.Length{tolerance.Length(share * (g.out*cos - g.in*sin)), tolerance.Length(share * (-g.out*cos - g.in*sin))}
}

// bentAxes is where the shafts of each mesh's axes run at the middle of the face; not known until
// their group has been bent.
type bentAxes []struct {
	at    [2]bend.Bent
	known [2]bool
}

// note takes down the axes that are shafts of the group last bent.
func (b bentAxes) note(k *kernel, group []int) {
	for i := range b {
		for n, axis := range k.lay.meshes[i] {
			if place := k.shaftOn(axis, group); place >= 0 {
				b[i].at[n], b[i].known[n] = k.bender.Run(place, float64(k.stack.Meshes[i].Z)), true
			}
		}
	}
}

// meshRuns works out the meshes whose axes are both known.
func (k *kernel) meshRuns(fits []MeshFit, axes bentAxes) error {
	for i := range fits {
		if axes[i].known != [2]bool{true, true} {
			continue
		}
		g, err := k.mesh(i)
		if err != nil {
			return err
		}
		own, other := 0, 1
		if g.swapped {
			own, other = 1, 0
		}
		z := float64(k.stack.Meshes[i].Z)
		at := func(b bend.Bent) (p, d r3.Vec) {
			return r3.Vec{X: b.At[0], Y: b.At[1], Z: z}, r3.Vec{X: b.Slope[0], Y: b.Slope[1], Z: 1}
		}
		p, d := at(axes[i].at[own])
		q, e := at(axes[i].at[other])
		run, err := meshOf(p, d, q, e, g.span, z, func(key, value, want string) error {
			return &fault.FieldError{Path: fmt.Sprintf("/meshes/%d/%s", i, key), Value: value, Want: want, Err: fault.ErrConflict}
		})
		if err != nil {
			return err
		}
		fits[i].Running = &MeshRun{tolerance.Length(run.in), tolerance.Length(run.out), tolerance.Length(run.centre), run.mismatch(&k.stack.Meshes[i])}
	}
	return nil
}

// shaftOn is the place in the group of the shaft that runs in both bores of an axis; −1 when there
// is none.
func (k *kernel) shaftOn(axis [2]boreAt, group []int) int {
	for n, s := range group {
		held := 0
		for _, q := range k.lay.supports {
			if q.shaft == s && (q.boreAt == axis[0] || q.boreAt == axis[1]) {
				held++
			}
		}
		if held == 2 {
			return n
		}
	}
	return -1
}

// deviation is one of the two over the span.
func (g *meshGeometry) deviation(what Quantity) float64 {
	if what == InPlane {
		return g.in
	}
	return g.out
}

// meshDeviation is the deviation that an output asks for.
func (k *kernel) meshDeviation(r *outputAt) (float64, error) {
	g, err := k.mesh(r.index)
	return g.deviation(r.What), err
}
