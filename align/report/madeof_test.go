package report_test

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"sync"
	"testing"

	"example.com/borestack/align/record"
	"example.com/borestack/align/report"
	"example.com/borestack/align/study"
	"example.com/borestack/fault"
)

// writers are all that write a result.
var writers = map[string]func(io.Writer, *record.Record, *study.Result) error{"text": report.Text, "json": report.JSON, "markdown": report.Markdown, "html": report.HTML}

// A report is of a record and of what was made of it, or there is none.
func TestReport_ofAnotherRecord(t *testing.T) {
	rec, res := studied(t, loaded)
	other, theirs := studied(t, shop)
	nearly, _ := studied(t, loaded)
	nearly.Parts[0].Bores[1].Centre[1] = record.Num(-0.021)
	swapped, mixed := *res, *res
	swapped.Assembly = theirs.Assembly
	mixed.Variations = []*study.Variation{{}}
	_, mutual := studied(t, loaded)
	mutual.Variations = append(mutual.Variations, nil)
	for name, write := range writers {
		for what, c := range map[string]struct {
			rec  *record.Record
			res  *study.Result
			want error
		}{
			"another record":       {other, res, fault.ErrConflict},
			"another result":       {rec, theirs, fault.ErrConflict},
			"a record changed":     {nearly, res, fault.ErrConflict},
			"another's assembly":   {rec, &swapped, fault.ErrConflict},
			"a zero result":        {rec, &study.Result{}, fault.ErrMissing},
			"a zero variation":     {rec, &mixed, fault.ErrMissing},
			"a nil variation":      {rec, mutual, fault.ErrMissing},
			"no result":            {rec, nil, fault.ErrMissing},
			"no record":            {nil, res, fault.ErrMissing},
			"neither":              {nil, nil, fault.ErrMissing},
			"a zero record":        {&record.Record{}, res, fault.ErrConflict},
			"a zero record, alone": {&record.Record{}, &study.Result{}, fault.ErrMissing},
		} {
			var b bytes.Buffer
			if err := write(&b, c.rec, c.res); !errors.Is(err, c.want) || b.Len() > 0 {
				t.Errorf("%s of %s: error %v, %d bytes written", name, what, err, b.Len())
			}
		}
		again, _ := studied(t, loaded) // decoded twice it is the same record
		if err := write(io.Discard, again, res); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// A record made in Go that could not be read back is refused in words too.
func TestCheck_refuses(t *testing.T) {
	good, _ := evaluated(t, loaded)
	noLaw, noPart := *good, *good
	noLaw.Vary = []record.Vary{{Name: "nothing"}}
	noPart.Shafts = []record.Shaft{{Name: "main", Supports: []record.Support{{Bore: "nowhere/at all"}}}}
	for name, rec := range map[string]*record.Record{"nil": nil, "zero": {}, "a source without a law": &noLaw, "a bore that is not there": &noPart} {
		var b bytes.Buffer
		if err := report.Check(&b, rec); err == nil || b.Len() > 0 {
			t.Errorf("%s: error %v, %d bytes written", name, err, b.Len())
		}
	}
	if err := report.Check(io.Discard, good); err != nil {
		t.Error(err)
	}
}

// One record and one result serve all writers at once. Run with -race.
func TestReport_shared(t *testing.T) {
	rec, res := studied(t, loaded)
	all := func() string {
		var b bytes.Buffer
		for _, name := range []string{"text", "json", "markdown", "html"} {
			if err := writers[name](&b, rec, res); err != nil {
				fmt.Fprint(&b, err)
			}
		}
		if err := report.Check(&b, rec); err != nil {
			fmt.Fprint(&b, err)
		}
		return b.String()
	}
	want := all()
	var wg sync.WaitGroup
	for range 4 {
		wg.Add(1)
		go func() {
			defer wg.Done()
			if got := all(); got != want {
				t.Error("another report")
			}
		}()
	}
	wg.Wait()
}
