package stackup_test

import (
	"fmt"
	"runtime"
	"testing"

	"example.com/borestack/stackup"
	"example.com/borestack/stackup/law"
)

// What a study keeps does not grow with its samples: of sixteen times as many it keeps little more
// (buckets of its histograms that only they reach), makes less on the way than they would fill, and
// writes out more filled buckets alone. The command testdata/benchmarks/run measures ten million
// samples of 40 outputs.
//
// Source: hand calculation: an output has one histogram of a fixed number of buckets, and of n
// blocks the accumulator holds at most log2 n + 1 subtrees.
func TestStudy_Run_memoryFlat(t *testing.T) {
	const outputs = 40
	st := &stackup.Study{Model: stackup.Func{In: 2, Out: outputs, Of: func(y, x []float64) error {
		for k := range y {
			y[k] = x[0] + float64(k)*x[1]
		}
		return nil
	}}}
	for i := range 2 {
		l, err := law.NewUniform(-1, 1)
		if err != nil {
			t.Fatal(err)
		}
		st.Inputs = append(st.Inputs, stackup.Input{Name: fmt.Sprint(i), Law: l})
	}
	for k := range outputs {
		st.Responses = append(st.Responses, stackup.Response{Name: fmt.Sprint(k), Output: k})
	}
	need := func(blocks int) (kept, allocated uint64, written int) {
		var before, run, after runtime.MemStats
		runtime.GC()
		runtime.ReadMemStats(&before)
		acc, err := st.Run(t.Context(), stackup.Settings{Samples: blocks * stackup.BlockSize, Seed: 1, Workers: 1})
		runtime.ReadMemStats(&run)
		runtime.GC()
		runtime.ReadMemStats(&after)
		if err != nil {
			t.Fatal(err)
		}
		text, err := acc.MarshalBinary()
		if err != nil {
			t.Fatal(err)
		}
		return after.HeapAlloc - before.HeapAlloc, run.TotalAlloc - before.TotalAlloc, len(text)
	}
	need(1) // once, so that what is made once is there
	few, _, fewText := need(16)
	many, made, manyText := need(256)
	t.Logf("%d and %d bytes kept, %d made on the way, %d and %d written", few, many, made, fewText, manyText)
	if float64(many) > 1.5*float64(few) {
		t.Errorf("%d bytes kept of 16 times the samples of %d", many, few)
	}
	if all := 256 * stackup.BlockSize * outputs * 8; made > uint64(all)/2 {
		t.Errorf("%d bytes made on the way, of outputs of %d", made, all)
	}
	if float64(manyText) > 2*float64(fewText) {
		t.Errorf("written out %d bytes for 16 times the samples of %d", manyText, fewText)
	}
}
