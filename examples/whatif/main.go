// Command whatif asks what a maker must hold: the yield of a batch of plates on an invented harbour launch's reduction box, with its error, as the plate's wedge is made better or worse. All numbers are invented.
package main

import (
	"context"
	"fmt"
	"io"
	"log"
	"os"

	"example.com/borestack/align"
	"example.com/borestack/align/study"
	"example.com/borestack/stackup"
	"example.com/borestack/stackup/law"
	"example.com/borestack/tolerance"
)

// launch is a case, a plate and a tail, and one shaft through all three.
func launch() align.Stack {
	pilot := func(kind align.PilotKind, d tolerance.Length) *align.Pilot {
		return &align.Pilot{Kind: kind, Diameter: d}
	}
	bore := func(name string, z tolerance.Length) align.Bore {
		return align.Bore{Name: name, Centre: align.Vec3{Z: z}}
	}
	return align.Stack{
		Parts: []align.Part{
			{Name: "case", Rear: &align.Face{Z: 200, Pilot: pilot(align.PilotBore, 160.03)}, Bores: []align.Bore{bore("front", 20)}},
			{Name: "plate", Front: &align.Face{Pilot: pilot(align.Spigot, 160)}, Rear: &align.Face{Z: 14, Pilot: pilot(align.Spigot, 130)}, Bores: []align.Bore{bore("bearing", 7)}},
			{Name: "tail", Front: &align.Face{Pilot: pilot(align.PilotBore, 130.03)}, Bores: []align.Bore{bore("bush", 240)}},
		},
		Joints: []align.Joint{{}, {}},
		Shafts: []align.Shaft{{Name: "main", Supports: []align.Support{
			{Bore: "case/front", Clearance: 0.04}, {Bore: "plate/bearing", Clearance: 0.04}, {Bore: "tail/bush", Clearance: 0.10},
		}}},
	}
}

// yield is the share of boxes in which a straight shaft has room: the plate's wedge and the tail's bush vary, both parts lie anywhere in their pilots.
func yield(wedge, bush float64) (stackup.Summary, error) {
	slopeX := align.NumberOf(func(s *align.Stack) *float64 { return &s.Parts[1].Rear.Slope.X })
	slopeY := align.NumberOf(func(s *align.Stack) *float64 { return &s.Parts[1].Rear.Slope.Y })
	bushX := align.NumberOf(func(s *align.Stack) *tolerance.Length { return &s.Parts[2].Bores[0].Centre.X })
	sources := []align.Source{{Name: "wedge x", Moves: []align.Move{{Of: slopeX, Gain: 1}}}, {Name: "wedge y", Moves: []align.Move{{Of: slopeY, Gain: 1}}}, {Name: "bush", Moves: []align.Move{{Of: bushX, Gain: 1}}}}
	lies := []align.Lie{align.LiesUniform, align.LiesUniform}
	plan, err := launch().Compile(sources, lies, []align.Output{{What: align.Margin}, {What: align.Assembles}})
	if err != nil {
		return stackup.Summary{}, err
	}
	normal := func(sd float64) law.Law { return must(law.NewNormal(0, sd)) }
	laws := []stackup.Input{{Name: "wedge x", Law: normal(wedge)}, {Name: "wedge y", Law: normal(wedge)}, {Name: "bush", Law: normal(bush)}}
	st, err := study.Of(plan, laws, stackup.Response{Name: "margin", Limits: tolerance.AtLeast(0)})
	if err != nil {
		return stackup.Summary{}, err
	}
	acc, err := st.Run(context.Background(), stackup.Settings{Samples: 50_000, Seed: 1})
	if err != nil {
		return stackup.Summary{}, err
	}
	return acc.Summary(0), nil
}

func must[T any](v T, err error) T {
	if err != nil {
		log.Fatal(err)
	}
	return v
}

func main() {
	if err := run(os.Stdout); err != nil {
		log.Fatal(err)
	}
}

func run(w io.Writer) error {
	fmt.Fprintln(w, "Invented box. The plate's wedge varies by (one standard deviation, rise across 180 mm); how many boxes have room?")
	for _, rise := range []float64{0.010, 0.020, 0.030, 0.040} {
		y, err := yield(rise/180, 0.010)
		if err != nil {
			return err
		}
		fmt.Fprintf(w, "  %.3f mm: %6.2f %% (%.2f to %.2f with 95 %% confidence), margin %.4f ± %.4f mm\n",
			rise, 100*y.Yield, 100*y.YieldInterval[0], 100*y.YieldInterval[1], y.Mean, y.SD)
	}
	fmt.Fprintln(w, "Geometry, not permission to run: the maker's data go first.")
	return nil
}
