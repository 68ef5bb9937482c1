package main

import (
	"bytes"
	"context"
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"slices"
	"strings"

	"github.com/apache/beam/sdks/v2/go/pkg/beam"
	"github.com/apache/beam/sdks/v2/go/pkg/beam/register"

	"example.com/borestack/align/record"
	"example.com/borestack/align/study"
	"example.com/borestack/tolerance"
)

func init() {
	register.DoFn3x1[context.Context, int, func(string, int), error](&boxFn{})
	register.DoFn2x2[string, int, int, counted](&keyFn{})
	register.Emitter2[string, int]()
	register.Function2x1(add)
	beam.RegisterType(countedType)
	register.DoFn2x1[int, func(*counted) bool, string](&tableFn{})
	register.Iter1[counted]()
}

// counted is how often something came out.
type counted struct {
	What  string
	Boxes int
}

// fleet is the second pipeline: boxes drawn about a record, each judged with every candidate.
func (p plan) fleet(s beam.Scope, boxes int) beam.PCollection {
	numbers := make([]int, boxes)
	for i := range numbers {
		numbers[i] = i
	}
	came := beam.ParDo(s.Scope("boxes"), &boxFn{p}, beam.Reshuffle(s, beam.CreateList(s, numbers)))
	all := beam.ParDo(s.Scope("together"), &keyFn{}, beam.CombinePerKey(s, add, came))
	return beam.ParDo(s.Scope("table"), &tableFn{}, beam.GroupByKey(s, all))
}

func add(a, b int) int { return a + b }

// boxFn judges one box.
type boxFn struct{ Plan plan }

// ProcessElement emits what became of the box as it is and of each candidate in it.
func (f *boxFn) ProcessElement(ctx context.Context, i int, emit func(string, int)) error {
	rec, err := record.Decode(bytes.NewReader(f.Plan.Record))
	if err != nil {
		return err
	}
	scatter(rec, rand.New(rand.NewPCG(f.Plan.Seed, uint64(i))))
	res, err := study.Run(ctx, rec)
	if err != nil {
		return fmt.Errorf("box %d: %w", i, err)
	}
	emit("as it is: "+res.Word.String(), 1)
	best, left := "as it is", tolerance.Fail
	if res.Word.Rank() <= left.Rank() {
		left = res.Word
	}
	for _, c := range res.Candidates {
		emit(c.Place+" "+c.Name+": "+c.Word.String(), 1)
		if c.Word.Rank() < left.Rank() {
			best, left = c.Place+" "+c.Name, c.Word
		}
	}
	if left == tolerance.Pass {
		emit("first that passes: "+best, 1)
	} else {
		emit("none passes", 1)
	}
	beam.NewCounter("cluster", "boxes").Inc(ctx, 1)
	told.add(1)
	return nil
}

// spread is the standard deviation of the wedges and offsets that are drawn, mm: invented.
const spread = 0.015

// scatter adds a first harmonic to every round of readings of a record.
func scatter(rec *record.Record, r *rand.Rand) {
	unit := float64(rec.LengthUnit())
	round := func(in *record.Readings) {
		own := unit
		if in.Unit != "" {
			if u, err := tolerance.ParseUnit(in.Unit); err == nil {
				own = float64(u.Size())
			}
		}
		x, y := spread*r.NormFloat64()/own, spread*r.NormFloat64()/own
		for i := range in.Readings {
			s, c := math.Sincos(2 * math.Pi * float64(i) / float64(len(in.Readings)))
			for k, v := range in.Readings[i].Repeats {
				in.Readings[i].Repeats[k] = record.Num(math.Round(1e5*(v.Value+x*s+y*c)) / 1e5)
			}
		}
		if in.Closing != nil && len(in.Readings) > 0 && len(in.Readings[0].Repeats) > 0 {
			closing := record.Num(math.Round(1e5*(in.Closing.Value+y)) / 1e5)
			in.Closing = &closing
		}
	}
	for i := range rec.Parts {
		p := &rec.Parts[i]
		for _, f := range []*record.Face{p.Front, p.Rear} {
			if f == nil {
				continue
			}
			if f.Thickness != nil {
				round(&f.Thickness.Readings)
			}
			if f.Pilot != nil && f.Pilot.Sweep != nil {
				round(&f.Pilot.Sweep.Readings)
			}
		}
		for b := range p.Bores {
			if p.Bores[b].Sweep != nil {
				round(&p.Bores[b].Sweep.Readings)
			}
		}
	}
}

// keyFn puts everything under one key.
type keyFn struct{}

// ProcessElement returns the key and what was counted.
func (*keyFn) ProcessElement(what string, n int) (int, counted) { return 0, counted{what, n} }

// tableFn writes the counts.
type tableFn struct{}

// ProcessElement returns a line for each outcome, in the order of the alphabet.
func (*tableFn) ProcessElement(_ int, next func(*counted) bool) string {
	all := map[string]int{}
	for c := (counted{}); next(&c); {
		all[c.What] = c.Boxes
	}
	var lines []string
	for _, what := range slices.Sorted(maps.Keys(all)) {
		lines = append(lines, fmt.Sprintf("%6d  %s", all[what], what))
	}
	return strings.Join(lines, "\n")
}
