package advise_test

import (
	"errors"
	"fmt"

	"example.com/borestack/align/advise"
	"example.com/borestack/tolerance"
)

// A dial reads 0.46 mm in all; the offset dowels in stock are 0.18, 0.36 and 0.53 mm.
func ExampleDowelStep() {
	choice, err := advise.DowelStep(0.46, 0.25, []tolerance.Offset{0.18, 0.36, 0.53})
	fmt.Println(choice.Step, "leaves", choice.Residual, err)
	// Output: 0.18 mm offset leaves 0.1 mm TIR <nil>
}

// A gap of 0.47 mm is to become an end play of 0.06 to 0.11 mm.
func ExampleChooseShim() {
	play := advise.EndPlay{Least: 0.06, Greatest: 0.11}
	c, err := advise.ChooseShim(0.47, 0.005, play, advise.ShimStock{Sizes: []tolerance.Length{0.30, 0.34, 0.38, 0.42}})
	fmt.Printf("window %v to %v: shim %v leaves %v; %.1f %% that a re-measurement agrees, %v\n", c.Window[0], c.Window[1], c.Sum, c.Play, 100*c.Agrees, err)
	_, err = advise.ChooseShim(0.02, 0.005, play, advise.ShimStock{})
	fmt.Println(errors.Is(err, advise.ErrNotValid))
	// Output:
	// window 0.36 mm to 0.41 mm: shim 0.38 mm leaves 0.09 mm; 99.8 % that a re-measurement agrees, <nil>
	// true
}

// A TIR of 0.09 mm against a limit of 0.10 mm, measured with a standard uncertainty of 0.01 mm.
func ExampleAssess() {
	limit := advise.Limit{Limits: tolerance.Limits{Greatest: tolerance.Given(0.1)}, Origin: "drawing", Convention: "TIR from the crank axis, cold"}
	f, err := advise.Assess(limit, 0.09, 0.01, advise.Guard95)
	fmt.Printf("%v: conforms with %.0f %%; settled by a standard uncertainty of %.4f mm, or %d readings for each, %v\n", f.Decision, 100*f.Conforms, f.Settles.Value, f.Repeats.Value, err)
	// Output: undecided: conforms with 84 %; settled by a standard uncertainty of 0.0061 mm, or 3 readings for each, <nil>
}
