package stackup_test

import (
	"bytes"
	"flag"
	"os"
	"testing"

	"pgregory.net/rapid"

	"example.com/borestack/stackup"
	"example.com/borestack/stackup/internal/stacktest"
)

// The same few checks every time: nothing here depends on luck or leaves a file behind.
func TestMain(m *testing.M) {
	flag.Parse()
	for name, value := range map[string]string{"rapid.checks": "40", "rapid.seed": "1", "rapid.nofailfile": "true"} {
		if err := flag.Set(name, value); err != nil {
			panic(err)
		}
	}
	os.Exit(m.Run())
}

// Blocks that are run apart, in parts of any size, and merged in any order give the bytes of one run.
func TestAccumulator_Merge_anyOrder(t *testing.T) {
	const blocks = 12
	s := stacktest.Mixed()
	set := stackup.Settings{Samples: blocks*stackup.BlockSize - 100, Seed: 5, Workers: 1}
	want := stacktest.Must(run(t, s, set).MarshalBinary())
	rapid.Check(t, func(r *rapid.T) {
		var parts []*stackup.Accumulator
		for from := 0; from < blocks; {
			part := set
			part.From, part.To = from, from+rapid.IntRange(1, blocks-from).Draw(r, "blocks")
			parts = append(parts, run(t, s, part))
			from = part.To
		}
		parts = rapid.Permutation(parts).Draw(r, "order")
		for _, p := range parts[1:] {
			if err := parts[0].Merge(p); err != nil {
				r.Fatal(err)
			}
		}
		if got := stacktest.Must(parts[0].MarshalBinary()); !bytes.Equal(got, want) {
			r.Fatalf("%d parts give other bytes", len(parts))
		}
	})
}

// No deviations within the limits of the inputs pass the worst case of a linear model.
func TestLinear_WorstScalar_holdsAny(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		n := rapid.IntRange(1, 5).Draw(r, "inputs")
		gains := rapid.SliceOfN(rapid.Float64Range(-3, 3), n, n).Draw(r, "gains")
		s, x := &stackup.Study{Model: stacktest.One(n, stacktest.Sum)}, 0.0
		for i, g := range gains {
			low := rapid.Float64Range(-2, 2).Draw(r, "low")
			width := rapid.Float64Range(0, 2).Draw(r, "width")
			s.Inputs = append(s.Inputs, stacktest.Uniform(string(rune('a'+i)), low, low+width))
			x += g * (low + width*rapid.Float64Range(0, 1).Draw(r, "at"))
		}
		l := &stackup.Linear{At: []float64{0}, Gain: [][]float64{gains}}
		least, greatest, ok := l.WorstScalar(s, 0)
		const rounding = 1e-12
		if !ok || x < least.Value-rounding || x > greatest.Value+rounding {
			r.Fatalf("%v is not within %v to %v", x, least.Value, greatest.Value)
		}
	})
}
