package stackup_test

import (
	"context"
	"fmt"

	"example.com/borestack/stackup"
	"example.com/borestack/stackup/law"
	"example.com/borestack/tolerance"
)

// gapStudy is the clearance left between two pilots, in mm: it must stay above 0.
func gapStudy() *stackup.Study {
	clearance := stackup.Wanted{Name: "clearance"}
	clearance.Limits = tolerance.AtLeast(0)
	return &stackup.Study{
		Model: stackup.Func{In: 4, Out: 1, Of: func(y, x []float64) error {
			y[0] = 0.055 + x[0] - x[1] - (x[2]*x[2]+x[3]*x[3])/0.2 // a shift of the axis costs clearance
			return nil
		}},
		Inputs: []stackup.Input{
			{Name: "bore", Law: must(law.NewNormal(0, 0.006))},
			{Name: "spigot", Law: must(law.NewNormal(0, 0.009))},
			{Name: "dowels", Plane: must(law.NewDisc(0, 0, 0.05))},
		},
		Wanted: []stackup.Wanted{clearance},
	}
}

func ExampleStudy_SobolIndices() {
	s := gapStudy()
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
	s := gapStudy()
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
	now, then := gapStudy(), gapStudy()
	then.Inputs[1].Law = must(law.NewNormal(0, 0.006))
	c, err := stackup.Compare(context.Background(), now, then, stackup.Settings{Samples: 1 << 16, Seed: 1})
	if err != nil {
		fmt.Println(err)
		return
	}
	d := c.Difference(0)
	fmt.Printf("standard deviation %+.4f mm, known to %.4f mm\n", d.SD.Value, d.SD.Error)
	// Output: standard deviation -0.0022 mm, known to 0.0000 mm
}

func ExampleStudy_HowFar() {
	s := gapStudy()
	l, err := s.HowFar(context.Background(), stackup.Question{
		Input: "spigot", Change: stackup.ChangeShift, From: 0, To: 0.06, Share: 0.9973,
	}, stackup.Settings{Samples: 1 << 17, Seed: 1})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("the spigot may grow by %.3f mm\n", l.Value)
	// Output: the spigot may grow by 0.017 mm
}

func ExampleStudy_RareFailures() {
	s := gapStudy()
	r, err := s.RareFailures(context.Background(), 0, stackup.Settings{Samples: 1 << 14, Seed: 1})
	if err != nil {
		fmt.Println(err)
		return
	}
	p := r.Points[0]
	fmt.Printf("%.0f in a million fail, to %.0f %%; likeliest with the bore at %.3f mm and the spigot at %+.3f mm\n",
		1e6*r.Failure.Value, 100*r.Failure.Error/r.Failure.Value, p.X[0], p.X[1])
	// Output: 8 in a million fail, to 2 %; likeliest with the bore at -0.014 mm and the spigot at +0.031 mm
}

func ExampleStudy_RunEven() {
	s := gapStudy()
	e, err := s.RunEven(context.Background(), stackup.EvenSettings{Settings: stackup.Settings{Samples: 1 << 14, Seed: 1}, Spacing: stackup.Sobol})
	if err != nil {
		fmt.Println(err)
		return
	}
	m := e.Mean(0)
	fmt.Printf("mean %.5f mm, to %.0e mm\n", m.Value, m.Error)
	// Output: mean 0.04875 mm, to 1e-06 mm
}

func ExampleStudy_RunControlled() {
	s := gapStudy()
	c, err := s.RunControlled(context.Background(), stackup.Settings{Samples: 1 << 14, Seed: 1})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("mean %.4f mm; worth %.0f times as many samples\n", c[0].Mean.Value, c[0].Gain)
	// Output: mean 0.0488 mm; worth 10 times as many samples
}

func ExampleStudy_Estimate() {
	s := gapStudy()
	e, err := s.Estimate(context.Background(), stackup.Goal{Of: stackup.OfYield, Error: 1e-6}, stackup.Settings{Samples: 1 << 20, Seed: 1})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.0f in a million fail; by %s\n", 1e6*(1-e.Value), e.Method)
	// Output: 8 in a million fail; by samples about the design points
}

func ExampleLinear_Learn() {
	s := gapStudy()
	l := must(s.Linearise(context.Background()))
	b, err := l.Learn(s, stackup.Observation{Value: 0.045, Uncertainty: 0.002})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("the spigot is %+.4f mm off\n", b.Mean[1])
	// Output: the spigot is +0.0067 mm off
}

func ExampleStudy_Learn() {
	s := gapStudy()
	l, err := s.Learn(context.Background(), []stackup.Observation{{Value: 0.045, Uncertainty: 0.002}}, stackup.Settings{Samples: 1 << 16, Seed: 1})
	if err != nil {
		fmt.Println(err)
		return
	}
	m := l.Inputs[1].Mean
	fmt.Printf("the spigot is %+.4f mm off, to %.4f mm\n", m.Value, l.Inputs[1].SD.Value)
	// Output: the spigot is +0.0023 mm off, to 0.0058 mm
}

func ExampleLinear_NextMeasurement() {
	s := gapStudy()
	s.Wanted[0].Limits = tolerance.AtLeast(0.05)
	l := must(s.Linearise(context.Background()))
	now, each, err := l.NextMeasurement(s, s.Wanted[0])
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("doubt %.2f; with the %s known twice as well, %.2f\n", now.Doubt, each[0].Input, each[0].Doubt)
	// Output: doubt 0.32; with the spigot known twice as well, 0.21
}

func ExampleStudy_NextMeasurement() {
	s := gapStudy()
	s.Wanted[0].Limits = tolerance.AtLeast(0.05)
	now, each, err := s.NextMeasurement(context.Background(), 0, stackup.Settings{Samples: 1 << 17, Seed: 1})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("doubt %.2f; with the %s known twice as well, %.2f\n", now.Doubt.Value, each[0].Input, each[0].Doubt.Value)
	// Output: doubt 0.46; with the spigot known twice as well, 0.26
}
