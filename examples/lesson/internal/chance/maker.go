package chance

import (
	"context"
	"math"
	"strings"

	"example.com/borestack/align"
	"example.com/borestack/align/advise/batch"
	"example.com/borestack/examples/lesson/internal/box"
	"example.com/borestack/stackup/law"
	"example.com/borestack/tolerance"
)

// What the maker's plates are like.
const (
	plates      = 20
	plateSD     = 0.010 // mm, of either component of a plate's wedge
	MostFixture = 0.05  // mm
	plateSeed   = 3
)

// Fixture is what the reader sets on the maker's side.
type Fixture struct {
	Wedge tolerance.Length // that the fixture puts into every plate
	Clock tolerance.Angle  // where in the fixture it makes plates thickest
	Turn  bool             // plates are laid in a quarter turn further each time; else all alike
}

// Maker is a batch of plates made in a fixture, and one of the very same sizes that have no direction in common.
type Maker struct {
	Fixture
	InFixture []align.Vec2 // the wedges as they lay in the fixture
	Made      batch.Batch  // the same, as a micrometer finds them on the plates
	Scattered batch.Batch  // wedges of the same sizes, in directions spread as evenly as can be
	// What the batches say; nil where only the plates were asked for.
	OfMade, OfScattered *batch.Finding
}

// Plates makes both batches, and does not ask yet what they say.
func (f Fixture) Plates() (*Maker, error) {
	if err := within("wedge", float64(f.Wedge), 0, MostFixture); err != nil {
		return nil, err
	}
	if err := within("clock", f.Clock.Degrees(), -360, 720); err != nil {
		return nil, err
	}
	out := &Maker{Fixture: f}
	deviations := make([]float64, 2*plates)
	stream := law.NewStream(plateSeed, "plates", 0)
	stream.Normals(deviations)
	fixed := align.Vec2{X: f.Wedge * tolerance.Length(math.Sin(f.Clock.Radians())), Y: f.Wedge * tolerance.Length(math.Cos(f.Clock.Radians()))}
	golden := tolerance.Angle(math.Pi * (3 - math.Sqrt(5))) // turns by it never come near each other
	for i := range plates {
		lay := tolerance.Angle(0)
		if f.Turn {
			lay = tolerance.Angle(i%4) * 90 * tolerance.Degree
		}
		in := align.Vec2{X: fixed.X + plateSD*tolerance.Length(deviations[2*i]), Y: fixed.Y + plateSD*tolerance.Length(deviations[2*i+1])}
		out.InFixture = append(out.InFixture, in)
		// a plate whose 12 o'clock lies at the fixture's 3 carries the fixture's 3 at its own 12
		on := toward(in.Size(), in.Clock()-lay)
		out.Made.Pieces = append(out.Made.Pieces, batch.Piece{At: on, Lay: tolerance.Given(lay)})
		anyWay := toward(in.Size(), tolerance.Angle(i)*golden)
		out.Scattered.Pieces = append(out.Scattered.Pieces, batch.Piece{At: anyWay, Lay: tolerance.Given(lay)})
	}
	out.Made.Of, out.Scattered.Of = "wedges of plates", "wedges of plates"
	return out, nil
}

// Ask asks both batches what their plates have in common.
func (m *Maker) Ask() (err error) {
	if m.OfMade, err = batch.Find(context.Background(), m.Made); err == nil {
		m.OfScattered, err = batch.Find(context.Background(), m.Scattered)
	}
	return err
}

// Typical is the mean of the sizes, the same in both batches.
func (m *Maker) Typical() (t tolerance.Length) {
	for _, v := range m.InFixture {
		t += v.Size() / plates
	}
	return t
}

// Sentence says what the sizes hide and, once they were asked, what the batches say.
func (m *Maker) Sentence(unit tolerance.Unit) string {
	s := "Both batches have the same sizes, " + box.Say(m.Typical(), unit) + " on average: by size nobody can tell them apart."
	if m.OfMade == nil {
		return s
	}
	return s + " From the fixture: " + found(m.OfMade, unit) + " From scatter: " + found(m.OfScattered, unit)
}

// found says in the lesson's words what a batch has in common.
func found(f *batch.Finding, unit tolerance.Unit) string {
	if len(f.Causes) == 0 {
		return "the plates have nothing in common; there is nothing to adjust."
	}
	c := f.Causes[0]
	size := box.Say(c.Vector.Size(), unit) + " towards " + c.Vector.Clock().Hours() + ", give or take " + box.Say(c.Radius, unit)
	switch {
	case c.Kind == batch.FromFixture:
		return "it keeps its place in the fixture, " + size + ". Shim the fixture, and the plates follow."
	case c.Kind == batch.FromPart && !f.LaysDiffer:
		return "it keeps its place, " + size + ", but all plates lay alike: whether it is the fixture or the casting cannot be told."
	case c.Kind == batch.FromPart:
		return "it turns with the plate, " + size + ": the casting or what was done before."
	}
	return "something else can explain it; read the sheet."
}

// Sheet is what the library prints of the batch from the fixture.
func (m *Maker) Sheet(unit tolerance.Unit) (string, error) {
	var b strings.Builder
	err := m.OfMade.Page(unit).Text(&b)
	return b.String(), err
}

// toward is the vector of that size and clock position.
func toward(size tolerance.Length, clock tolerance.Angle) align.Vec2 {
	s, c := math.Sincos(clock.Radians())
	return align.Vec2{X: size * tolerance.Length(s), Y: size * tolerance.Length(c)}
}
