package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"math/rand/v2"

	"github.com/apache/beam/sdks/v2/go/pkg/beam"
	"github.com/apache/beam/sdks/v2/go/pkg/beam/register"

	"example.com/borestack/align/record"
	"example.com/borestack/align/report"
	"example.com/borestack/align/study"
	"example.com/borestack/stackup"
)

// A pipeline registers what its workers have to know by name.
func init() {
	register.DoFn3x1[context.Context, span, func(int, []byte), error](&shardFn{})
	register.DoFn3x1[int, func(*[]byte) bool, func(int, []byte), error](&onceFn{})
	register.DoFn3x2[context.Context, int, func(*[]byte) bool, string, error](&mergeFn{})
	register.Emitter2[int, []byte]()
	register.Iter1[[]byte]()
	beam.RegisterType(spanType)
}

// span is the blocks of one shard: From to To, To not included.
type span struct{ From, To int }

// plan is a study to be spread over machines.
type plan struct {
	Record  []byte
	Samples int
	Seed    uint64
	Shards  int
	Hurt    bool // on purpose: every shard twice, in another order, its first attempt lost
}

// spans are the shards of a plan, in the order in which they are handed out.
func (p plan) spans() []span {
	blocks := (p.Samples + stackup.BlockSize - 1) / stackup.BlockSize
	shards := min(max(p.Shards, 1), blocks)
	var out []span
	for i := range shards {
		out = append(out, span{i * blocks / shards, (i + 1) * blocks / shards})
	}
	if p.Hurt {
		out = append(out, out...)
		rand.New(rand.NewPCG(p.Seed, 1)).Shuffle(len(out), func(i, k int) { out[i], out[k] = out[k], out[i] })
	}
	return out
}

// study is the pipeline: shards out, each once back, all merged to the report of the record.
func (p plan) study(s beam.Scope) beam.PCollection {
	shards := beam.ParDo(s.Scope("shards"), &shardFn{p}, beam.Reshuffle(s, beam.CreateList(s, p.spans())))
	each := beam.ParDo(s.Scope("once"), &onceFn{}, beam.GroupByKey(s, shards))
	return beam.ParDo(s.Scope("merge"), &mergeFn{p}, beam.GroupByKey(s, each))
}

// attempts is how often a shard is tried on one machine before the engine is told.
const attempts = 3

// errLost is what is made to go wrong on purpose.
var errLost = errors.New("lost on purpose")

// shardFn runs the blocks of one shard.
type shardFn struct{ Plan plan }

// ProcessElement emits a shard's first block and what its blocks came to.
func (f *shardFn) ProcessElement(ctx context.Context, at span, emit func(int, []byte)) error {
	rec, err := record.Decode(bytes.NewReader(f.Plan.Record))
	if err != nil {
		return err
	}
	for try := range attempts {
		var data []byte
		data, err = study.Shard(ctx, rec, stackup.Settings{Samples: f.Plan.Samples, Seed: f.Plan.Seed, From: at.From, To: at.To, Workers: 1})
		if f.Plan.Hurt && try == 0 {
			err = errLost // as if the machine had gone away with its result
		}
		if err == nil {
			beam.NewCounter("cluster", "blocks").Inc(ctx, int64(at.To-at.From))
			told.add(at.To - at.From)
			emit(at.From, data)
			return nil
		}
		if !errors.Is(err, errLost) {
			return err
		}
	}
	return fmt.Errorf("blocks %d to %d: %d attempts: %w", at.From, at.To, attempts, err)
}

// onceFn takes a shard that came back more than once for one: the same blocks give the same bytes.
type onceFn struct{}

// ProcessElement emits each shard under one key, for all to be merged.
func (*onceFn) ProcessElement(from int, next func(*[]byte) bool, emit func(int, []byte)) error {
	var first, data []byte
	for n := 0; next(&data); n++ {
		if n == 0 {
			first = bytes.Clone(data)
		} else if !bytes.Equal(first, data) {
			return fmt.Errorf("the shard from block %d came back twice, and not alike", from)
		}
	}
	emit(0, first)
	return nil
}

// mergeFn joins all shards.
type mergeFn struct{ Plan plan }

// ProcessElement returns the record's report with the merged study, as JSON.
func (f *mergeFn) ProcessElement(ctx context.Context, _ int, next func(*[]byte) bool) (string, error) {
	var shards [][]byte
	for data := []byte(nil); next(&data); {
		shards = append(shards, bytes.Clone(data))
	}
	rec, err := record.Decode(bytes.NewReader(f.Plan.Record))
	if err != nil {
		return "", err
	}
	v, err := study.Merge(ctx, rec, shards)
	if err != nil {
		return "", err
	}
	return reported(ctx, rec, v)
}

// reported is the JSON report of a record with its study.
func reported(ctx context.Context, rec *record.Record, v []*study.Variation) (string, error) {
	res, err := study.Run(ctx, rec)
	if err != nil {
		return "", err
	}
	res.Variations = v
	var out bytes.Buffer
	err = report.JSON(&out, rec, res)
	return out.String(), err
}
