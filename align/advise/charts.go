package advise

import (
	"fmt"
	"math"
	"slices"

	"example.com/borestack/align"
	"example.com/borestack/align/study"
	"example.com/borestack/fault"
	"example.com/borestack/internal/rules"
	"example.com/borestack/tolerance"
)

// EndPlay is the play wanted after shimming; a preload is a negative play.
type EndPlay struct {
	Least, Greatest tolerance.Length
}

// ShimStock is what is on the shelf.
type ShimStock struct {
	Sizes  []tolerance.Length
	Pieces int // most shims in one pack; 0: one
}

// ShimChoice is the pack that brings the play nearest the middle of its limits.
type ShimChoice struct {
	Window [2]tolerance.Length // least and greatest thickness of the pack that the limits allow
	Pack   []tolerance.Length  // thickest first; none: no shim
	Sum    tolerance.Length
	Play   tolerance.Length // that results
	U      tolerance.Length // its standard uncertainty, that of the gap
	Agrees float64          // probability that a re-measurement with the same gauge finds the play within its limits
}

// mostPieces and mostPacks bound the packs that are tried.
const (
	mostPieces = 4
	mostPacks  = 200_000
)

// ChooseShim picks from the stock what fills a measured gap so that the play comes nearest the middle of its limits: gap less pack, within the limits if any pack is; of packs as near, the one of fewer pieces, then the thinner one. u is the standard uncertainty of the gap.
//
// A gap too small for the least play even without a shim has a negative window: [ErrNotValid], "reading not valid, measure again". A window that no pack meets is [ErrNotPossible], and the nearest pack is returned with it.
//
// Source: service manuals' shim tables, checked in the test; the re-measurement is normal about the play with √2 u: the gap's error and the gauge's again (JCGM 106:2012, 7.2, for the probability between limits).
func ChooseShim(gap, u tolerance.Length, want EndPlay, stock ShimStock) (ShimChoice, error) {
	if err := want.check(gap, u, stock); err != nil {
		return ShimChoice{}, err
	}
	out := ShimChoice{Window: [2]tolerance.Length{gap - want.Greatest, gap - want.Least}, U: u}
	if out.Window[1] < -rounding {
		return out, fmt.Errorf("shim: gap %v for a play of at least %v: window %v to %v: %w", gap, want.Least, out.Window[0], out.Window[1], ErrNotValid)
	}
	best := math.Inf(1)
	for _, p := range stock.packs() {
		sum := total(p)
		off := math.Abs(float64(gap - sum - (want.Least+want.Greatest)/2))
		if !out.holds(sum) {
			off += 1e6 // any pack within the limits goes before one outside
		}
		tie := off < best+rounding && (len(p) < len(out.Pack) || len(p) == len(out.Pack) && sum < out.Sum-rounding)
		if off < best-rounding || tie {
			best, out.Pack, out.Sum = math.Min(best, off), p, sum
		}
	}
	out.Play = gap - out.Sum
	inside := out.holds(out.Sum)
	limits := tolerance.Limits{Least: tolerance.Given(float64(want.Least)), Greatest: tolerance.Given(float64(want.Greatest))}
	switch {
	case u > 0:
		out.Agrees = within(limits, float64(out.Play), math.Sqrt2*float64(u))
	case inside:
		out.Agrees = 1
	}
	if !inside {
		return out, fmt.Errorf("shim: no pack in stock is from %v to %v; the nearest, %v, leaves %v: %w", max(out.Window[0], 0), out.Window[1], out.Sum, out.Play, ErrNotPossible)
	}
	return out, nil
}

// holds reports whether a pack of that thickness is within the window.
func (s *ShimChoice) holds(sum tolerance.Length) bool {
	return sum >= s.Window[0]-rounding && sum <= s.Window[1]+rounding
}

// farthest is the least that a length with a sign may be: nothing in a box is as long.
const farthest = -100 * tolerance.Metre

// What is rounding alone.
const (
	rounding = 1e-9 // mm: a difference of sizes
	whole    = 1e-9 // of one: what a whole number of steps, or of readings, may be off by
)

