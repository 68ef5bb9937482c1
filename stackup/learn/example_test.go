package learn_test

import (
	"context"
	"fmt"

	"example.com/borestack/stackup"
	"example.com/borestack/stackup/internal/stacktest"
	"example.com/borestack/stackup/learn"
	"example.com/borestack/tolerance"
)

func ExampleFrom() {
	s := stacktest.Gap()
	l, err := learn.From(context.Background(), s, []learn.Observation{{Value: 0.045, Uncertainty: 0.002}}, stackup.Settings{Samples: 1 << 16, Seed: 1})
	if err != nil {
		fmt.Println(err)
		return
	}
	m := l.Inputs[1].Mean
	fmt.Printf("the spigot is %+.4f mm off, to %.4f mm\n", m.Value, l.Inputs[1].SD.Value)
	// Output: the spigot is +0.0023 mm off, to 0.0058 mm
}

func ExampleNext() {
	s := stacktest.Gap()
	s.Responses[0].Limits = tolerance.AtLeast(0.05)
	now, each, err := learn.Next(context.Background(), s, 0, stackup.Settings{Samples: 1 << 17, Seed: 1})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("doubt %.2f; with the %s known twice as well, %.2f\n", now.Doubt.Value, each[0].Input, each[0].Doubt.Value)
	// Output: doubt 0.46; with the spigot known twice as well, 0.26
}
