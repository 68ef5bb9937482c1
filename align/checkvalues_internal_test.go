package align

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// Every number of a stack is checked: none may be what is not a number, wherever it stands, and the fault names a place. The closing reading and the first station's angle of a round were not looked at before.
func TestStack_Validate_everyNumber(t *testing.T) {
	s := plainStack(rand.New(rand.NewPCG(5, 5)))
	readings := Readings{Values: [][]tolerance.Length{{0}, {0.01, 0.012}, {0}, {0}}, First: 0.1, Closing: tolerance.Given(tolerance.Length(0)), Uncertainty: tolerance.Given(tolerance.Length(0.001))}
	s.Parts[0].Bores[0].Centre.X, s.Parts[0].Bores[0].Centre.Y = 0, 0
	s.Parts[0].Bores[0].Sweep = &Sweep{Readings: readings}
	s.Shafts[0].Material = tolerance.Given(tolerance.Material{Modulus: tolerance.Given(2e5)})
	s.Shafts[0].Sections = []Section{{To: 500, Diameter: 40}}
	s.Shafts[0].Loads = []Load{{Name: "pinion", Z: 20, Gear: &GearForce{Torque: 10, PitchDiameter: 40, PressureAngle: tolerance.Given(tolerance.Angle(0.3))}}}
	s.Shafts[0].Supports[0].Guide = Guide{Offset: tolerance.Given(tolerance.Length(0.1)), Force: tolerance.Given(100.0)}
	s.Shafts[0].Supports[1].Stiffness, s.Shafts[0].Supports[1].Tilt = tolerance.Given(1e5), tolerance.Given(1e-3)
	s.Meshes = []Mesh{{Name: "m", Axes: [2][2]string{{"p0/a", "p1/a"}, {"p0/a", "p1/c"}}, FaceWidth: 20, HelixTolerance: tolerance.Given(tolerance.Length(0.01))}}
	s.States = []State{{Name: "hot", Moves: []StateMove{{Part: "p0"}}, Temperatures: []StateTemperature{{Of: "p0", Temperature: 20}}}}
	if err := s.Validate(); err != nil {
		t.Fatal(err)
	}
	numbers := numbersOf(&s)
	for i, n := range numbers {
		v := n.Float()
		n.SetFloat(math.NaN())
		var f *fault.FieldError
		if err := s.Validate(); !errors.As(err, &f) || f.Path == "" {
			t.Errorf("number %d of %d, %v, a %v, may be what is no number: %v", i, len(numbers), v, n.Type(), err)
		}
		n.SetFloat(v)
	}
}
