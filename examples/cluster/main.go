// Command cluster runs a study past one machine, as a pipeline of Apache Beam's Go SDK: blocks out, tallies
// merged, the same bytes as one machine gives.
//
// Usage:
//
//	cluster [-samples 100000] [-shards 32] [-seed 1] [-hurt] [-out FILE] [RECORD]
//	cluster -boxes 1000 [RECORD]
//
// The first is the study of a record that varies; the second judges boxes drawn about a record, each with
// every candidate. -hurt has every shard twice, in another order, its first attempt lost: the bytes stay
// the same. Without a record it takes an invented harbour launch.
//
// It runs here, in this process, and needs no service; -runner universal -endpoint HOST:PORT hands it to
// a portable runner. See README.md.
package main

import (
	"context"
	_ "embed"
	"flag"
	"fmt"
	"io"
	"log"
	"os"
	"path/filepath"
	"reflect"
	"sync/atomic"
	"time"

	"github.com/apache/beam/sdks/v2/go/pkg/beam"
	"github.com/apache/beam/sdks/v2/go/pkg/beam/io/textio"

	_ "github.com/apache/beam/sdks/v2/go/pkg/beam/io/filesystem/local"
	_ "github.com/apache/beam/sdks/v2/go/pkg/beam/runners/direct"
	_ "github.com/apache/beam/sdks/v2/go/pkg/beam/runners/universal"
)

//go:embed harbour-launch.json
var demonstration []byte

var (
	spanType    = reflect.TypeOf((*span)(nil)).Elem()
	countedType = reflect.TypeOf((*counted)(nil)).Elem()
)

// progress counts what is done in this process. On other machines the engine's counters tell.
type progress struct {
	done, all atomic.Int64
	began     time.Time
	out       io.Writer
}

// told is the progress of the pipeline that runs in this process; without a writer it says nothing.
var told progress

func (p *progress) add(n int) {
	done := p.done.Add(int64(n))
	if all := p.all.Load(); p.out != nil && all > 0 {
		fmt.Fprintf(p.out, "%d of %d, %.0f s\n", done, all, time.Since(p.began).Seconds())
	}
}

func main() {
	p := plan{Record: demonstration}
	flag.IntVar(&p.Samples, "samples", 100_000, "samples of the study")
	flag.IntVar(&p.Shards, "shards", 32, "shards that its blocks are dealt into")
	flag.Uint64Var(&p.Seed, "seed", 1, "seed")
	flag.BoolVar(&p.Hurt, "hurt", false, "every shard twice, in another order, its first attempt lost")
	boxes := flag.Int("boxes", 0, "judge so many boxes drawn about the record instead")
	out := flag.String("out", "", "`FILE` for the result, where all machines can write it; none: print it")
	runner := flag.String("runner", "direct", "direct: in this process; universal: the portable runner at -endpoint")
	quiet := flag.Bool("quiet", false, "no progress")
	flag.Parse()
	beam.Init()
	log.SetOutput(io.Discard) // the engine's chatter
	if !*quiet {
		told.out = os.Stderr
	}
	var err error
	if flag.NArg() > 0 {
		p.Record, err = os.ReadFile(flag.Arg(0))
	}
	if err == nil {
		err = run(context.Background(), *runner, p, *boxes, *out, os.Stdout)
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, "cluster:", err)
		os.Exit(2)
	}
}

// run builds the pipeline, runs it, and prints its result where no file is named.
func run(ctx context.Context, runner string, p plan, boxes int, file string, print io.Writer) error {
	if p.Samples < 1 || boxes < 0 {
		return fmt.Errorf("%d samples, %d boxes: want at least one sample, and no fewer than no boxes", p.Samples, boxes)
	}
	if file == "" {
		dir, err := os.MkdirTemp("", "cluster")
		if err != nil {
			return err
		}
		defer os.RemoveAll(dir)
		file = filepath.Join(dir, "result")
	} else {
		print = io.Discard
	}
	pipeline, s := beam.NewPipelineWithRoot()
	told.began = time.Now()
	told.done.Store(0)
	if boxes > 0 {
		told.all.Store(int64(boxes))
		textio.Write(s, file, p.fleet(s, boxes))
	} else {
		blocks := int64(0)
		for _, at := range p.spans() {
			blocks += int64(at.To - at.From)
		}
		told.all.Store(blocks)
		textio.Write(s, file, p.study(s))
	}
	if _, err := beam.Run(ctx, runner, pipeline); err != nil {
		return err
	}
	text, err := os.ReadFile(file)
	if err != nil {
		return err
	}
	_, err = print.Write(text)
	return err
}
