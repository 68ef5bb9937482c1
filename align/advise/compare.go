package advise

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/align/study"
	"example.com/borestack/fault"
	"example.com/borestack/internal/rules"
	"example.com/borestack/tolerance"
)

// Pick is the part that takes a place: a candidate, or, with Index -1, the one measured in place.
type Pick struct {
	Place string
	Name  string
	Index int
}

// Fit is one way to put the parts together, judged. The zero value is not meaningful.
type Fit struct {
	Picks   []Pick
	Stack   align.Stack
	Result  *Judgement
	Governs string // support or pocket with the largest share; empty without shafts
	// Standing is what it is ranked by: its verdict, and what is left of the margin, or without shafts of the limit compared by.
	Standing study.Standing
	effect   map[string]float64 // of each reading on what is left
}

// Difference is by how much one fit is better than another, and whether the gauge can tell. What both share, such as the readings of a case that both are put in, cancels.
type Difference struct {
	Better, Worse int        // indices into Fits
	By            float64    // how much more is left, in the unit of what is compared; below 0 only where the verdicts decide
	ByVerdict     bool       // the verdicts decide which is better, whatever is left
	U             float64    // standard uncertainty of the difference
	Interval      [2]float64 // 95 %
	Telling       bool       // the interval leaves zero out
	Needed        float64    // standard uncertainty of the difference at which it would
}

// Comparison ranks every way to put the candidates together. The zero value is empty.
type Comparison struct {
	Title       string
	Places      []string
	Of          align.Output // what differences are of: the margin at the worst float, mm, or without shafts the output of the first limit
	Fits        []Fit        // best first
	Differences []Difference // each fit from the one ranked before it
	Refused     []Refusal
}

// mostFits bounds the ways that are tried.
const mostFits = 400

// coverage95 is the half-width of a 95 % interval of a normal distribution in standard deviations.
//
// Source: JCGM 100:2008, table G.1.
const coverage95 = 1.96

// Compare puts every candidate of the places named in its place, in all combinations, and ranks the results as [study.Standing] does; of those that stand alike, the parts measured in place come first. No place named: all that have candidates.
//
// A box that cannot be evaluated, because a part does not go there at all, is in Refused. An error is a fault of the box, or the context's.
func Compare(ctx context.Context, b Box, places ...string) (*Comparison, error) {
	out := &Comparison{Title: b.Stack.Title, Places: places}
	if len(places) == 0 {
		out.Places = spell.Mapped(b.Stack.Candidates, func(c align.Candidates) string { return c.Place })
	}
	if err := out.chooseOutput(b); err != nil {
		return nil, err
	}
	ways, err := out.ways(&b.Stack)
	if err != nil {
		return nil, err
	}
	for _, w := range ways {
		f, err := out.fit(ctx, b, w)
		switch {
		case ctx.Err() != nil:
			return nil, stopped(ctx)
		case errors.Is(err, fault.ErrNotConverging):
			return nil, err
		case err != nil:
			out.Refused = append(out.Refused, Refusal{Swap, pickNames(w), err})
		default:
			out.Fits = append(out.Fits, *f)
		}
	}
	if len(out.Fits) == 0 {
		return nil, fmt.Errorf("nothing goes together: %w", out.Refused[0].Err)
	}
	slices.SortStableFunc(out.Fits, func(x, y Fit) int { return x.Standing.Compare(y.Standing) })
	out.differ()
	return out, nil
}

// ways are all ways to fill the places, each first with the part measured in place.
func (c *Comparison) ways(s *align.Stack) ([][]Pick, error) {
	out := [][]Pick{nil}
	for k, place := range c.Places {
		i := slices.IndexFunc(s.Candidates, func(q align.Candidates) bool { return q.Place == place })
		var wrong rules.List
		wrong.Need(i >= 0, "places", strconv.Quote(place), "a place of the stack that has candidates", fault.ErrUnknownName)
		wrong.Need(!slices.Contains(c.Places[:k], place), "places", strconv.Quote(place), "each place once", fault.ErrRepeated)
		if len(wrong) > 0 {
			return nil, wrong.First()
		}
		var next [][]Pick
		for _, w := range out {
			next = append(next, append(slices.Clone(w), Pick{Place: place, Name: place, Index: -1}))
			for n, p := range s.Candidates[i].Parts {
				next = append(next, append(slices.Clone(w), Pick{Place: place, Name: p.Name, Index: n}))
			}
		}
		if out = next; len(out) > mostFits {
			return nil, fault.At("places", fmt.Sprintf("%d combinations", len(out)), fmt.Sprintf("at most %d: name fewer places", mostFits), fault.ErrTooMany)
		}
	}
	return out, nil
}

