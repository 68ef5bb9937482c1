package study

import (
	"context"
	"encoding/json"
	"fmt"

	"example.com/borestack/align/record"
	"example.com/borestack/fault"
	"example.com/borestack/stackup"
)

// shardFormat is the format of a shard.
const shardFormat = "borestack-shard/1"

// shard is some blocks of all studies of a record, as JSON.
type shard struct {
	Format  string      `json:"format"`
	Record  string      `json:"record"`  // SHA-256 of the record, as the library writes it
	Samples int         `json:"samples"` // of the whole study
	Parts   []shardPart `json:"parts"`
}

type shardPart struct {
	groupKey
	Accumulator []byte `json:"tally"`
}

// Shard runs some blocks of a record's studies, set.From to set.To of those that set.Samples fill,
// and returns what they came to, to be merged by [Merge]. A batch queue can so spread a study over
// machines. When ctx ends it returns an error that wraps the cause.
func Shard(ctx context.Context, rec *record.Record, set stackup.Settings) ([]byte, error) {
	made, err := digestOf(rec)
	if err != nil {
		return nil, err
	}
	groups, err := groupsOf(rec)
	if err != nil {
		return nil, err
	}
	out := shard{Format: shardFormat, Record: made, Samples: set.Samples}
	for _, g := range groups {
		st, err := g.study(g.lies, false, g.own)
		if err != nil {
			return nil, err
		}
		t, err := g.sample(ctx, st, set)
		if err != nil {
			return nil, fmt.Errorf("study: %w", err)
		}
		b, err := t.MarshalBinary()
		if err != nil {
			return nil, err
		}
		out.Parts = append(out.Parts, shardPart{g.key, b})
	}
	return json.MarshalIndent(out, "", " ")
}

// Merge joins the shards of a record's studies, in any order, to what [Vary] would have found. It
// returns an error for shards of another record or study, for blocks that are there twice, and for
// blocks that are missing. When ctx ends, what is through is returned as by [Vary].
func Merge(ctx context.Context, rec *record.Record, shards [][]byte) ([]*Variation, error) {
	joined := map[groupKey]*stackup.Accumulator{}
	made, err := digestOf(rec)
	if err != nil {
		return nil, err
	}
	samples := 0
	for i, data := range shards {
		bad := func(want string) error {
			return &fault.FieldError{Path: fmt.Sprintf("shard %d", i+1), Want: want, Err: fault.ErrConflict}
		}
		var s shard
		if err := json.Unmarshal(data, &s); err != nil || s.Format != shardFormat {
			return nil, bad("a shard in the format " + shardFormat)
		}
		if s.Record != made {
			return nil, bad("a shard of this record as it is")
		}
		if samples == 0 {
			samples = s.Samples
		}
		if s.Samples != samples {
			return nil, bad(fmt.Sprintf("a shard of %d samples in all, as the first is", samples))
		}
		for _, p := range s.Parts {
			t := &stackup.Accumulator{}
			if err := t.UnmarshalBinary(p.Accumulator); err != nil {
				return nil, bad(err.Error())
			}
			if joined[p.groupKey] == nil {
				joined[p.groupKey] = t
			} else if err := joined[p.groupKey].Merge(t); err != nil {
				return nil, bad(err.Error())
			}
		}
	}
	return varyBy(ctx, rec, made, func(g *group, _ *stackup.Study) (*stackup.Accumulator, error) {
		t := joined[g.key]
		missing := &fault.FieldError{Path: "shards", Want: "every block of the study once", Err: fault.ErrMissing}
		if t == nil {
			return nil, missing
		}
		if t.Samples() != samples {
			missing.Value = fmt.Sprintf("%d of %d samples, blocks %v", t.Samples(), samples, t.Blocks())
			return nil, missing
		}
		return t, nil
	})
}