func (e EndPlay) check(gap, u tolerance.Length, stock ShimStock) error {
	var wrong rules.List
	finite(&wrong, "gap", gap, farthest)
	finite(&wrong, "least", e.Least, farthest)
	finite(&wrong, "greatest", e.Greatest, farthest)
	finite(&wrong, "u", u, 0)
	wrong.Need(len(wrong) > 0 || e.Least <= e.Greatest, "least", e.Least, "at most the greatest play, "+e.Greatest.String(), fault.ErrConflict)
	wrong.Need(stock.Pieces >= 0 && stock.Pieces <= mostPieces, "pieces", stock.Pieces, fmt.Sprintf("0 to %d", mostPieces), fault.ErrOutOfRange)
	for i, s := range stock.Sizes {
		finite(&wrong, fmt.Sprintf("sizes/%d", i), s, rounding)
	}
	packs := 1.0
	for k := range max(1, min(stock.Pieces, mostPieces)) {
		packs *= float64(len(stock.Sizes)+k) / float64(k+1)
	}
	wrong.Need(packs <= mostPacks, "sizes", len(stock.Sizes), fmt.Sprintf("fewer sizes or pieces: at most %d packs", mostPacks), fault.ErrTooMany)
	return wrong.Err()
}

// packs lists every pack of the stock, the empty one first, each thickest first.
func (s ShimStock) packs() [][]tolerance.Length {
	sizes := slices.Sorted(slices.Values(s.Sizes))
	slices.Reverse(sizes)
	out := [][]tolerance.Length{nil}
	var add func(pack []tolerance.Length, from int)
	add = func(pack []tolerance.Length, from int) {
		if len(pack) == max(1, s.Pieces) {
			return
		}
		for i := from; i < len(sizes); i++ {
			next := append(slices.Clip(pack), sizes[i])
			out = append(out, next)
			add(next, i)
		}
	}
	add(nil, 0)
	return out
}

// ShimFor chooses a shim for a chain of the box whose gap it fills: the gap from the whole model, its uncertainty from the readings, its limits from the chain.
func (b Box) ShimFor(chain string, stock ShimStock) (ShimChoice, error) {
	i := slices.IndexFunc(b.Stack.Chains, func(c align.Chain) bool { return c.Name == chain })
	if i < 0 {
		return ShimChoice{}, fault.At("chain", fmt.Sprintf("%q", chain), "a chain of the stack", fault.ErrUnknownName)
	}
	c := &b.Stack.Chains[i]
	if !c.Least.Given || !c.Greatest.Given {
		return ShimChoice{}, fault.At("chain "+chain, "", "both a least and a greatest gap", fault.ErrMissing)
	}
	o := []align.Output{{What: align.ChainLength, Of: chain}}
	r, _, err := b.Stack.Ranges(o)
	if err != nil {
		return ShimChoice{}, err
	}
	u, err := study.Uncertainties(b.Stack, study.GaugeSources(&b.Stack), o)
	if err != nil {
		return ShimChoice{}, err
	}
	return ChooseShim(tolerance.Length(r[0].Rest.Value), tolerance.Length(u[0]), EndPlay{Least: c.Least.Value, Greatest: c.Greatest.Value}, stock)
}

// Split is a shim pack shared out between the two ends of a shaft.
type Split struct{ Total, Side1, Side2 tolerance.Length }

// SplitShims shares the shims of a shaft of length L between two case halves of depths d1 and d2, so that the shaft sits where the halves meet: total d1 + d2 + preload - L, side 1 d1 + preload/2 - L/2, side 2 the rest. step is what sides 1 and 2 are rounded down to; 0 leaves them.
//
// Source: a maker's workshop manual, checked in the test.
func SplitShims(d1, d2, length, preload, step tolerance.Length) (Split, error) {
	var wrong rules.List
	finite(&wrong, "d1", d1, farthest)
	finite(&wrong, "d2", d2, farthest)
	finite(&wrong, "length", length, farthest)
	finite(&wrong, "preload", preload, farthest)
	if finite(&wrong, "step", step, 0); len(wrong) > 0 {
		return Split{}, wrong.Err()
	}
	s := Split{Total: d1 + d2 + preload - length, Side1: d1 + preload/2 - length/2}
	s.Side2 = s.Total - s.Side1
	if s.Side1 < 0 || s.Side2 < 0 {
		return s, fmt.Errorf("shims of %v and %v: %w", s.Side1, s.Side2, ErrNotValid)
	}
	if step > 0 { // a size that is a multiple but for rounding stays
		for _, v := range []*tolerance.Length{&s.Side1, &s.Side2} {
			*v = tolerance.Length(math.Floor(float64(*v/step)+whole)) * step
		}
	}
	return s, nil
}

