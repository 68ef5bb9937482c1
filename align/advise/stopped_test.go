package advise_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"reflect"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"example.com/borestack/align/advise"
	"example.com/borestack/align/record"
	. "example.com/borestack/tolerance"
)

// quick is a shop whose work on the launch is soon found.
func quick() advise.Shop {
	return advise.Shop{
		Push: true, Swap: true, Works: []advise.Work{
			{Kind: advise.TurnOver, Place: "plate"}, {Kind: advise.Reclock, Place: "plate", Holes: 6, Redrill: true}, {Kind: advise.Sleeve, Place: "tail/tail bush", Most: 0.06, Across: 2},
		}, Step: 0.02, ClockStep: 90 * Degree, Pairs: 1,
	}
}

// resting is the launch with every joint at rest, which is soon judged.
func resting(t testing.TB) (*record.Record, advise.Box) {
	t.Helper()
	rec, _ := launch(t)
	for i := range rec.Joints {
		if rec.Joints[i].Lies == "" || rec.Joints[i].Lies == "any" {
			rec.Joints[i].Lies = "rest"
		}
	}
	b, err := advise.FromRecord(rec)
	if err != nil {
		t.Fatal(err)
	}
	return rec, b
}

// questions are all entry points that take long; each says whether there was an answer.
func questions(t testing.TB, rec *record.Record, b advise.Box, shop advise.Shop) map[string]func(ctx context.Context) (some bool, err error) {
	before, err := b.Judge(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	a := &advise.Advice{Box: b, Before: before, Shop: advise.Shop{Step: 0.01, Graduation: 0.01, Within: 0.005}}
	o, err := a.Try(context.Background(), advise.Correction{Kind: advise.Redowel, Place: "carrier to case", By: 0.05})
	if err != nil {
		t.Fatal(err)
	}
	return map[string]func(ctx context.Context) (some bool, err error){
		"Judge": func(ctx context.Context) (some bool, err error) { j, err := b.Judge(ctx); return j != nil, err },
		"Correct": func(ctx context.Context) (some bool, err error) {
			a, err := advise.Correct(ctx, b, shop)
			return a != nil, err
		},
		"Compare": func(ctx context.Context) (some bool, err error) {
			c, err := advise.Compare(ctx, b)
			return c != nil, err
		},
		"AuditRecord": func(ctx context.Context) (some bool, err error) {
			a, err := advise.AuditRecord(ctx, rec)
			return a != nil, err
		},
		"Measure": func(ctx context.Context) (some bool, err error) {
			p, err := advise.Measure(ctx, rec)
			return p != nil, err
		},
		"Try": func(ctx context.Context) (some bool, err error) {
			o, err := (&advise.Advice{Box: b, Before: before}).Try(ctx, advise.Correction{Kind: advise.Sleeve, Place: "tail/tail bush", By: 0.05})
			return o != nil, err
		},
		"Sheet": func(ctx context.Context) (some bool, err error) {
			w, err := a.Sheet(ctx, o)
			return w != nil, err
		},
	}
}

var errGone = errors.New("the client is gone")

// Every entry point that takes long does not begin when its context has ended, and says why.
func TestEntryPoints_deadContext(t *testing.T) {
	rec, b := launch(t)
	ctx, stop := context.WithCancelCause(context.Background())
	stop(errGone)
	for name, ask := range questions(t, rec, b, quick()) {
		if some, err := ask(ctx); !errors.Is(err, errGone) || some {
			t.Errorf("%s: %v, %v", name, some, err)
		}
	}
}

// countdown is a context that ends when it has been looked at so many times.
type countdown struct {
	context.Context
	left, looked *atomic.Int64
}

func newCountdown(n int64) countdown {
	c := countdown{context.Background(), &atomic.Int64{}, &atomic.Int64{}}
	c.left.Store(n)
	return c
}

func (c countdown) Err() error {
	c.looked.Add(1)
	if c.left.Add(-1) < 0 {
		return context.Canceled
	}
	return nil
}

// mostLate is how often a question may look at its context when that has ended: once where it is, and once in what called that, up to itself.
const mostLate = 6

// Wherever a question is when its context ends, it ends there, with an error that says so and without half an answer: it
// looks before each candidate, and once it has seen the end it goes to no other.
func TestEntryPoints_stopAnywhere(t *testing.T) {
	rec, b := resting(t)
	for name, ask := range questions(t, rec, b, quick()) {
		all := newCountdown(1 << 40)
		if some, err := ask(all); err != nil || !some {
			t.Fatalf("%s: %v, %v", name, some, err)
		}
		looks := all.looked.Load()
		for n := int64(0); n < looks; n += 1 + looks/4 {
			ctx := newCountdown(n)
			if some, err := ask(ctx); !errors.Is(err, context.Canceled) || some {
				t.Errorf("%s after %d of %d looks: %v, %v", name, n, looks, some, err)
			}
			if late := ctx.looked.Load() - n; late > mostLate {
				t.Errorf("%s ended after %d of %d looks, and looked %d times more", name, n, looks, late)
			}
		}
	}
}

// One record, one box and one piece of advice serve many questions at once, and are as they were afterwards. Run with -race.
func TestBox_shared(t *testing.T) {
	rec, b := resting(t)
	before := b.Stack.Clone()
	a, err := advise.Correct(context.Background(), b, quick())
	if err != nil {
		t.Fatal(err)
	}
	c, err := advise.Compare(context.Background(), b)
	if err != nil {
		t.Fatal(err)
	}
	all := func() string {
		var out bytes.Buffer
		say := func(err error) {
			if err != nil {
				t.Error(err)
			}
		}
		_, err := b.Judge(context.Background())
		say(err)
		o, err := a.Try(context.Background(), a.Options[0].Corrections...)
		say(err)
		sheet, err := a.Sheet(context.Background(), o)
		say(err)
		say(sheet.Page(Millimetres).Text(&out))
		say(a.Page(Millimetres).Text(&out))
		say(a.Page(Millimetres).Markdown(&out))
		say(c.Page(Millimetres).Text(&out))
		audit, err := advise.AuditRecord(context.Background(), rec)
		say(err)
		say(audit.Page(Millimetres).Text(&out))
		plan, err := advise.Measure(context.Background(), rec)
		say(err)
		say(plan.Page(Millimetres).Text(&out))
		a.Best()
		a.Simplest()
		return out.String()
	}
	want := all()
	var wg sync.WaitGroup
	for range 2 {
		wg.Add(1)
		go func() {
			defer wg.Done()
			if got := all(); got != want {
				t.Error("another answer")
			}
		}()
	}
	wg.Wait()
	if !reflect.DeepEqual(b.Stack, before) {
		t.Error("the stack has changed")
	}
}

// How long a question that is under way takes to stop: each reports ms/stop, of which 50 are allowed.
func BenchmarkStop(b *testing.B) {
	rec, box := launch(b)
	for name, ask := range questions(b, rec, box, everything()) {
		for _, after := range []time.Duration{20 * time.Millisecond, time.Second} {
			b.Run(fmt.Sprintf("%s/after=%v", name, after), func(b *testing.B) {
				var most, sum time.Duration
				for b.Loop() {
					ctx, stop := context.WithCancel(context.Background())
					done := make(chan time.Time)
					var ended error
					go func() {
						_, ended = ask(ctx)
						done <- time.Now()
					}()
					time.Sleep(after)
					began := time.Now()
					stop()
					took := (<-done).Sub(began)
					if !errors.Is(ended, context.Canceled) {
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
