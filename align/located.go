package align

import "example.com/borestack/tolerance"

// LocatedFace is where a meeting face lies in its part's frame.
type LocatedFace struct {
	Given bool
	Z     tolerance.Length         // of its plane at the frame's z axis
	Slope Slope                    // of its plane
	Pilot tolerance.Optional[Vec2] // centre of its pilot; absent: no pilot
}

// Located is where a part's features lie in its own frame as it was measured, whatever gave them:
// numbers, points, a micrometer round it or a dial. It is neither turned nor warmed. The zero value
// is a part without features.
type Located struct {
	Front, Rear LocatedFace
	Bores       []Vec3 // centres, in the part's order
}

// Located works out where the features of p lie. The part must be one that [Stack.Validate]
// accepts.
func (p Part) Located() Located {
	p.Turned = false
	p.Temperature, p.MeasuredAt = tolerance.Optional[tolerance.Celsius]{}, tolerance.Optional[tolerance.Celsius]{}
	m := newMountedPart(&p)
	m.mount(&p)
	face := func(f *mountedFace) LocatedFace {
		if !f.given {
			return LocatedFace{}
		}
		out := LocatedFace{Given: true, Z: tolerance.Length(f.p.Z), Slope: Slope{f.p.SX, f.p.SY}}
		if f.pilot {
			out.Pilot = tolerance.Given(Vec2{tolerance.Length(f.cx), tolerance.Length(f.cy)})
		}
		return out
	}
	out := Located{Front: face(m.front), Rear: face(m.rear)}
	for i := range m.bores {
		out.Bores = append(out.Bores, lengthVec(m.bores[i].c))
	}
	return out
}
