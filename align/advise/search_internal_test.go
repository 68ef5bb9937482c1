package advise

import (
	"context"
	"testing"

	"example.com/borestack/align"
	"example.com/borestack/tolerance"
)

// A search makes no candidate more when its context has ended: neither of sizes and directions nor of what is in stock,
// wherever it is, coarse or fine.
func TestRater_stopsBeforeTheNextCandidate(t *testing.T) {
	box := Box{Stack: align.Stack{Parts: []align.Part{{Name: "case", Bores: []align.Bore{{Name: "a"}, {Name: "b", Centre: align.Vec3{Z: 100}}}}}}}
	box.Stack.Shafts = []align.Shaft{{Name: "m", Supports: []align.Support{{Bore: "case/a", Clearance: 0.1}, {Bore: "case/b", Clearance: 0.1}}}}
	for _, stop := range []int{0, 1, 7, 60, 90} { // the search of sizes makes 60 coarse candidates of 36,000, then fine ones
		for name, search := range map[string]func(r *rater, made func() (align.Stack, error)){
			"vector": func(r *rater, made func() (align.Stack, error)) {
				r.vector(1, 0.01, 1*tolerance.Degree, func(tolerance.Length, tolerance.Angle) (align.Stack, error) { return made() })
			},
			"choice": func(r *rater, made func() (align.Stack, error)) {
				c := choice{rater: r}
				for range 1000 {
					c.take(0, made)
				}
			},
		} {
			ctx, cancel := context.WithCancel(context.Background())
			if stop == 0 {
				cancel()
			}
			n := 0
			search(newRater(ctx, box, &Judgement{}), func() (align.Stack, error) {
				if n++; n == stop {
					cancel()
				}
				s := box.Stack.Clone()
				s.Parts[0].Bores[0].Centre.X = 1e-4 * tolerance.Length(n) // each better or worse than the last
				return s, nil
			})
			if n != stop {
				t.Errorf("%s made %d candidates, and its context ended at the %dth", name, n, stop)
			}
			cancel()
		}
	}
}
