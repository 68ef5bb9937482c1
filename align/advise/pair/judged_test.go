package pair_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"

	"example.com/borestack/align"
	"example.com/borestack/align/advise/pair"
	"example.com/borestack/align/record"
	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// judgedBin is every combination of two bins, judged in full.
type judgedBin struct {
	left  [][]float64     // worst margin; NaN where the box does not pass
	parts [][][2][]string // what settles it, as it is judged in brief and as its joints are looked at
}

// judgeAll judges every box of two bins in full and in brief, which agree.
func judgeAll(t *testing.T, b pair.Box, bins [][]string) judgedBin {
	t.Helper()
	var out judgedBin
	for i := range bins[0] {
		var left []float64
		var why [][2][]string
		for k := range bins[1] {
			s, o := b.Stack, b.Origin
			for n, pick := range []int{i, k} {
				if pick == 0 {
					continue
				}
				all, place := b.Stack.Candidates, b.Stack.Candidates[n].Place
				s.Candidates = all
				with, err := s.WithCandidate(place, pick-1)
				if err != nil {
					t.Fatal(err)
				}
				s, o = with, o.With(place, pick-1)
			}
			s.Candidates = nil
			verdicts, word, err := o.Judge(t.Context(), s, b.Limits)
			if err != nil {
				t.Fatal(err)
			}
			brief, refusal, err := o.Passes(t.Context(), s, b.Limits)
			if err != nil || (brief != nil) != (word == tolerance.Pass) {
				t.Errorf("%s with %s: %v in full, in brief %v, %v", bins[0][i], bins[1][k], word, brief != nil, err)
			}
			may, joint, err := o.MayPass(t.Context(), s, b.Limits)
			if err != nil || !may && word == tolerance.Pass {
				t.Errorf("%s with %s: %v in full, may pass %v, %v", bins[0][i], bins[1][k], word, may, err)
			}
			v := math.NaN()
			if word == tolerance.Pass {
				v = verdicts[0].Worst.Or(verdicts[0].Value.Or(math.NaN()))
			}
			left, why = append(left, v), append(why, [2][]string{refusal, joint})
		}
		out.left, out.parts = append(out.left, left), append(out.parts, why)
	}
	return out
}

