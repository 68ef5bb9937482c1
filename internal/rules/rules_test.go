package rules_test

import (
	"errors"
	"math"
	"testing"

	"example.com/borestack/fault"
	"example.com/borestack/internal/rules"
)

func TestList(t *testing.T) {
	var l rules.List
	if l.Err() != nil || l.First() != nil {
		t.Errorf("nothing was held to a rule: %v, %v", l.Err(), l.First())
	}
	l.Need(true, "held", 1, "anything", fault.ErrOutOfRange)
	l.Need(false, "x", -1.5, "0 or more", fault.ErrOutOfRange)
	l.Need(false, "y", nil, "a number", fault.ErrMissing)
	if got := l.Err().Error(); got != "x: -1.5: out of range: want 0 or more\ny: missing: want a number" {
		t.Errorf("%q", got)
	}
	if err := l.First(); !errors.Is(err, fault.ErrOutOfRange) || err.Error() != "x: -1.5: out of range: want 0 or more" {
		t.Errorf("%v", err)
	}
	if !errors.Is(l.Err(), fault.ErrMissing) {
		t.Errorf("%v", l.Err())
	}
}

func TestPositive(t *testing.T) {
	for _, c := range []struct {
		v         float64
		more, any bool
	}{{1e-300, true, true}, {0, false, true}, {math.Copysign(0, -1), false, true}, {-1e-300, false, false}, {math.Inf(1), false, false}, {math.NaN(), false, false}} {
		if rules.Positive(c.v) != c.more || rules.NotNegative(c.v) != c.any {
			t.Errorf("%v: %v, %v", c.v, rules.Positive(c.v), rules.NotNegative(c.v))
		}
	}
}
