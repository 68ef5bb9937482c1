package stackup_test

import (
	"context"
	"errors"
	"math"
	"testing"

	"example.com/borestack/fault"
	"example.com/borestack/stackup"
	"example.com/borestack/stackup/internal/stacktest"
	"example.com/borestack/stackup/learn"
	"example.com/borestack/tolerance"
)

// A limit that is not given forbids nothing; a limit of zero does.
func TestWanted_Limits_absentIsNotZero(t *testing.T) {
	const n = 4 * stackup.BlockSize
	for _, c := range []struct {
		name   string
		limits tolerance.Limits
		want   float64 // Source: hand calculation: share of the uniform law over −1 to 1
	}{
		{"none", tolerance.Limits{}, 1},
		{"greatest alone", tolerance.AtMost(0.5), 0.75},
		{"greatest of zero", tolerance.AtMost(0), 0.5},
		{"least of zero", tolerance.AtLeast(0), 0.5},
		{"both zero", tolerance.Between(0, 0), 0},
	} {
		s := &stackup.Study{Model: stacktest.One(1, stacktest.Sum), Inputs: []stackup.Input{stacktest.Uniform("a", -1, 1)}, Responses: []stackup.Response{{Name: "gap", Limits: c.limits}}}
		q := run(t, s, stackup.Settings{Samples: n, Seed: 1}).Summary(0)
		if math.Abs(q.Yield-c.want) > 4*math.Sqrt(c.want*(1-c.want)/n) {
			t.Errorf("%s: yield %v, want %v", c.name, q.Yield, c.want)
		}
	}
}

func TestStudy_Validate_limits(t *testing.T) {
	for name, limits := range map[string]tolerance.Limits{
		"crossed":      tolerance.Between(1, 0),
		"infinite":     tolerance.AtMost(math.Inf(1)),
		"not a number": tolerance.AtLeast(math.NaN()),
	} {
		s := stacktest.Mixed()
		s.Responses[0].Limits = limits
		var e *fault.FieldError
		if err := s.Validate(); !errors.As(err, &e) || e.Path != "size" {
			t.Errorf("%s: %v", name, err)
		}
		if _, _, err := learn.Next(context.Background(), s, 0, stackup.Settings{Samples: 1 << 16}); !errors.As(err, &e) {
			t.Errorf("%s: next measurement: %v", name, err)
		}
	}
}