// The pairing of larger bins is the best of all ways; what is said to settle that a box does not pass
// settles it for every box that has it.
//
// Source: every combination judged by study.Origin.Judge, every way tried.
func TestChoose_everyBoxJudged(t *testing.T) {
	settled := 0
	for seed, spread := range []float64{0.02, 0.012} {
		rec := bench(t, uint64(seed), lot{plates: 4, tails: 3, spread: spread})
		b := pair.Box{Box: boxOf(t, rec)}
		b.Stack.Candidates[0].Parts[0].Front.Pilot.Diameter += 0.0135 // seldom goes into the case
		table, err := pair.Try(t.Context(), b)
		if err != nil {
			t.Fatal(err)
		}
		p, err := table.Choose(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		all := judgeAll(t, b, table.Bins())
		most, low := ways(all.left, 0, map[int]bool{}, 0, math.Inf(1))
		if len(p.Boxes) != most || most > 0 && math.Abs(p.Boxes[0].Left-low) > 1e-9 || !p.Proved {
			t.Errorf("seed %d: %d boxes, tightest %v; every way tried: %d, %g", seed, len(p.Boxes), p.Boxes, most, low)
		}
		settled += len(all.settled(t))
	}
	if settled == 0 {
		t.Error("nothing was settled by a part: the case tests nothing")
	}
}

// Judged in brief a box passes where it does in full, with the same verdicts, whatever is left of its margin: most
// are decided by draws here, and some pass with less left than the guard band alone would have.
//
// Source: the same box judged in full.
func TestPasses_band(t *testing.T) {
	b := boxOf(t, bench(t, 3, lot{plates: 1, tails: 1, spread: 0.008}))
	uncertain(&b.Stack, tolerance.Given(tolerance.Length(0.002)))
	passes, within := 0, 0
	for pick := range 2 {
		s, o := b.Stack, b.Origin
		if pick > 0 {
			var err error
			if s, err = s.WithCandidate("plate", 0); err != nil {
				t.Fatal(err)
			}
			o = o.With("plate", 0)
		}
		s.Candidates = nil
		limits := slices.Clone(b.Limits[:1])
		all, _, err := o.Judge(t.Context(), s, limits)
		if err != nil {
			t.Fatal(err)
		}
		for _, left := range []float64{-1, 0, 0.4, 0.8, 1, 1.1, 1.2, 1.3, 1.4, 1.5, 1.6, 1.7, 2, 3.5} { // in standard uncertainties
			limits[0].Least.Value = all[0].Worst.Value - left*all[0].U
			want, word, err := o.Judge(t.Context(), s, limits)
			if err != nil {
				t.Fatal(err)
			}
			got, _, err := o.Passes(t.Context(), s, limits)
			switch pass := word == tolerance.Pass; {
			case err != nil || pass != (got != nil) || pass && !reflect.DeepEqual(got, want):
				t.Errorf("plate %d, %g left: %v, %+v in full; %+v in brief, %v", pick, left, word, want, got, err)
			case pass && left < tolerance.GuardFactor95:
				within++
				passes++
			case pass:
				passes++
			}
		}
	}
	if within == 0 || passes == 28 {
		t.Errorf("%d pass, %d of them within the guard band: the case tests little", passes, within)
	}
}

// A box does not pass whose joints go together often enough each, and too seldom all together; no part settles that.
//
// Source: the same box judged in full.
func TestMayPass_together(t *testing.T) {
	b := boxOf(t, bench(t, 3, lot{plates: 1, tails: 1, spread: 0.001}))
	b.Stack.Candidates = nil
	tight := func(front, rear tolerance.Diametral) (s align.Stack, may bool, settled []string) {
		s = b.Stack.Clone()
		s.Parts[2].Front.Pilot.Diameter += tolerance.Length(front)
		s.Parts[2].Rear.Pilot.Diameter += tolerance.Length(rear)
		may, settled, err := b.Origin.MayPass(t.Context(), s, b.Limits[:1])
		if err != nil {
			t.Fatal(err)
		}
		return s, may, settled
	}
	// By how much a register may be tighter.
	most := func(may func(by tolerance.Diametral) bool) tolerance.Diametral {
		low, high := tolerance.Diametral(0), tolerance.Diametral(0.03)
		for range 10 {
			if by := (low + high) / 2; may(by) {
				low = by
			} else {
				high = by
			}
		}
		return low
	}
	front := most(func(by tolerance.Diametral) bool { _, may, _ := tight(by, 0); return may })
	rear := most(func(by tolerance.Diametral) bool { _, may, _ := tight(0, by); return may })
	s, may, settled := tight(front, rear)
	_, word, err := b.Origin.Judge(t.Context(), s, b.Limits[:1])
	if err != nil || may || len(settled) > 0 || word == tolerance.Pass {
		t.Errorf("tighter by %v and %v: may pass %v, settled by %v; %v in full, %v", front, rear, may, settled, word, err)
	}
}

// A box that does not go together in too many draws does not pass, whatever the limit; one that always
// does is left to its limits.
func TestPasses_reasons(t *testing.T) {
	rec := bench(t, 3, lot{plates: 1, tails: 1, spread: 0.001})
	b := boxOf(t, rec)
	s := b.Stack
	s.Candidates = nil
	for _, c := range []struct {
		say   string
		by    tolerance.Diametral
		parts []string
	}{{"free", 0, nil}, {"tight", 0.0135, []string{"case", "plate"}}} {
		one := s.Clone()
		one.Parts[2].Front.Pilot.Diameter += tolerance.Length(c.by)
		_, why, err := b.Origin.Passes(t.Context(), one, b.Limits)
		if err != nil || !slices.Equal(why, c.parts) {
			t.Errorf("%s: settled by %v, %v; want %v", c.say, why, err, c.parts)
		}
	}
}

// A plate that varies little enough is not what keeps a box from passing that seldom goes together: the joint
// does, and it is found too where the plate's readings are all that is judged.
func TestPasses_notThePlate(t *testing.T) {
	b := boxOf(t, bench(t, 3, lot{plates: 1, tails: 1, spread: 0.001}))
	s := b.Stack
	s.Candidates = nil
	of := align.Output{What: align.ThicknessVariation, Of: "plate"}
	alone, _, err := s.Ranges([]align.Output{of})
	if err != nil {
		t.Fatal(err)
	}
	greatest := tolerance.Limits{Greatest: tolerance.Given(alone[0].Rest.Value + 0.004)} // 4 µm or so left
	drawn := false
	for _, by := range []tolerance.Length{0, 0.010, 0.013, 0.016} {
		one := s.Clone()
		one.Parts[2].Front.Pilot.Diameter += by
		verdicts, why, err := b.Origin.Passes(t.Context(), one, []record.Limit{{Output: of, Limits: greatest}})
		if err != nil || by == 0 && verdicts == nil || verdicts == nil && !slices.Equal(why, []string{"case", "plate"}) {
			t.Errorf("a register tighter by %v: passes %v, settled by %v, %v; want by the joint", by, verdicts != nil, why, err)
		}
		drawn = drawn || verdicts == nil
	}
	if !drawn {
		t.Error("every box passes: the case tests nothing")
	}
}

// In lots of tight and easy registers and of plates about as even as they must be, what is said to settle a box settles
// every box that has it, whether a nudge, a probe or only draws part its joint.
//
// Source: every box judged in full.
func TestPasses_settles(t *testing.T) {
	b := pair.Box{Box: boxOf(t, bench(t, 6, lot{plates: 2, tails: 1, spread: 0.001}))}
	b.Stack.Shafts, b.Stack.Pockets = nil, nil // what is judged at rest takes a tenth of the time
	at := b.Limits[1]
	at.AtRest = true
	var plates []*align.Part
	for i := range b.Stack.Candidates[0].Parts {
		plates = append(plates, &b.Stack.Candidates[0].Parts[i])
	}
	tail := &b.Stack.Candidates[1].Parts[0]
	front, rear, hole := plates[0].Front.Pilot.Diameter, plates[0].Rear.Dowels[0].Centre.X, tail.Front.Dowels[0].Centre.X
	even, _, err := b.Stack.Ranges([]align.Output{b.Limits[2].Output})
	if err != nil {
		t.Fatal(err)
	}
	r := rand.New(rand.NewPCG(6, 6))
	by := map[string]int{}
	for range 12 {
		for _, p := range plates {
			p.Front.Pilot.Diameter = front + tolerance.Length(0.02*r.Float64())
			p.Rear.Dowels[0].Centre.X = rear + tolerance.Length(0.024*r.Float64())
		}
		tail.Front.Dowels[0].Centre.X = hole - tolerance.Length(0.01*r.Float64())
		flat := b.Limits[2]
		flat.Greatest.Value = even[0].Rest.Value + 0.012*r.Float64()
		b.Limits = [][]record.Limit{{at, at, flat}, {at, flat, flat}, {flat, flat, flat}}[r.IntN(3)]
		all := judgeAll(t, b, [][]string{{"in place", "1", "2"}, {"in place", "1"}})
		for what, n := range all.settled(t) {
			by[what] += n
		}
	}
	t.Log(by)
	for _, what := range []string{"plate", "case plate", "plate tail"} {
		if by[what] == 0 {
			t.Errorf("nothing was settled by %s: the case tests nothing", what)
		}
	}
}

// settled counts what is said to settle boxes, and checks that no box passes that has it.
func (all *judgedBin) settled(t *testing.T) map[string]int {
	by := map[string]int{}
	for i := range all.left {
		for k, both := range all.parts[i] {
			for _, why := range both {
				if len(why) == 0 {
					continue
				}
				by[strings.Join(why, " ")]++
				for i2 := range all.left {
					for k2, left := range all.left[i2] {
						alike := (i2 == i || !slices.Contains(why, "plate")) && (k2 == k || !slices.Contains(why, "tail"))
						if alike && !math.IsNaN(left) {
							t.Errorf("%v settle box %d, %d, and %d, %d passes", why, i, k, i2, k2)
						}
					}
				}
			}
		}
	}
	return by
}

// A candidate that lists its features in another order is worked out like any other, only slower.
//
// Source: a second method, the same parts in the order of the part in place.
func TestTry_anotherOrder(t *testing.T) {
	var said [2]string
	for n := range said {
		b := boxOf(t, bench(t, 6, lot{plates: 1, tails: 1, cases: 1, spread: 0.004}))
		for _, c := range b.Stack.Candidates {
			if c.Place == "case" && n == 1 {
				slices.Reverse(c.Parts[0].Front.Dowels)
				if _, err := b.Stack.Swaps("", nil); !errors.Is(err, fault.ErrConflict) {
					t.Errorf("a candidate in another order: %v", err)
				}
			}
		}
		table, err := pair.Try(t.Context(), pair.Box{Box: b})
		if err != nil {
			t.Fatal(err)
		}
		said[n] = written(t, table)
	}
	if said[0] != said[1] {
		t.Errorf("in order:\n%s\nin another:\n%s", said[0], said[1])
	}
}
