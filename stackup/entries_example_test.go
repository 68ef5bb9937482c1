package stackup_test

import (
	"context"
	"fmt"

	"example.com/borestack/stackup"
	"example.com/borestack/stackup/internal/stacktest"
	"example.com/borestack/stackup/law"
)

func ExampleStudy_Linearise() {
	s := stacktest.Gap()
	s.Inputs[0] = stacktest.Uniform("bore", -0.015, 0.015) // a worst case needs limits
	s.Inputs[1] = stacktest.Uniform("spigot", -0.02, 0.02)
	l, err := s.Linearise(context.Background())
	if err != nil {
		fmt.Println(err)
		return
	}
	least, greatest, _ := l.WorstScalar(s, 0)
	halves := stacktest.Must(l.Contributions(s, 0))
	fmt.Printf("%.3f to %.3f mm at worst, ± %.3f by root sum of squares, ± %.3f with a quarter shifted\n",
		least.Value, greatest.Value, stackup.RootSumOfSquares(halves), stackup.MeanShift(halves, 0.25))
	// Output:
	// 0.020 to 0.090 mm at worst, ± 0.025 by root sum of squares, ± 0.028 with a quarter shifted
}

func ExampleStudy_Search() {
	s := stacktest.Gap()
	s.Inputs[0] = stacktest.Uniform("bore", -0.015, 0.015)
	s.Inputs[1] = stacktest.Uniform("spigot", -0.02, 0.02)
	e, err := s.Search(context.Background(), 0, -1, stackup.SearchSettings{})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.4f mm with bore %+.3f, spigot %+.3f\n", e.Value, e.X[0], e.X[1])
	// Output:
	// 0.0075 mm with bore -0.015, spigot +0.020
}

func ExampleStudy_SecondOrder() {
	s := stacktest.Gap()
	flat := stacktest.Must(law.NewUniform(-0.05, 0.05))
	s.Inputs[2].Joint = law.Independent{flat, flat}
	v, err := s.SecondOrder(context.Background(), 0)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("mean %.4f, sd %.4f mm\n", v.Mean, v.SD)
	// Output:
	// mean 0.0467, sd 0.0120 mm
}

func ExampleStudy_RunUntil() {
	t, settled, err := stacktest.Gap().RunUntil(context.Background(), stackup.Adaptive{Digits: 1}, stackup.Settings{Seed: 1})
	if err != nil {
		fmt.Println(err)
		return
	}
	low, high := t.Summary(0).Shortest(0.95)
	fmt.Printf("%.3f to %.3f mm after %d batches\n", low, high, settled.Batches)
	// Output:
	// 0.026 to 0.071 mm after 2 batches
}

func ExampleStudy_Sample() {
	s := stacktest.Gap()
	t, err := s.Run(context.Background(), stackup.Settings{Samples: 10_000, Seed: 1})
	if err != nil {
		fmt.Println(err)
		return
	}
	worst := t.Summary(0)
	x, err := s.Sample(1, worst.LeastAt)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("the tightest leaves %.4f mm: bore %+.4f, spigot %+.4f\n", worst.Least, x[0], x[1])
	// Output:
	// the tightest leaves 0.0101 mm: bore -0.0195, spigot +0.0183
}

func ExampleAccumulator_Merge() {
	s := stacktest.Gap()
	half := func(from, to int) *stackup.Accumulator {
		t, err := s.Run(context.Background(), stackup.Settings{Samples: 20 * stackup.BlockSize, Seed: 1, From: from, To: to})
		if err != nil {
			fmt.Println(err)
		}
		return t
	}
	all := half(10, 20) // on one machine, and on another
	if err := all.Merge(half(0, 10)); err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(all.Samples(), all.Blocks())
	// Output:
	// 20480 [[0 20]]
}
