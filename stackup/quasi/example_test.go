package quasi_test

import (
	"context"
	"fmt"

	"example.com/borestack/stackup"
	"example.com/borestack/stackup/internal/stacktest"
	"example.com/borestack/stackup/quasi"
)

func ExampleRun() {
	s := stacktest.Gap()
	e, err := quasi.Run(context.Background(), s, quasi.Settings{Settings: stackup.Settings{Samples: 1 << 14, Seed: 1}})
	if err != nil {
		fmt.Println(err)
		return
	}
	m := e.Mean(0)
	fmt.Printf("mean %.5f mm, to %.0e mm\n", m.Value, m.Error)
	// Output: mean 0.04875 mm, to 1e-06 mm
}
