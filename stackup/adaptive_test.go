package stackup_test

import (
	"bytes"
	"context"
	"math"
	"testing"
	"time"

	"example.com/borestack/stackup"
	"example.com/borestack/stackup/internal/stacktest"
)

func TestStudy_RunUntil(t *testing.T) {
	s := &stackup.Study{Model: stacktest.One(2, stacktest.Sum), Inputs: []stackup.Input{stacktest.Normal("a", 0, 1), stacktest.Uniform("b", -1, 1)}, Responses: []stackup.Response{{Name: "y"}}}
	var want []byte
	for _, workers := range []int{1, 2} {
		acc, settled, err := s.RunUntil(context.Background(), stackup.Adaptive{Tolerances: []float64{0.01}}, stackup.Settings{Seed: 1, Workers: workers})
		if err != nil {
			t.Fatal(err)
		}
		if !settled.Stable || settled.Batches < 2 || acc.Samples() != settled.Batches*10*stackup.BlockSize {
			t.Errorf("%+v, %d samples", settled, acc.Samples())
		}
		q := acc.Summary(0)
		if math.Abs(q.Mean) > 0.02 || math.Abs(q.SD-math.Sqrt(4.0/3)) > 0.02 {
			t.Errorf("mean %v, sd %v: not within the tolerance asked for", q.Mean, q.SD)
		}
		b := stacktest.Must(acc.MarshalBinary())
		if want == nil {
			want = b
		} else if !bytes.Equal(b, want) {
			t.Error("another number of workers stops elsewhere")
		}
	}
	_, settled, err := s.RunUntil(context.Background(), stackup.Adaptive{Tolerances: []float64{1e-9}, Most: 60000}, stackup.Settings{Seed: 1})
	if err != nil || settled.Stable {
		t.Errorf("an impossible tolerance: %+v, %v", settled, err)
	}
}

// A share that takes more samples in one batch than are allowed is refused, not run.
func TestStudy_RunUntil_share(t *testing.T) {
	ctx, stop := context.WithTimeout(context.Background(), time.Second)
	defer stop()
	for _, a := range []stackup.Adaptive{{Share: 1 - 1e-12}, {Share: math.Nextafter(1, 0)}, {Share: 0.999, Most: 50_000}} {
		if _, _, err := stacktest.Limited().RunUntil(ctx, a, stackup.Settings{Seed: 1}); !stacktest.Refused(err) {
			t.Errorf("%+v: %v", a, err)
		}
	}
}
