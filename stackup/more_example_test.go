package stackup_test

import (
	"context"
	"fmt"
	"math"

	"example.com/borestack/stackup"
	"example.com/borestack/stackup/internal/stacktest"
	"example.com/borestack/stackup/law"
)

func ExampleStudy_SobolIndices() {
	s := stacktest.Gap()
	x, err := s.SobolIndices(context.Background(), stackup.Settings{Samples: 1 << 16, Seed: 1})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, i := range x.Of(0) {
		fmt.Printf("%-6s %2.0f %%\n", i.Input, 100*i.Total.Value)
	}
	// Output:
	// bore   28 %
	// spigot 62 %
	// dowels 10 %
}

func ExampleStudy_FailureTails() {
	s := stacktest.Gap()
	f, err := s.FailureTails(context.Background(), stackup.Settings{Samples: 1 << 20, Seed: 1})
	if err != nil {
		fmt.Println(err)
		return
	}
	spigot := f[0].Tails[1]
	fmt.Printf("%d of %d fail; a spigot in its upper tenth makes that %.0f times as likely\n", f[0].Failed, f[0].Samples, spigot.Upper.Value)
	// Output: 3 of 1048576 fail; a spigot in its upper tenth makes that 10 times as likely
}

func ExampleCompare() {
	now, then := stacktest.Gap(), stacktest.Gap()
	then.Inputs[1].Law = stacktest.Must(law.NewNormal(0, 0.006))
	c, err := stackup.Compare(context.Background(), now, then, stackup.Settings{Samples: 1 << 16, Seed: 1})
	if err != nil {
		fmt.Println(err)
		return
	}
	d := c.Difference(0)
	fmt.Printf("standard deviation %+.4f mm, known to %.4f mm\n", d.SD.Value, d.SD.Error)
	// Output: standard deviation -0.0022 mm, known to 0.0000 mm
}

func ExampleHowFar() {
	s := stacktest.Gap()
	larger := func(by float64) (*stackup.Study, error) {
		spigot, err := s.Inputs[1].Shifted(by)
		return s.With(spigot), err
	}
	l, err := stackup.HowFar(context.Background(), larger, stackup.Question{From: 0, To: 0.06, Share: 0.9973}, stackup.Settings{Samples: 1 << 17, Seed: 1})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("the spigot may grow by %.3f mm\n", l.Value)
	// Output: the spigot may grow by 0.017 mm
}

func ExampleInput_Scaled() {
	s := stacktest.Gap()
	spigot, err := s.Inputs[1].Scaled(0.5) // made twice as well
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, s := range []*stackup.Study{s, s.With(spigot)} {
		l, err := s.Linearise(context.Background())
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Printf("sd %.4f mm\n", math.Sqrt(l.Spread(s, 0, -1).XX))
	}
	// Output:
	// sd 0.0108 mm
	// sd 0.0075 mm
}

func ExampleInput_Shifted() {
	bore, err := stacktest.Normal("bore", 0, 0.006).Shifted(0.004) // the process sits 4 µm high
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("mean %.3f mm\n", bore.Mean(0))
	// Output: mean 0.004 mm
}
