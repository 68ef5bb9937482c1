package study

import (
	"context"
	"encoding/json"
	"fmt"

	"example.com/borestack/align"
	"example.com/borestack/align/record"
	"example.com/borestack/stackup"
)

// shardFormat is the format of a shard.
const shardFormat = "borestack-shard/1"

// shard is some blocks of all studies of a record, as JSON.
type shard struct {
	Format  string      `json:"format"`
	Samples int         `json:"samples"` // of the whole study
	Parts   []shardPart `json:"parts"`
}

type shardPart struct {
	Because string `json:"because"`
	State   string `json:"state,omitempty"`
	AtRest  bool   `json:"at_rest,omitempty"`
	Tally   []byte `json:"tally"`
}

// Shard runs some blocks of a record's studies, set.From to set.To of those that set.Samples fill, and returns what they came to, to be merged by [Merge]. A batch queue can so spread a study over machines.
func Shard(ctx context.Context, rec *record.Record, set stackup.Settings) ([]byte, error) {
	out := shard{Format: shardFormat, Samples: set.Samples}
	for _, kind := range because(rec) {
		groups, err := groupsOf(rec, kind)
		if err != nil {
			return nil, err
		}
		for _, g := range groups {
			st, err := g.study(g.lies, false, g.own)
			if err != nil {
				return nil, err
			}
			t, err := st.Run(ctx, set)
			if err != nil {
				return nil, fmt.Errorf("study: %w", err)
			}
			b, err := t.MarshalBinary()
			if err != nil {
				return nil, err
			}
			out.Parts = append(out.Parts, shardPart{g.key.Because, g.key.State, g.key.AtRest, b})
		}
	}
	return json.MarshalIndent(out, "", " ")
}

// Merge joins the shards of a record's studies, in any order, to what [Vary] would have found. It returns an error for shards of another study, for blocks that are there twice, and for blocks that are missing.
func Merge(rec *record.Record, shards [][]byte) ([]*Variation, error) {
	joined := map[groupKey]*stackup.Tally{}
	samples := 0
	for i, data := range shards {
		bad := func(want string) error {
			return &align.FieldError{Path: fmt.Sprintf("shard %d", i+1), Want: want, Err: align.ErrConflict}
		}
		var s shard
		if err := json.Unmarshal(data, &s); err != nil || s.Format != shardFormat {
			return nil, bad("a shard in the format " + shardFormat)
		}
		if samples == 0 {
			samples = s.Samples
		}
		if s.Samples != samples {
			return nil, bad(fmt.Sprintf("a shard of %d samples in all, as the first is", samples))
		}
		for _, p := range s.Parts {
			t := &stackup.Tally{}
			if err := t.UnmarshalBinary(p.Tally); err != nil {
				return nil, bad(err.Error())
			}
			key := groupKey{p.Because, p.State, p.AtRest}
			if joined[key] == nil {
				joined[key] = t
			} else if err := joined[key].Merge(t); err != nil {
				return nil, bad(err.Error())
			}
		}
	}
	return varyBy(context.Background(), rec, func(key groupKey, st *stackup.Study) (*stackup.Tally, error) {
		t := joined[key]
		missing := &align.FieldError{Path: "shards", Want: "every block of the study once", Err: align.ErrMissing}
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
