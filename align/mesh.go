package align

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

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

// gearAxis is an axis of a mesh: a point, and its direction by z.
type gearAxis struct{ at, along r3.Vec }

// mesh works out how the axes of mesh i lie to each other, through the bores' centres.
func (k *kernel) mesh(i int) (meshGeometry, error) {
	var at [2][2]r3.Vec
	for n, axis := range k.lay.meshes[i] {
		at[n] = [2]r3.Vec{k.centre(axis[0]), k.centre(axis[1])}
	}
	return k.meshAt(i, &at)
}

// meshAt is the same of axes through these centres. The plane holds the axis with the longer span
// and the first-named centre of the other.
//
// Source: ISO/TR 10064-3:1996, section on shaft parallelism (from memory): deviations in the common
// plane of the axes and square to it.
func (k *kernel) meshAt(i int, at *[2][2]r3.Vec) (meshGeometry, error) {
	var axes [2]gearAxis
	var span [2]float64
	for n, through := range at {
		d := r3.Sub(through[1], through[0])
		if !(math.Abs(d.Z) > tol.Touching) {
			names := k.stack.Meshes[i].Axes[n]
			return meshGeometry{}, meshFault(i, fmt.Sprintf("axes/%d", n), fmt.Sprintf("%q, %q", names[0], names[1]), "two bores one behind the other")
		}
		axes[n], span[n] = gearAxis{through[0], r3.Scale(1/d.Z, d)}, r3.Norm(d)
	}
	g := meshGeometry{span: span[0]}
	if span[1] > span[0]*(1+alike) {
		g = meshGeometry{span: span[1], swapped: true}
	}
	return k.meshOf(i, axes, g)
}

func meshFault(i int, key, value, want string) error {
	return fault.At(fmt.Sprintf("/meshes/%d/%s", i, key), value, want, fault.ErrConflict)
}

// meshOf is the geometry of mesh i with these axes, of which g says the span and which carries the
// plane.
func (k *kernel) meshOf(i int, axes [2]gearAxis, g meshGeometry) (meshGeometry, error) {
	own, other := axes[0], axes[1]
	if g.swapped {
		own, other = other, own
	}
	axis := r3.Unit(own.along)
	e := r3.Sub(other.at, own.at)
	e = r3.Sub(e, r3.Scale(r3.Dot(e, axis), axis))
	if !(r3.Norm(e) > tol.Touching) {
		return meshGeometry{}, meshFault(i, "axes", "one axis", "two axes side by side")
	}
	e = r3.Unit(e)
	along := r3.Scale(1/r3.Dot(other.along, axis), other.along)
	z := float64(k.stack.Meshes[i].Z)
	a := r3.Add(own.at, r3.Scale(z-own.at.Z, own.along))
	b := r3.Add(other.at, r3.Scale((z-other.at.Z)/along.Z, along))
	g.in, g.out, g.centre = g.span*r3.Dot(along, e), g.span*r3.Dot(along, r3.Cross(axis, e)), r3.Norm(r3.Sub(b, a))
	return g, nil
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

// bentAxes are the axes of each mesh as the shafts run at the middle of its face; nil until their
// group has been bent.
type bentAxes [][2]*gearAxis

// note takes down the axes that are shafts of the group last bent.
func (b bentAxes) note(k *kernel, group []int) {
	for i := range b {
		for n, axis := range k.lay.meshes[i] {
			if place := k.shaftOn(axis, group); place >= 0 {
				z := float64(k.stack.Meshes[i].Z)
				run := k.bender.Run(place, z)
				b[i][n] = &gearAxis{r3.Vec{X: run.At[0], Y: run.At[1], Z: z}, r3.Vec{X: run.Slope[0], Y: run.Slope[1], Z: 1}}
			}
		}
	}
}

// meshRuns works out the meshes whose axes are both known.
func (k *kernel) meshRuns(fits []MeshFit, bent bentAxes) error {
	for i := range fits {
		if bent[i][0] == nil || bent[i][1] == nil {
			continue
		}
		g, err := k.mesh(i)
		if err == nil {
			g, err = k.meshOf(i, [2]gearAxis{*bent[i][0], *bent[i][1]}, g)
		}
		if err != nil {
			return err
		}
		fits[i].Running = &MeshRun{tolerance.Length(g.in), tolerance.Length(g.out), tolerance.Length(g.centre), g.mismatch(&k.stack.Meshes[i])}
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
