package study_test

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"reflect"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"example.com/borestack/align/record"
	"example.com/borestack/align/study"
	"example.com/borestack/fault"
	"example.com/borestack/stackup"
)

// twoGroups varies because of process and gauge, as measured and bolted: four studies.
func twoGroups(t testing.TB) *record.Record {
	t.Helper()
	text := bed("mm", `{"name": "c", "at": "/parts/0/bores/2/centre/0", "law": {"uniform": 0.01}}, {"name": "g", "at": "/parts/0/bores/2/centre/1", "law": {"uniform": 0.01}, "because": "gauge"}`,
		offset+`, {"output": {"kind": "offset", "of": "bed/c", "state": "bolted"}, "greatest": 1}`)
	text = strings.Replace(text, `"vary"`, `"states": [{"name": "bolted", "temperatures": {}, "moves": {"bed": [0.1, 0, 0]}}], "vary"`, 1)
	rec, err := record.Decode(strings.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	return rec
}

var errGone = errors.New("the client is gone")

// dead is a context that has ended.
func dead() context.Context {
	ctx, stop := context.WithCancelCause(context.Background())
	stop(errGone)
	return ctx
}

// Every entry point that takes long stops before it begins when its context has ended, and says why.
func TestEntryPoints_deadContext(t *testing.T) {
	rec, set := twoGroups(t), stackup.Settings{Samples: 3 * stackup.BlockSize, Seed: 1}
	shard, err := study.Shard(context.Background(), rec, set)
	if err != nil {
		t.Fatal(err)
	}
	for name, run := range map[string]func(ctx context.Context) (any, error){
		"Run":   func(ctx context.Context) (any, error) { r, err := study.Run(ctx, rec); return r != nil, err },
		"Vary":  func(ctx context.Context) (any, error) { v, err := study.Vary(ctx, rec, set); return len(v) > 0, err },
		"Shard": func(ctx context.Context) (any, error) { b, err := study.Shard(ctx, rec, set); return len(b) > 0, err },
		"Merge": func(ctx context.Context) (any, error) {
			v, err := study.Merge(ctx, rec, [][]byte{shard})
			return len(v) > 0, err
		},
	} {
		if some, err := run(dead()); !errors.Is(err, errGone) || some == true {
			t.Errorf("%s: %v, %v", name, some, err)
		}
		if some, err := run(context.Background()); err != nil || some != true {
			t.Errorf("%s alive: %v, %v", name, some, err)
		}
	}
}

// A study that is stopped gives the whole blocks that it had: with one worker the first ones of its only study.
//
// Source: second method: the same blocks by themselves, as [study.Shard] and stackup's blocks promise.
func TestVary_stoppedKeepsWholeBlocks(t *testing.T) {
	rec := decode(t, bed("mm", `{"name": "c", "at": "/parts/0/bores/2/centre/0", "law": {"uniform": 0.01}}`, offset))
	ctx, stop := context.WithCancelCause(context.Background())
	set := stackup.Settings{Samples: 4000 * stackup.BlockSize, Seed: 1, Workers: 1, Progress: func(stackup.Progress) { stop(errGone) }}
	got, err := study.Vary(ctx, rec, set)
	if !errors.Is(err, errGone) || len(got) != 1 || !got[0].Stopped {
		t.Fatalf("%d variations, error %v", len(got), err)
	}
	n := got[0].Samples
	if n == 0 || n%stackup.BlockSize != 0 || n >= set.Samples || len(got[0].Outputs) != 1 || got[0].Outputs[0].Sampled.Samples != n {
		t.Fatalf("%d samples, %d outputs", n, len(got[0].Outputs))
	}
	want, err := study.Vary(context.Background(), rec, stackup.Settings{Samples: n, Seed: 1})
	if err != nil || want[0].Stopped {
		t.Fatal(err)
	}
	if got, want := &got[0].Outputs[0].Sampled, &want[0].Outputs[0].Sampled; got.Mean != want.Mean || got.SD != want.SD || got.Good != want.Good {
		t.Errorf("stopped: mean %v, sd %v; the same blocks: %v, %v", got.Mean, got.SD, want.Mean, want.SD)
	}
}

// A study that is stopped leaves out what it did not come to.
func TestVary_stoppedBetweenStudies(t *testing.T) {
	rec := twoGroups(t)
	ctx, stop := context.WithCancelCause(context.Background())
	const each = 5 * stackup.BlockSize
	got, err := study.Vary(ctx, rec, stackup.Settings{Samples: each, Seed: 1, Workers: 1, Progress: func(p stackup.Progress) { stop(errGone) }})
	if !errors.Is(err, errGone) || len(got) != 1 || got[0].Because != "process" || len(got[0].Outputs) != 1 || got[0].Outputs[0].Limit.State != "" {
		t.Fatalf("%d variations, error %v", len(got), err)
	}
}

// Progress of several studies is one: it only grows, says what is being done, and ends once, at all samples.
func TestVary_progressIsOne(t *testing.T) {
	for name, run := range map[string]func(*record.Record, stackup.Settings) error{
		"Vary": func(r *record.Record, set stackup.Settings) error {
			_, err := study.Vary(context.Background(), r, set)
			return err
		},
		"Shard": func(r *record.Record, set stackup.Settings) error {
			_, err := study.Shard(context.Background(), r, set)
			return err
		},
	} {
		for _, rec := range []*record.Record{twoGroups(t), decode(t, anywhere)} {
			var got []stackup.Progress
			const samples = stackup.BlockSize/2 + stackup.BlockSize
			set := stackup.Settings{Samples: samples, Seed: 1, Workers: 1, Progress: func(p stackup.Progress) { got = append(got, p) }}
			if err := run(rec, set); err != nil {
				t.Fatal(err)
			}
			last, studies := stackup.Progress{}, 4
			if rec.Title == "anywhere" {
				studies = 1
			}
			for _, p := range got {
				if p.Done <= last.Done || p.Samples != studies*samples || p.What == "" {
					t.Errorf("%s: %+v after %+v", name, p, last)
				}
				last = p
			}
			if last.Done != studies*samples || last.Remaining != 0 {
				t.Errorf("%s: ends at %+v", name, last)
			}
		}
	}
}

// anywhere is a small box whose joint may lie anywhere.
const anywhere = `{"format": "borestack-record/1", "title": "anywhere", "units": {"length": "mm"}, "parts": [
{"name": "case", "rear": {"z": 100, "pilot": {"kind": "bore", "centre": [0, 0], "diameter": 80.04}, "dowels": [{"name": "d", "centre": [0, 50], "diameter": 8.02}]}, "bores": [{"name": "a", "centre": [0, 0, 0]}, {"name": "b", "centre": [0, 0, 90]}]},
{"name": "tail", "front": {"pilot": {"kind": "spigot", "centre": [0, 0], "diameter": 80}, "dowels": [{"name": "d", "centre": [0, 50], "diameter": 8.02}]}, "bores": [{"name": "c", "centre": [0.02, 0, 80]}]}],
"joints": [{"pins": [{"dowel": "d", "diameter": 8, "pressed": "front"}]}],
"references": [{"name": "line", "through": ["case/a", "case/b"]}],
"vary": [{"name": "c", "at": "/parts/1/bores/0/centre/0", "law": {"uniform": 0.01}}], "accept": [{"output": {"kind": "offset", "of": "tail/c"}, "greatest": 0.1}]}`

// countdown is a context that ends when it has been looked at so many times.
type countdown struct {
	context.Context
	left   *atomic.Int64
	after  *atomic.Int64
	looked *atomic.Int64
}

func newCountdown(n int64) countdown {
	c := countdown{context.Background(), &atomic.Int64{}, &atomic.Int64{}, &atomic.Int64{}}
	c.left.Store(n)
	return c
}

func (c countdown) Err() error {
	c.looked.Add(1)
	if c.left.Add(-1) < 0 {
		c.after.Add(1)
		return context.Canceled
	}
	return nil
}

// Wherever a run is when its context ends, it stops there: it looks at the context only a few times more, and keeps no more than was whole.
func TestVary_stopsAnywhere(t *testing.T) {
	rec := decode(t, anywhere)
	set := stackup.Settings{Samples: stackup.BlockSize + 100, Seed: 1, Workers: 1}
	all := newCountdown(1 << 60)
	if _, err := study.Vary(all, rec, set); err != nil {
		t.Fatal(err)
	}
	looks := all.looked.Load()
	if looks < 100 {
		t.Fatalf("a study of %d samples over a float looks at its context %d times", set.Samples, looks)
	}
	for n := int64(0); n < looks; n += 1 + looks/25 {
		c := newCountdown(n)
		v, err := study.Vary(c, rec, set)
		if !errors.Is(err, context.Canceled) {
			t.Fatalf("after %d of %d looks: %v", n, looks, err)
		}
		if again := c.after.Load(); again > 8 {
			t.Errorf("after %d of %d looks it looks %d times more", n, looks, again)
		}
		for _, q := range v {
			if q.Samples != stackup.BlockSize && q.Samples != set.Samples || !q.Stopped {
				t.Errorf("after %d of %d looks: %d samples", n, looks, q.Samples)
			}
		}
	}
}

// A result knows the record that it was made of, as it was then.
func TestResult_MadeOf(t *testing.T) {
	rec := twoGroups(t)
	set := stackup.Settings{Samples: 10, Seed: 1}
	res, err := study.Run(context.Background(), rec)
	if err != nil {
		t.Fatal(err)
	}
	if res.Variations, err = study.Vary(context.Background(), rec, set); err != nil {
		t.Fatal(err)
	}
	if err := res.MadeOf(rec); err != nil {
		t.Error(err)
	}
	if err := res.MadeOf(twoGroups(t)); err != nil { // decoded again it is the same record
		t.Error(err)
	}
	shard, err := study.Shard(context.Background(), rec, set)
	if err != nil {
		t.Fatal(err)
	}
	if res.Variations, err = study.Merge(context.Background(), rec, [][]byte{shard}); err != nil || res.MadeOf(rec) != nil {
		t.Error(err)
	}
	other := twoGroups(t)
	other.Parts[0].Bores[2].Centre[0] = record.Num(0.021)
	if err := res.MadeOf(other); !errors.Is(err, fault.ErrConflict) {
		t.Errorf("another record: %v", err)
	}
	if _, err := study.Merge(context.Background(), other, [][]byte{shard}); !errors.Is(err, fault.ErrConflict) {
		t.Errorf("a shard of another record: %v", err)
	}
	if res.Variations, err = study.Vary(context.Background(), other, set); err != nil {
		t.Fatal(err)
	}
	if err := res.MadeOf(rec); !errors.Is(err, fault.ErrConflict) || !strings.Contains(err.Error(), "variation 1") {
		t.Errorf("a variation of another record: %v", err)
	}
	res.Variations = []*study.Variation{{}}
	for name, err := range map[string]error{
		"an empty variation": res.MadeOf(rec), "no result": (*study.Result)(nil).MadeOf(rec), "a zero result": (&study.Result{}).MadeOf(rec), "no record": res.MadeOf(nil),
	} {
		if !errors.Is(err, fault.ErrMissing) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// One record serves many studies at once, and is as it was afterwards. Run with -race.
func TestRecord_shared(t *testing.T) {
	rec := twoGroups(t)
	before, err := json.Marshal(rec)
	if err != nil {
		t.Fatal(err)
	}
	set := stackup.Settings{Samples: 2 * stackup.BlockSize, Seed: 1}
	all := func() (string, error) {
		res, err := study.Run(context.Background(), rec)
		if err != nil {
			return "", err
		}
		if res.Variations, err = study.Vary(context.Background(), rec, set); err != nil {
			return "", err
		}
		shard, err := study.Shard(context.Background(), rec, set)
		if err != nil {
			return "", err
		}
		merged, err := study.Merge(context.Background(), rec, [][]byte{shard})
		if err != nil {
			return "", err
		}
		if err := res.MadeOf(rec); err != nil {
			return "", err
		}
		said := fmt.Sprintf("%v %v %v", res.Word, res.Variations[1].Outputs[1].Sampled.Mean, merged[0].Outputs[0].Sampled.SD)
		for _, v := range res.Variations[0].Outputs {
			v.Cautions()
			q, e := v.Sampled.Quantile(0.99)
			said += fmt.Sprint(" ", q, e, *v.Worst, *v.RSS)
		}
		return said, nil
	}
	want, err := all()
	if err != nil {
		t.Fatal(err)
	}
	var wg sync.WaitGroup
	for range 4 {
		wg.Add(1)
		go func() {
			defer wg.Done()
			for range 5 {
				if got, err := all(); err != nil || got != want {
					t.Errorf("got %s, want %s (%v)", got, want, err)
				}
			}
		}()
	}
	wg.Wait()
	if after, err := json.Marshal(rec); err != nil || !reflect.DeepEqual(before, after) {
		t.Error("the record has changed", err)
	}
}

// How long a run that is under way takes to stop: each reports ms/stop, of which 50 are allowed.
func BenchmarkStop(b *testing.B) {
	text, err := os.ReadFile("../../examples/driveline/harbour-launch.json")
	if err != nil {
		b.Fatal(err)
	}
	rec, err := record.Decode(bytes.NewReader(text))
	if err != nil {
		b.Fatal(err)
	}
	set := stackup.Settings{Samples: 1_000_000, Seed: 1}
	for name, run := range map[string]func(context.Context) error{
		"Run":   func(ctx context.Context) error { _, err := study.Run(ctx, rec); return err },
		"Vary":  func(ctx context.Context) error { _, err := study.Vary(ctx, rec, set); return err },
		"Shard": func(ctx context.Context) error { _, err := study.Shard(ctx, rec, set); return err },
	} {
		for _, after := range []time.Duration{30 * time.Millisecond, time.Second, 4 * time.Second} {
			b.Run(fmt.Sprintf("%s/after=%v", name, after), func(b *testing.B) {
				var most, sum time.Duration
				for b.Loop() {
					ctx, stop := context.WithCancel(context.Background())
					done := make(chan time.Time)
					var ended error
					go func() {
						ended = run(ctx)
						done <- time.Now()
					}()
					time.Sleep(after)
					began := time.Now()
					stop()
					took := (<-done).Sub(began)
					if ended == nil {
						b.Skip("it was through before it was stopped")
					}
					most, sum = max(most, took), sum+took
				}
				b.ReportMetric(float64(sum)/float64(b.N)/1e6, "ms/stop")
				b.ReportMetric(float64(most)/1e6, "ms/stop-most")
			})
		}
	}
}

// Rounds of blocks, which go by the workers where samples search a float, make no difference: the same bytes.
func TestShard_sameOnAnyWorkers(t *testing.T) {
	rec := decode(t, anywhere)
	var want []byte
	for _, workers := range []int{1, 2, 5} {
		got, err := study.Shard(context.Background(), rec, stackup.Settings{Samples: 2*stackup.BlockSize + 10, Seed: 3, Workers: workers})
		if err != nil {
			t.Fatal(err)
		}
		if want == nil {
			want = got
		}
		if string(got) != string(want) {
			t.Errorf("%d workers give other bytes", workers)
		}
	}
}
