package pair_test

import (
	"bytes"
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"

	"example.com/borestack/align/advise"
	"example.com/borestack/align/advise/pair"
	"example.com/borestack/align/record"
	"example.com/borestack/align/study"
	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// lot is how many parts are drawn for each bin beside the one in place, and how far their rounds go: the
// first harmonic's standard deviation, in mm.
type lot struct {
	plates, tails, cases int
	spread               float64 // 0: poor parts, most of which no box takes
}

// bench is the invented bench of three plates and two tails, with a lot of plates, tails and cases whose
// wedges and bores are drawn instead.
func bench(t testing.TB, seed uint64, of lot) *record.Record {
	t.Helper()
	text, err := os.ReadFile("../../../examples/compare/bench.json")
	if err != nil {
		t.Fatal(err)
	}
	var box map[string]any
	if err := json.Unmarshal(text, &box); err != nil {
		t.Fatal(err)
	}
	r := rand.New(rand.NewPCG(seed, 3))
	bins := box["candidates"].(map[string]any)
	if of.cases > 0 {
		bins["case"] = box["parts"].([]any)[1:2]
	}
	for _, place := range slices.Sorted(maps.Keys(bins)) {
		n := map[string]int{"plate": of.plates, "tail": of.tails, "case": of.cases}[place]
		first, _ := json.Marshal(bins[place].([]any)[0])
		var list []any
		for i := range n {
			var part map[string]any
			if err := json.Unmarshal(first, &part); err != nil {
				t.Fatal(err)
			}
			name := fmt.Sprintf("%s %d", place, i+1)
			spoil(r, part, fmt.Sprint(part["name"]), name, cmp.Or(of.spread, 0.02))
			part["name"] = name
			list = append(list, part)
		}
		bins[place] = list
	}
	text, err = json.Marshal(box)
	if err != nil {
		t.Fatal(err)
	}
	rec, err := record.Decode(bytes.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	return rec
}

// spoil adds a first harmonic to every round of readings, and gives the part another name.
func spoil(r *rand.Rand, v any, from, to string, spread float64) {
	list, _ := v.([]any)
	for _, x := range list {
		spoil(r, x, from, to, spread)
	}
	tree, _ := v.(map[string]any)
	for _, k := range slices.Sorted(maps.Keys(tree)) {
		switch x := tree[k].(type) {
		case string:
			tree[k] = strings.ReplaceAll(x, from+"/", to+"/")
		case []any:
			if k != "readings" {
				spoil(r, x, from, to, spread)
				continue
			}
			a, at := spread*r.NormFloat64(), 2*math.Pi*r.Float64()
			first := 0.0
			for i := range x {
				x[i] = math.Round(1000*(x[i].(float64)+a*math.Cos(2*math.Pi*float64(i)/float64(len(x))-at))) / 1000
				if i == 0 {
					first = x[0].(float64)
				}
			}
			if _, closed := tree["closing"]; closed {
				tree["closing"] = first
			}
		default:
			spoil(r, x, from, to, spread)
		}
	}
}

func boxOf(t testing.TB, rec *record.Record) advise.Box {
	t.Helper()
	b, err := advise.FromRecord(rec)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// inPlace is the record with these parts in their places and nothing to choose from.
func inPlace(t testing.TB, rec *record.Record, parts []pair.Pick) *record.Record {
	t.Helper()
	out := *rec
	out.Parts, out.Candidates, out.Vary = slices.Clone(rec.Parts), nil, nil
	for _, p := range parts {
		for _, c := range rec.Candidates {
			if c.Name != p.Place {
				continue
			}
			for _, q := range c.Value {
				if q.Name != p.Name {
					continue
				}
				for i := range out.Parts {
					if out.Parts[i].Name == p.Place {
						out.Parts[i] = q
						out.Parts[i].Name = p.Place
					}
				}
			}
		}
	}
	var text bytes.Buffer
	if err := out.Encode(&text); err != nil {
		t.Fatal(err)
	}
	renamed := text.String() // a sweep names bores of its own part
	for _, p := range parts {
		renamed = strings.ReplaceAll(renamed, p.Name+"/", p.Place+"/")
	}
	alone, err := record.Decode(strings.NewReader(renamed))
	if err != nil {
		t.Fatal(err)
	}
	return alone
}

// The pairing is the best of all ways, and every box in it passes a run of its own record.
//
// Source: every choice tried, each combination judged by study.Run.
func TestChoose_bruteForce(t *testing.T) {
	for seed := range uint64(4) {
		rec := bench(t, seed, lot{plates: 2, tails: 2})
		table, err := pair.Try(t.Context(), pair.Box{Box: boxOf(t, rec)})
		if err != nil {
			t.Fatal(err)
		}
		p, err := table.Choose(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		bins := table.Bins()
		margin := make([][]float64, len(bins[0]))
		for i, a := range bins[0] {
			for _, b := range bins[1] {
				res, err := study.Run(t.Context(), inPlace(t, rec, []pair.Pick{{Place: "plate", Name: a}, {Place: "tail", Name: b}}))
				if err != nil {
					t.Fatal(err)
				}
				v := math.NaN()
				if res.Word == tolerance.Pass {
					v = res.Verdicts[0].Worst.Or(res.Verdicts[0].Value.Or(math.NaN()))
				}
				margin[i] = append(margin[i], v)
			}
		}
		most, low := ways(margin, 0, map[int]bool{}, 0, math.Inf(1))
		if len(p.Boxes) != most || most > 0 && math.Abs(p.Boxes[0].Left-low) > 1e-9 || !p.Proved {
			t.Errorf("seed %d: %d boxes, tightest %v; every way tried: %d, %g", seed, len(p.Boxes), p.Boxes, most, low)
		}
		for _, m := range p.Boxes {
			res, err := study.Run(t.Context(), inPlace(t, rec, m.Parts))
			if err != nil || res.Word != tolerance.Pass {
				t.Errorf("seed %d: %v does not pass: %v, %v", seed, m.Parts, res.Word, err)
			}
		}
		if want := len(bins[0]) + len(bins[1]) - 2*most; len(p.Over) != want {
			t.Errorf("seed %d: %d parts left over, want %d", seed, len(p.Over), want)
		}
	}
}

// ways tries every way to take one column a row, or none.
func ways(m [][]float64, i int, used map[int]bool, count int, low float64) (most int, least float64) {
	if i == len(m) {
		return count, low
	}
	most, least = ways(m, i+1, used, count, low)
	for j, v := range m[i] {
		if used[j] || math.IsNaN(v) {
			continue
		}
		used[j] = true
		if n, l := ways(m, i+1, used, count+1, min(low, v)); n > most || n == most && l > least {
			most, least = n, l
		}
		used[j] = false
	}
	return most, least
}

// A part that arrives later changes the table as if it had been there, to how many boxes did not pass on the
// way, whatever was judged before.
func TestTable_Extend(t *testing.T) {
	all, fewer := bench(t, 7, lot{plates: 7, tails: 6, spread: 0.015}), bench(t, 7, lot{plates: 7, tails: 6, spread: 0.015})
	for i := range fewer.Candidates {
		if fewer.Candidates[i].Name == "plate" {
			fewer.Candidates[i].Value = fewer.Candidates[i].Value[:6]
		}
	}
	old, err := pair.Try(t.Context(), pair.Box{Box: boxOf(t, fewer)})
	if err != nil {
		t.Fatal(err)
	}
	if first, again := written(t, old), written(t, old); first != again || strings.Contains(first, "; 0 more were judged") {
		t.Errorf("chosen twice, or where all pass:\n%s\n%s", first, again)
	}
	next, err := old.Extend(t.Context(), boxOf(t, all))
	if err != nil {
		t.Fatal(err)
	}
	whole, err := pair.Try(t.Context(), pair.Box{Box: boxOf(t, all), Workers: 1})
	if err != nil {
		t.Fatal(err)
	}
	if got, want := written(t, next), written(t, whole); got != want {
		t.Errorf("with one part more:\n%s\nall at once:\n%s", got, want)
	}
	if _, err := whole.Extend(t.Context(), boxOf(t, fewer)); !errors.Is(err, fault.ErrOutOfRange) {
		t.Errorf("parts taken away: %v", err)
	}
}

func written(t *testing.T, table *pair.Table) string {
	t.Helper()
	p, err := table.Choose(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	var out strings.Builder
	if err := p.Page(tolerance.Millimetres).Text(&out); err != nil {
		t.Fatal(err)
	}
	return out.String()
}

// Turning a part by steps of its holes is one more way to make a box, and never leaves fewer boxes.
func TestTry_turns(t *testing.T) {
	b := boxOf(t, bench(t, 1, lot{plates: 2, tails: 2}))
	still, err := pair.Try(t.Context(), pair.Box{Box: b})
	if err != nil {
		t.Fatal(err)
	}
	turned, err := pair.Try(t.Context(), pair.Box{Box: b, Turns: []pair.Turn{{Part: "plate", Holes: 2, Redrill: true}}})
	if err != nil {
		t.Fatal(err)
	}
	p, _ := still.Choose(t.Context())
	q, err := turned.Choose(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if len(q.Boxes) < len(p.Boxes) || len(q.Boxes) == len(p.Boxes) && len(p.Boxes) > 0 && q.Boxes[0].Left < p.Boxes[0].Left {
		t.Errorf("turned: %d boxes; as they stand: %d", len(q.Boxes), len(p.Boxes))
	}
	used := false
	for _, m := range q.Boxes {
		used = used || len(m.Turned) > 0
	}
	if !used && len(q.Boxes) == len(p.Boxes) {
		t.Log("no box gained by turning")
	}
}

func TestTry_refuses(t *testing.T) {
	b := boxOf(t, bench(t, 1, lot{plates: 1, tails: 1}))
	none := b
	none.Stack.Candidates = nil
	unheld := b
	unheld.Limits = nil
	for name, c := range map[string]struct {
		box  pair.Box
		want error
	}{
		"no bins":   {pair.Box{Box: none}, fault.ErrMissing},
		"unknown":   {pair.Box{Box: b, Places: []string{"plat"}}, fault.ErrUnknownName},
		"twice":     {pair.Box{Box: b, Places: []string{"plate", "plate"}}, fault.ErrRepeated},
		"no limits": {pair.Box{Box: unheld}, fault.ErrMissing},
		"one hole":  {pair.Box{Box: b, Turns: []pair.Turn{{Part: "plate", Holes: 1}}}, fault.ErrOutOfRange},
	} {
		if _, err := pair.Try(t.Context(), c.box); !errors.Is(err, c.want) {
			t.Errorf("%s: %v", name, err)
		}
	}
	ctx, stop := context.WithCancel(t.Context())
	stop()
	if _, err := pair.Try(ctx, pair.Box{Box: b}); !errors.Is(err, context.Canceled) {
		t.Errorf("stopped: %v", err)
	}
}

// How long a large bench takes, on one worker: trying all combinations, choosing (assigning and judging),
// choosing again when all is judged (assigning alone), and one part more of each kind.
func BenchmarkPair(b *testing.B) {
	sizes := []int{20}
	if os.Getenv("PAIR_LARGE") != "" { // half a minute
		sizes = []int{20, 50, 200}
	}
	for _, n := range sizes {
		for say, spread := range map[string]float64{"poor": 0.02, "good": 0.004} {
			box := boxOf(b, bench(b, 1, lot{plates: n - 1, tails: n - 1, spread: spread}))
			fewer := box
			fewer.Stack = fewer.Stack.Clone()
			for k := range fewer.Stack.Candidates {
				c := &fewer.Stack.Candidates[k]
				c.Parts = c.Parts[:len(c.Parts)-1]
			}
			var table *pair.Table
			run := func(name string, do func() error) {
				b.Run(fmt.Sprintf("%s/%dx%d/%s", say, n, n, name), func(b *testing.B) {
					for range b.N {
						if err := do(); err != nil {
							b.Fatal(err)
						}
					}
				})
			}
			var err error
			choose := func() error { _, err = table.Choose(b.Context()); return err }
			run("try", func() error {
				table, err = pair.Try(b.Context(), pair.Box{Box: fewer, Workers: 1})
				return err
			})
			if table == nil {
				continue
			}
			run("choose", choose)
			run("assign", choose)
			run("one more", func() error {
				next, err := table.Extend(b.Context(), box)
				if err == nil {
					_, err = next.Choose(b.Context())
				}
				return err
			})
		}
	}
}
