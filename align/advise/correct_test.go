package advise_test

import (
	"bytes"
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"os"
	"strings"
	"testing"

	"example.com/borestack/align"
	"example.com/borestack/align/advise"
	"example.com/borestack/align/record"
	"example.com/borestack/align/study"
	"example.com/borestack/fault"
	. "example.com/borestack/tolerance"
)

func launch(t testing.TB) (*record.Record, advise.Box) {
	t.Helper()
	return boxFrom(t, "../../examples/driveline/harbour-launch.json")
}

func boxFrom(t testing.TB, path string) (*record.Record, advise.Box) {
	t.Helper()
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	rec, err := record.Decode(bytes.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	b, err := advise.FromRecord(rec)
	if err != nil {
		t.Fatal(err)
	}
	return rec, b
}

// A box judged here and its record run as a study give the same verdicts, number for number, the candidates' too.
func TestBox_Judge_agreesWithStudy(t *testing.T) {
	rec, b := launch(t)
	res, err := study.Run(t.Context(), rec)
	if err != nil {
		t.Fatal(err)
	}
	compare := func(name string, want []study.Verdict, word Decision, b advise.Box) {
		j, err := b.Judge(context.Background())
		if err != nil {
			t.Fatal(name, err)
		}
		if j.Word != word {
			t.Errorf("%s: %v, study says %v", name, j.Word, word)
		}
		for i, v := range want {
			g := j.Verdicts[i]
			if g.Word != v.Word || math.Abs(g.Room.Value-v.Room.Value) > 1e-9 || math.Abs(g.U-v.U) > 1e-12 || math.Abs(g.Value.Value-v.Value.Value) > 1e-12 || g.Worst.Given != v.Worst.Given {
				t.Errorf("%s, limit %d: %+v, study says %+v", name, i, g, v)
			}
		}
	}
	compare("as measured", res.Verdicts, res.Word, b)
	for n, c := range res.Candidates {
		s, err := advise.Correction{Kind: advise.Swap, Place: c.Place, Part: n}.Apply(b.Stack)
		if err != nil {
			t.Fatal(err)
		}
		compare(c.Name, c.Verdicts, c.Word, advise.Box{Stack: s, Limits: b.Limits})
	}
}

// lineOnly holds the margin alone against a limit that it does not reach, so that the best correction is the one with the most margin.
func lineOnly(b advise.Box) advise.Box {
	b.Limits = nil
	b.Stack.Candidates = nil
	return b
}

func marginOf(t testing.TB, s align.Stack) float64 {
	t.Helper()
	r, _, err := s.Ranges([]align.Output{{What: align.Margin}})
	if err != nil {
		t.Fatal(err)
	}
	return r[0].Rest.Value
}

// The best single correction is that of brute force: every setting of a tapered shim and of a sleeve, set on the stack itself. Where the lattice is fine, the search finds the top without trying all: within a tenth of a micrometre.
func TestCorrect_bestEqualsBruteForce(t *testing.T) {
	const most = 0.2
	for _, c := range []struct {
		step  Length
		clock Angle
		tol   float64
	}{{0.05, 30 * Degree, 1e-9}, {0.01, 5 * Degree, 1e-4}} {
		for seed := range uint64(3) {
			if seed > 0 && (testing.Short() || !thorough) {
				break
			}
			b := lineOnly(randomBox(rand.New(rand.NewPCG(7, seed))))
			shop := advise.Shop{Step: c.step, ClockStep: c.clock, Works: []advise.Work{{Kind: advise.Sleeve, Place: "plate/bearing", Most: most}, {Kind: advise.TaperShim, Place: "two", Most: most, Across: 200}}}
			a, err := advise.Correct(context.Background(), b, shop)
			if err != nil {
				t.Fatal(err)
			}
			brute := map[advise.Kind]float64{advise.TaperShim: math.Inf(-1), advise.Sleeve: math.Inf(-1)}
			for n := 1; Length(n)*c.step <= most+1e-9; n++ {
				for k := range int(math.Round(2 * math.Pi / float64(c.clock))) {
					size := float64(n) * float64(c.step)
					sn, cs := math.Sincos(float64(k) * float64(c.clock))
					shimmed := b.Stack
					shimmed.Joints = append([]align.Joint(nil), b.Stack.Joints...)
					shimmed.Joints[1].Gasket = &align.Gasket{Thickness: 0.25 + Length(size/2), Slope: align.Slope{X: size / 200 * sn, Y: size / 200 * cs}}
					brute[advise.TaperShim] = math.Max(brute[advise.TaperShim], marginOf(t, shimmed))
					if b.Stack.Parts[2].Front.Pilot.Sweep != nil {
						continue // a register swept about the bearing: the library's own business
					}
					bored := b.Stack
					bored.Parts = append([]align.Part(nil), b.Stack.Parts...)
					bored.Parts[2].Bores = append([]align.Bore(nil), b.Stack.Parts[2].Bores...)
					bored.Parts[2].Bores[0].Centre.X += Length(size * sn)
					bored.Parts[2].Bores[0].Centre.Y += Length(size * cs)
					brute[advise.Sleeve] = math.Max(brute[advise.Sleeve], marginOf(t, bored))
				}
			}
			found := 0
			for i := range a.Options {
				o := &a.Options[i]
				if len(o.Corrections) != 1 {
					continue
				}
				found++
				m, _ := o.After.WorstMargin()
				if want := brute[o.Corrections[0].Kind]; !math.IsInf(want, -1) && math.Abs(float64(m)-want) > c.tol {
					t.Errorf("seed %d, step %v: %v: margin %v, brute force %v", seed, c.step, o.Corrections[0].Kind, float64(m), want)
				}
			}
			if found != 2 {
				t.Errorf("seed %d: %d corrections, refused %v", seed, found, a.Refused)
			}
		}
	}
}

// everything is a shop that may do all of it to a randomBox.
func everything() advise.Shop {
	return advise.Shop{
		Push: true, Swap: true, Step: 0.02, ClockStep: 30 * Degree, Pairs: 1,
		Works: append(cuts(advise.Work{Place: "plate/rear", Most: 0.3, Thin: 0.01, Least: Given[Length](13.7), Across: 184}), []advise.Work{
			{Kind: advise.TurnOver, Place: "plate"},
			{Kind: advise.Reclock, Place: "plate", Holes: 6, Redrill: true},
			{Kind: advise.Sleeve, Place: "tail/bush", Most: 0.2, Across: 2},
			{Kind: advise.Bush, Place: "tail/bush", Sizes: []Length{0.05, 0.1}},
			{Kind: advise.Shim, Place: "two", Sizes: []Length{0.1, 0.2, 0.4}, Replace: true},
			{Kind: advise.TaperShim, Place: "two", Most: 0.15, Replace: true},
			{Kind: advise.OffsetDowels, Place: "one", Sizes: []Length{0.007 * Inch, 0.014 * Inch, 0.021 * Inch}},
			{Kind: advise.Redowel, Place: "one", Most: 0.3, Across: 13},
		}...),
	}
}

// cuts are both ways to cut a face.
func cuts(w advise.Work) []advise.Work {
	wedge := w
	w.Kind, wedge.Kind = advise.Skim, advise.SkimWedge
	return []advise.Work{w, wedge}
}

// No correction makes another accepted output fail unsaid; the one that is called best makes none worse, and none is better than it by verdict.
func TestCorrect_nothingFailsUnsaid(t *testing.T) {
	said, seeds := 0, uint64(6)
	if testing.Short() || !thorough {
		seeds = 1
	}
	for seed := range seeds {
		b := randomBox(rand.New(rand.NewPCG(11, seed)))
		a, err := advise.Correct(context.Background(), b, everything())
		if err != nil {
			t.Fatal(err)
		}
		before, err := b.Judge(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		for i := range a.Options {
			o := &a.Options[i]
			after, err := advise.Box{Stack: o.Stack, Limits: b.Limits}.Judge(context.Background())
			if err != nil {
				t.Fatal(err)
			}
			if len(o.Corrections) > 0 {
				w, err := a.Sheet(context.Background(), o)
				if err != nil {
					t.Fatal(err)
				}
				worse := 0
				for _, e := range w.Effects {
					if e.WordAfter > e.WordBefore || e.Strained {
						worse++
					}
				}
				var text bytes.Buffer
				if err := w.Page(Millimetres).Text(&text); err != nil || strings.Count(text.String(), "WORSE: ") != worse {
					t.Errorf("seed %d: %d things get worse, and the sheet says\n%s", seed, worse, text.String())
				}
			}
			for n, v := range after.Verdicts {
				if v.Word <= before.Verdicts[n].Word {
					continue
				}
				found := false
				for _, e := range o.Worse() {
					found = found || e.Output == v.Limit.Output
				}
				said++
				if !found {
					t.Errorf("seed %d, %v: %v went from %v to %v and nothing says so", seed, o.Corrections, v.Limit.Output, before.Verdicts[n].Word, v.Word)
				}
			}
			if i > 0 && o.After.Word < a.Options[i-1].After.Word {
				t.Errorf("seed %d: option %d has a milder verdict than the one before it", seed, i)
			}
		}
		if best := a.Best(); best != nil && len(best.Worse()) > 0 {
			t.Errorf("seed %d: the best makes %v worse", seed, best.Worse())
		}
	}
	if said == 0 {
		t.Error("nothing got worse in any of them: the test shows nothing")
	}
}

// A skim keeps the part as thick as it must stay, takes no more than the stock, and is refused when nobody says how thin the part may be.
func TestCorrect_skim(t *testing.T) {
	b := randomBox(rand.New(rand.NewPCG(3, 1)))
	shop := advise.Shop{Step: 0.01, ClockStep: 15 * Degree, Works: cuts(advise.Work{Place: "plate/rear", Most: 0.2, Thin: 0.02, Across: 184})}
	a, err := advise.Correct(context.Background(), b, shop)
	if err != nil {
		t.Fatal(err)
	}
	if len(a.Refused) != 2 || !errors.Is(a.Refused[0].Err, advise.ErrNoThickness) || !errors.Is(a.Refused[1].Err, advise.ErrNoThickness) || len(a.Options) != 1 {
		t.Errorf("without a least thickness: %v, %d options", a.Refused, len(a.Options))
	}
	const least = 13.85
	atLeast := func(least Length) {
		shop.Works[0].Least, shop.Works[1].Least = Given(least), Given(least)
	}
	atLeast(least)
	if a, err = advise.Correct(context.Background(), b, shop); err != nil {
		t.Fatal(err)
	}
	if len(a.Options) != 3 {
		t.Fatalf("%d options, refused %v", len(a.Options), a.Refused)
	}
	for i := range a.Options {
		o := &a.Options[i]
		if len(o.Corrections) == 0 {
			continue
		}
		w, err := a.Sheet(context.Background(), o)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range w.Orders()[0].Marks {
			if m.Finish < least-1e-9 || m.Thinner < least || m.Amount > 0.2+1e-9 || m.Amount < 0.02-1e-9 || math.Abs(float64(m.Before-m.Amount-m.Finish)) > 1e-9 {
				t.Errorf("%v: mark %+v", o.Corrections[0].Kind, m)
			}
		}
		var text, markdown bytes.Buffer
		if err := errors.Join(w.Page(Millimetres).Text(&text), w.Page(Inches).Markdown(&markdown)); err != nil {
			t.Fatal(err)
		}
		for _, word := range []string{"Datum: its front face", "nowhere thinner than 13.85 mm", "from nose"} {
			if !strings.Contains(text.String(), word) {
				t.Errorf("%q is missing from\n%s", word, text.String())
			}
		}
		if !strings.Contains(markdown.String(), "| mark | from tail | from nose | is in | take off in |") || strings.Contains(text.String(), "|--") {
			t.Errorf("%s", markdown.String())
		}
	}
	// by itself each would do, together they would not
	front, rear := advise.Correction{Kind: advise.Skim, Place: "plate/front", By: 0.08, Across: 184}, advise.Correction{Kind: advise.Skim, Place: "plate/rear", By: 0.08, Across: 184}
	shop.Works = append(shop.Works, advise.Work{Kind: advise.Skim, Place: "plate/front", Least: Given[Length](least)})
	if a, err = advise.Correct(context.Background(), b, shop); err != nil {
		t.Fatal(err)
	}
	if _, err := a.Try(context.Background(), front); err != nil {
		t.Error(err)
	}
	if _, err := a.Try(context.Background(), rear); err != nil {
		t.Error(err)
	}
	if _, err := a.Try(context.Background(), front, rear); !errors.Is(err, advise.ErrNotPossible) || !strings.Contains(err.Error(), "thinnest") {
		t.Errorf("both: %v", err)
	}
	if _, err := a.Try(context.Background(), advise.Correction{Kind: advise.Skim, Place: "case/rear", By: 0.05, Across: 184}); !errors.Is(err, advise.ErrNoThickness) {
		t.Errorf("a face without a least thickness: %v", err)
	}
	shop.Works = shop.Works[:2]
	atLeast(14.5)
	if a, err = advise.Correct(context.Background(), b, shop); err != nil || len(a.Refused) != 2 || !errors.Is(a.Refused[0].Err, advise.ErrNotPossible) {
		t.Errorf("thinner already: %v, %v", a.Refused, err)
	}
}

// What must not be touched is not; a cancelled search stops; a faulty shop is refused with the place.
func TestCorrect_keepCancelFaults(t *testing.T) {
	b := randomBox(rand.New(rand.NewPCG(3, 2)))
	shop := everything()
	shop.Keep = []string{"plate/rear", "tail", "case"}
	a, err := advise.Correct(context.Background(), b, shop)
	if err != nil {
		t.Fatal(err)
	}
	for i := range a.Options {
		for _, c := range a.Options[i].Corrections {
			if c.Kind == advise.Skim || c.Kind == advise.SkimWedge || c.Kind == advise.Sleeve || c.Kind == advise.Bush || c.Kind == advise.Redowel {
				t.Errorf("%v of %s, which must not be touched", c.Kind, c.Place)
			}
		}
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := advise.Correct(ctx, b, everything()); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled: %v", err)
	}
	for _, bad := range []advise.Shop{{Step: -1}, {ClockStep: 200 * Degree}, {Pairs: -1}, {Within: Length(math.NaN())}, {Works: []advise.Work{{Kind: advise.Skim, Most: -1}}}, {Works: []advise.Work{{Kind: advise.Reclock, Place: "plate"}}}, {Works: []advise.Work{{Place: "plate"}}}} {
		if _, err := advise.Correct(context.Background(), b, bad); !errors.Is(err, fault.ErrOutOfRange) && !errors.Is(err, fault.ErrNotFinite) {
			t.Errorf("%+v: %v", bad, err)
		}
	}
	a, err = advise.Correct(context.Background(), b, advise.Shop{Works: []advise.Work{{Kind: advise.TaperShim, Place: "four", Most: 0.1}, {Kind: advise.TurnOver, Place: "lid"}, {Kind: advise.Sleeve, Place: "tail/bsh", Most: 0.1}}})
	if err != nil || len(a.Refused) != 3 {
		t.Fatalf("%v, %v", a, err)
	}
	for _, r := range a.Refused {
		if !errors.Is(r.Err, fault.ErrUnknownName) {
			t.Errorf("%v of %s: %v", r.Kind, r.Place, r.Err)
		}
	}
}

func BenchmarkCorrect(b *testing.B) {
	_, box := launch(b)
	shop := advise.Shop{
		Push: true, Swap: true, Step: 0.01,
		Works: append(cuts(advise.Work{Place: "plate/rear", Most: 0.2, Thin: 0.02, Least: Given[Length](13.7)}),
			advise.Work{Kind: advise.Shim, Place: "case|plate", Sizes: []Length{0.2, 0.3}, Replace: true},
			advise.Work{Kind: advise.TaperShim, Place: "case|plate", Most: 0.2, Replace: true}),
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := advise.Correct(context.Background(), box, shop); err != nil {
			b.Fatal(err)
		}
	}
}

// The stack that is asked about is not changed by what is tried on it.
func TestCorrection_Apply_leavesItsStack(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 5))
	for k := advise.Leave; k <= advise.Push; k++ {
		b := randomBox(rng)
		before := marginOf(t, b.Stack)
		c := randomCorrection(rng, k)
		c.Floats = []advise.JointFloat{{Joint: "one", Float: align.Float{X: 0.2}}}
		if _, err := c.Apply(b.Stack); err != nil && !errors.Is(err, advise.ErrNotPossible) {
			t.Errorf("%v: %v", k, err)
		}
		if after := marginOf(t, b.Stack); after != before {
			t.Errorf("%v changed its stack: margin %v, was %v", k, after, before)
		}
	}
}
