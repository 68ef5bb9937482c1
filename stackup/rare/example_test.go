package rare_test

import (
	"context"
	"fmt"

	"example.com/borestack/stackup"
	"example.com/borestack/stackup/internal/stacktest"
	"example.com/borestack/stackup/rare"
)

func ExampleFailures() {
	s := stacktest.Gap()
	r, err := rare.Failures(context.Background(), s, 0, stackup.Settings{Samples: 1 << 14, Seed: 1})
	if err != nil {
		fmt.Println(err)
		return
	}
	p := r.Points[0]
	fmt.Printf("%.0f in a million fail, to %.0f %%; likeliest with the bore at %.3f mm and the spigot at %+.3f mm\n",
		1e6*r.Failure.Value, 100*r.Failure.Error/r.Failure.Value, p.X[0], p.X[1])
	// Output: 8 in a million fail, to 1 %; likeliest with the bore at -0.014 mm and the spigot at +0.031 mm
}

func ExampleFind() {
	a, err := rare.Find(context.Background(), stacktest.Gap(), 0, stackup.Settings{Samples: stackup.BlockSize, Seed: 1})
	if err != nil {
		fmt.Println(err)
		return
	}
	r, err := a.Lines(context.Background(), stackup.Settings{Samples: 1 << 15, Seed: 2}) // as often as it takes
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.2g ± %.1g fail\n", r.Failure.Value, r.Failure.Error)
	// Output:
	// 8.4e-06 ± 4e-08 fail
}
