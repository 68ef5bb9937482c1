package advise_test

import (
	"bytes"
	"context"
	"errors"
	"os"
	"reflect"
	"sync"
	"testing"

	"github.com/google/go-cmp/cmp"

	"example.com/borestack/align"
	"example.com/borestack/align/advise"
	"example.com/borestack/align/advise/batch"
	"example.com/borestack/align/advise/bores"
	"example.com/borestack/align/advise/diagnose"
	"example.com/borestack/align/advise/pair"
	"example.com/borestack/align/advise/specify"
	"example.com/borestack/align/record"
	"example.com/borestack/tolerance"
)

// told is a finding as it is written.
func told(write func(*bytes.Buffer) error) (string, error) {
	var out bytes.Buffer
	err := write(&out)
	return out.String(), err
}

// makersQuestions are all entry points of the maker's rooms, on things that they share; an answer is as it is written.
func makersQuestions(t *testing.T) (ask map[string]func(ctx context.Context) (string, error), shared []any) {
	t.Helper()
	file, err := os.Open("../../examples/compare/bench.json")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	rec, err := record.Decode(file)
	if err != nil {
		t.Fatal(err)
	}
	box, err := advise.FromRecord(rec)
	if err != nil {
		t.Fatal(err)
	}
	few := box
	few.Stack = box.Stack.Clone()
	for i := range few.Stack.Candidates {
		c := &few.Stack.Candidates[i]
		c.Parts = c.Parts[:len(c.Parts)-1]
	}
	table, err := pair.Try(context.Background(), pair.Box{Box: few})
	if err != nil {
		t.Fatal(err)
	}
	launched, _ := launch(t)
	s, err := launched.Stack()
	if err != nil {
		t.Fatal(err)
	}
	drawn := twoHousings()
	question := specify.Ask{Stack: drawn, Callouts: specify.Callouts(drawn), Samples: 2000, Limits: []record.Limit{{Output: align.Output{What: align.Margin}, Limits: tolerance.AtLeast(0.002)}}}
	for i := range question.Callouts {
		question.Callouts[i].Zone = 0.02
	}
	seen := []diagnose.Seen{{Kind: diagnose.Sweep, Of: launched.Shafts[0].Supports[0].Bore, Value: 1.2, Clock: 120 * tolerance.Degree}}
	plates, err := os.Open("../../examples/batch/plates.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer plates.Close()
	pieces, err := batch.ReadTable(plates, tolerance.Millimetres)
	if err != nil {
		t.Fatal(err)
	}
	gauge, err := os.ReadFile("../../examples/batch/gauge.csv")
	if err != nil {
		t.Fatal(err)
	}
	people, err := batch.ReadStudy(bytes.NewReader(gauge))
	if err != nil {
		t.Fatal(err)
	}
	casting := bores.Casting{Clean: 0.1, Wall: 1.5, Bores: []bores.Bore{
		{Name: "front", Diameter: 60}, {Name: "middle", Centre: align.Vec3{X: 0.05, Y: -0.08, Z: 100}, Diameter: 60, Finished: 60, Most: 66}, {Name: "rear", Centre: align.Vec3{X: 0.1, Z: 200}, Diameter: 60},
	}}
	chosen := func(ctx context.Context, v *pair.Table) (string, error) {
		p, err := v.Choose(ctx)
		if err != nil {
			return "", err
		}
		return told(func(out *bytes.Buffer) error { return p.Page(tolerance.Millimetres).Markdown(out) })
	}
	ask = map[string]func(ctx context.Context) (string, error){
		"pair.Try": func(ctx context.Context) (string, error) {
			v, err := pair.Try(ctx, pair.Box{Box: box, Workers: 2})
			if err != nil {
				return "", err
			}
			return chosen(ctx, v)
		},
		"pair.Choose": func(ctx context.Context) (string, error) { return chosen(ctx, table) },
		"pair.Extend": func(ctx context.Context) (string, error) {
			v, err := table.Extend(ctx, box)
			if err != nil {
				return "", err
			}
			return chosen(ctx, v)
		},
		"specify.Specify": func(ctx context.Context) (string, error) {
			r, err := question.Specify(ctx)
			if err != nil {
				return "", err
			}
			return told(func(out *bytes.Buffer) error { return r.Page(tolerance.Millimetres).Text(out) })
		},
		"specify.Check": func(ctx context.Context) (string, error) {
			r, err := question.Check(ctx)
			if err != nil {
				return "", err
			}
			return told(func(out *bytes.Buffer) error { return r.Page(tolerance.Millimetres).Text(out) })
		},
		"diagnose.Explain": func(ctx context.Context) (string, error) {
			f, err := diagnose.Explain(ctx, s, seen, diagnose.Process{})
			if err != nil {
				return "", err
			}
			return told(func(out *bytes.Buffer) error { return f.Page(tolerance.Millimetres).Text(out) })
		},
		"batch.Find": func(ctx context.Context) (string, error) {
			f, err := batch.Find(ctx, batch.Batch{Of: "wedges", Pieces: pieces})
			if err != nil {
				return "", err
			}
			return told(func(out *bytes.Buffer) error { return f.Page(tolerance.Millimetres).Text(out) })
		},
		"batch.GaugeStudy": func(context.Context) (string, error) {
			return told(func(out *bytes.Buffer) error {
				p, err := people.Page()
				if err != nil {
					return err
				}
				return p.Text(out)
			})
		},
		"bores.Align": func(context.Context) (string, error) {
			l, err := casting.Align()
			if err != nil {
				return "", err
			}
			return told(func(out *bytes.Buffer) error { return l.Page(tolerance.Millimetres).Text(out) })
		},
	}
	return ask, []any{rec, box.Stack, s, question.Stack, table.Bins(), seen, pieces, people, casting}
}

// twoHousings is a box as drawn, its joint held, with a shaft through a bore of each housing.
func twoHousings() align.Stack {
	size := tolerance.Given[tolerance.Length](200)
	part := func(name string) align.Part {
		return align.Part{Name: name, Bores: []align.Bore{{Name: "bore", Centre: align.Vec3{Z: 40}}}}
	}
	front, rear := part("case"), part("tail")
	front.Rear = &align.Face{Z: 80, Diameter: size, Pilot: &align.Pilot{Kind: align.PilotBore, Diameter: 100.02}}
	rear.Front = &align.Face{Diameter: size, Pilot: &align.Pilot{Diameter: 100}}
	return align.Stack{
		Parts: []align.Part{front, rear}, Joints: []align.Joint{{Float: &align.Float{}}},
		Shafts: []align.Shaft{{Name: "shaft", Supports: []align.Support{{Bore: "case/bore", Kind: align.Bush, Width: 20, Clearance: 0.05}, {Bore: "tail/bore", Clearance: 0.08}}}},
	}
}

// The maker's rooms share what they are given: each answers as it does alone, and changes nothing. Run with -race.
func TestMakersRooms_shared(t *testing.T) {
	ask, shared := makersQuestions(t)
	_, before := makersQuestions(t)
	want := map[string]string{}
	for name, f := range ask {
		got, err := f(context.Background())
		if err != nil || got == "" {
			t.Fatalf("%s: %v", name, err)
		}
		want[name] = got
	}
	var wg sync.WaitGroup
	for name, f := range ask {
		for range 2 {
			wg.Add(1)
			go func() {
				defer wg.Done()
				got, err := f(context.Background())
				if d := cmp.Diff(want[name], got); err != nil || d != "" {
					t.Errorf("%s: %v %s", name, err, d)
				}
			}()
		}
	}
	wg.Wait()
	if !reflect.DeepEqual(shared, before) {
		t.Error("what they were given has changed")
	}
}

// Those that take long do not begin when their context has ended, and say why.
func TestMakersRooms_deadContext(t *testing.T) {
	ctx, stop := context.WithCancelCause(context.Background())
	stop(errGone)
	ask, _ := makersQuestions(t)
	for _, name := range []string{"pair.Try", "pair.Choose", "pair.Extend", "specify.Specify", "specify.Check", "diagnose.Explain", "batch.Find"} {
		if got, err := ask[name](ctx); !errors.Is(err, errGone) || got != "" {
			t.Errorf("%s: %v, %q", name, err, got)
		}
	}
}
