package stackup_test

import (
	"context"
	"testing"

	"example.com/borestack/stackup"
	"example.com/borestack/stackup/internal/stacktest"
	"example.com/borestack/stackup/rare"
)

// Progress only grows, from one goroutine at a time, and ends at all samples.
func TestSettings_Progress(t *testing.T) {
	s := stacktest.Limited()
	for name, f := range map[string]func(set stackup.Settings) error{
		"indices": func(set stackup.Settings) error {
			_, err := s.SobolIndices(context.Background(), set)
			return err
		},
		"how far": func(set stackup.Settings) error {
			_, err := stackup.HowFar(context.Background(), spread(s, 0), stackup.Question{From: 0.5, To: 4, Share: 0.99}, set)
			return err
		},
		"rare": func(set stackup.Settings) error {
			_, err := rare.Failures(context.Background(), s, 0, set)
			return err
		},
	} {
		var last stackup.Progress
		reports := 0
		err := f(stackup.Settings{Samples: 20 * stackup.BlockSize, Workers: 3, Progress: func(p stackup.Progress) {
			if p.Done < last.Done || p.Done > p.Samples {
				t.Errorf("%s: %+v after %+v", name, p, last)
			}
			last = p
			reports++
		}})
		if err != nil || reports == 0 || name != "how far" && last.Done != last.Samples {
			t.Errorf("%s: %v, %d reports, last %+v", name, err, reports, last)
		}
	}
}
