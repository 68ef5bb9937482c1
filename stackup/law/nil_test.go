package law_test

import (
	"errors"
	"testing"

	"example.com/borestack/fault"
	"example.com/borestack/stackup/law"
)

// own is a law of the user's.
type own struct{ law.Law }

// A law made of no law, or of a nil pointer to one, is an error where it is made, not a panic where it is drawn.
func TestConstructors_nilLaw(t *testing.T) {
	var pointer *own
	for _, l := range []law.Law{nil, pointer} {
		for name, f := range map[string]func() error{
			"truncate": func() error { _, err := law.Truncate(l, 0, 1); return err },
			"mixture":  func() error { _, err := law.NewMixture([]law.Law{l}, []float64{1}); return err },
			"shared":   func() error { _, err := law.NewShared([]law.Law{l}, [][]float64{{1}}); return err },
		} {
			if err := f(); !errors.Is(err, fault.ErrOutOfRange) {
				t.Errorf("%s of %T: %v", name, l, err)
			}
		}
	}
}
