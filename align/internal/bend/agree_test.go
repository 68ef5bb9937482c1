package bend

import (
	"math"
	"testing"
)

// A residual that is not small is an error, and so is none at all.
func TestAgree(t *testing.T) {
	for _, c := range []struct {
		residual float64
		stands   bool
	}{{0, true}, {1e-13, true}, {1e-7, true}, {2e-6, false}, {0.37, false}, {math.Inf(1), false}, {math.NaN(), false}} {
		if err := agree(c.residual); (err == nil) != c.stands {
			t.Errorf("residual %v: %v", c.residual, err)
		}
	}
}