// chooseOutput takes the margin, or the output of the first limit on a number as measured, or of any limit as measured.
func (c *Comparison) chooseOutput(b Box) error {
	if len(b.Stack.Shafts) > 0 {
		c.Of = align.Output{What: align.Margin}
		return nil
	}
	for _, number := range []bool{true, false} {
		for _, l := range b.Limits {
			if l.State == "" && (!number || l.Least.Given || l.Greatest.Given) {
				c.Of = l.Output
				return nil
			}
		}
	}
	return fault.At("limits", "", "a shaft line or a limit to compare by", fault.ErrMissing)
}

// fit puts one combination together.
func (c *Comparison) fit(ctx context.Context, b Box, picks []Pick) (*Fit, error) {
	own := map[string]string{} // what the part in a place really is
	var swaps []Correction
	for _, p := range picks {
		if p.Index >= 0 {
			own[p.Place] = p.Name
			swaps = append(swaps, Correction{Kind: Swap, Place: p.Place, Part: p.Index})
		}
	}
	s, err := applied(b.Stack, swaps)
	if err != nil {
		return nil, err
	}
	f := &Fit{Picks: picks, Stack: s}
	if f.Result, err = (Box{s, b.Limits, originOf(b.Origin, swaps)}).Judge(ctx); err != nil {
		return nil, err
	}
	if l := f.Result.Assembly.Line; l != nil && len(l.Governs) > 0 {
		f.Governs = l.Governs[0].Name
	}
	if err := stopped(ctx); err != nil {
		return nil, err
	}
	sources := study.GaugeSources(&f.Stack)
	e, err := study.GaugeEffects(f.Stack, sources, []align.Output{c.Of})
	if err != nil {
		return nil, err
	}
	toward := c.stand(f)
	f.effect = map[string]float64{}
	for i, s := range sources {
		name := s.Part
		if other, swapped := own[name]; swapped {
			name = "candidate " + other
		}
		f.effect[name+": "+s.Key] = toward * e[0][i]
	}
	return f, nil
}

// stand sets how a fit stands, and returns 1 where more of what is compared leaves more, -1 where it leaves less.
func (c *Comparison) stand(f *Fit) (toward float64) {
	f.Standing = study.Standing{Word: f.Result.Word}
	if m, ok := f.Result.WorstMargin(); ok {
		f.Standing.Left = tolerance.Given(float64(m))
		return 1
	}
	i := study.Compared(f.Result.Verdicts)
	if i < 0 || f.Result.Margin != nil {
		return 1
	}
	v := &f.Result.Verdicts[i]
	f.Standing.Left = v.Room
	l := &v.Limit
	if l.Least.Given && (!l.Greatest.Given || worstOf(v).Value < (l.Least.Value+l.Greatest.Value)/2) {
		return 1
	}
	return -1
}

// value is what is shown of a fit: the margin at the worst float, or the worst end of the output.
func (c *Comparison) value(f *Fit) tolerance.Optional[float64] {
	if f.Result.Margin != nil {
		return f.Standing.Left
	}
	for i := range f.Result.Verdicts {
		if v := &f.Result.Verdicts[i]; v.Limit.Output == c.Of && v.Limit.State == "" {
			return worstOf(v)
		}
	}
	return tolerance.Optional[float64]{}
}

// differ compares each fit with the one before it. Sensitivities are those at the worst of the float.
//
// Source: JCGM 100:2008, 5.2.2 (what is common to both is fully correlated and subtracts before squaring).
func (c *Comparison) differ() {
	for i := 1; i < len(c.Fits); i++ {
		better, worse := &c.Fits[i-1], &c.Fits[i]
		x, y := better.Standing, worse.Standing
		if !x.Left.Given || !y.Left.Given {
			continue
		}
		d := Difference{Better: i - 1, Worse: i, By: x.Left.Value - y.Left.Value, ByVerdict: x.ByVerdict(y)}
		apart := maps.Clone(better.effect)
		for key, e := range worse.effect {
			apart[key] -= e
		}
		for _, key := range slices.Sorted(maps.Keys(apart)) {
			d.U = math.Hypot(d.U, apart[key])
		}
		d.Interval = [2]float64{d.By - coverage95*d.U, d.By + coverage95*d.U}
		d.Telling = d.Interval[0] > 0 || d.Interval[1] < 0
		d.Needed = math.Abs(d.By) / coverage95
		c.Differences = append(c.Differences, d)
	}
}

func pickNames(picks []Pick) string { return strings.Join(spell.Mapped(picks, Pick.label), " with ") }

// label names a pick: the part measured in place has no name but its place.
func (p Pick) label() string {
	if p.Index < 0 {
		return p.Place + " (in place)"
	}
	return p.Name
}