// DowelChoice is the offset dowel that brings a bore nearest to true.
type DowelChoice struct {
	Step     tolerance.Offset // offset of one end from the other, as sold; 0: leave the straight dowels
	Residual tolerance.TIR    // what the dial reads afterwards with perfect aim
}

// DowelStep chooses, for a bore that reads tir, the offset dowel in stock that leaves the least reading: the one nearest half the reading, the smaller of two as near. Nothing is fitted while the reading is within accept.
//
// It returns [ErrNotPossible] when even the best leaves more than accept: the housing is to be replaced or bored.
//
// Source: a maker's chart of offset dowels by TIR, checked in the test; offset is half the TIR (geometry).
func DowelStep(tir, accept tolerance.TIR, stock []tolerance.Offset) (DowelChoice, error) {
	var wrong rules.List
	finite(&wrong, "tir", tolerance.Length(tir), 0)
	finite(&wrong, "accept", tolerance.Length(accept), 0)
	for i, s := range stock {
		finite(&wrong, fmt.Sprintf("stock/%d", i), s.Length(), 0)
	}
	if err := wrong.Err(); err != nil {
		return DowelChoice{}, err
	}
	best := DowelChoice{Residual: tir}
	if tir <= accept {
		return best, nil
	}
	for _, s := range stock {
		left := tolerance.TIR(math.Abs(float64(tir) - 2*float64(s)))
		if left < best.Residual-rounding || (left < best.Residual+rounding && s < best.Step) {
			best = DowelChoice{s, left}
		}
	}
	if best.Residual > accept+rounding {
		return best, fmt.Errorf("offset dowels: the best in stock (%v) leaves %v, more than %v: %w", best.Step, best.Residual, accept, ErrNotPossible)
	}
	return best, nil
}

// Corner is a dial reading at one corner of a face, positive where the face is farther away.
type Corner struct {
	At      align.Vec2
	Reading tolerance.Length
}

// CornerShim is what to put at one corner.
type CornerShim struct {
	Raw   tolerance.Length // highest reading less this one: it also bends the part flat
	Plane tolerance.Length // by the best plane alone: it tilts the part and bends nothing
	Left  tolerance.Length // what no tilt takes out: the reading less the plane
}

// CornerShims says what to put at each corner of a face that was dialled there: by the rule of the trade, highest reading less this one, and by the best plane through the readings, which tilts the part without bending it. What the plane leaves is warp: no shim should bend a part by it.
//
// Source: common practice, no published source (the rule; a maker's worked example is checked in the test); the plane by least squares.
func CornerShims(corners []Corner) ([]CornerShim, error) {
	var wrong rules.List
	wrong.Need(len(corners) >= 3, "corners", len(corners), "at least three", fault.ErrOutOfRange)
	face := &align.Face{}
	highest := math.Inf(-1)
	for i, c := range corners {
		for _, v := range []tolerance.Length{c.At.X, c.At.Y, c.Reading} {
			finite(&wrong, fmt.Sprintf("corners/%d", i), v, farthest)
		}
		face.Points = append(face.Points, align.Vec3{X: c.At.X, Y: c.At.Y, Z: c.Reading})
		highest = math.Max(highest, float64(c.Reading))
	}
	if err := wrong.Err(); err != nil {
		return nil, err
	}
	plane, err := planeOf(&align.Part{Name: "face", Rear: face}, true)
	if err != nil {
		return nil, err
	}
	top := math.Inf(-1)
	for _, c := range corners {
		top = math.Max(top, float64(plane.at(c.At.X, c.At.Y)))
	}
	out := make([]CornerShim, len(corners))
	for i, c := range corners {
		at := plane.at(c.At.X, c.At.Y)
		out[i] = CornerShim{Raw: tolerance.Length(highest) - c.Reading, Plane: tolerance.Length(top) - at, Left: c.Reading - at}
	}
	return out, nil
}
