package estimate_test

import (
	"context"
	"fmt"

	"example.com/borestack/stackup"
	"example.com/borestack/stackup/estimate"
	"example.com/borestack/stackup/internal/stacktest"
)

func ExampleRun() {
	s := stacktest.Gap()
	e, err := estimate.Run(context.Background(), s, estimate.Goal{Of: estimate.OfYield, Error: 1e-6}, stackup.Settings{Samples: 1 << 20, Seed: 1})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.0f in a million fail; by %s\n", 1e6*(1-e.Value), e.Method)
	// Output: 8 in a million fail; by lines through the design points
}
