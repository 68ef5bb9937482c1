//go:build unix

package main

import (
	"bufio"
	"bytes"
	"context"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"

	"example.com/borestack/stackup"
	"example.com/borestack/testdata/benchmarks/stack3"
)

// peerFolder holds the programs written by hand, from the module's root.
const peerFolder = "testdata/benchmarks/peers"

// peer is a program that does the work of stack-3.
type peer struct {
	name    string
	goal    float64 // how many times as fast the library wants to be
	command []string
}

// speed is samples per second by processor time and by wall time.
type speed struct{ processor, wall float64 }

// builtC is the C peer, built with the compiler that is there.
func builtC(ctx context.Context, into string) (peer, bool) {
	for _, cc := range []string{"gcc", "cc", "clang"} {
		to := filepath.Join(into, "stack3")
		if exec.CommandContext(ctx, cc, "-O3", "-march=native", "-o", to, filepath.Join(peerFolder, "stack3.c"), "-lm").Run() == nil {
			return peer{"scalar C (" + cc + " -O3 -march=native)", 0.9, []string{to}}, true
		}
	}
	return peer{}, false
}

// numpyScript is the numpy peer, where an interpreter has numpy.
func numpyScript(ctx context.Context) (peer, bool) {
	for _, python := range []string{"python3", "/usr/bin/python3", "python"} {
		out, err := exec.CommandContext(ctx, python, "-c", "import numpy; print(numpy.__version__)").Output()
		if err == nil {
			return peer{"expert numpy (" + strings.TrimSpace(string(out)) + ")", 8, []string{python, filepath.Join(peerFolder, "stack3.py")}}, true
		}
	}
	return peer{}, false
}

// lines runs the peer and returns the numbers of its lines that begin with a word.
func (p peer) lines(ctx context.Context, task, word string) ([][]float64, error) {
	out, err := exec.CommandContext(ctx, p.command[0], append(p.command[1:len(p.command):len(p.command)], task)...).Output()
	if err != nil {
		return nil, fmt.Errorf("%s: %w", p.name, err)
	}
	var all [][]float64
	for s := bufio.NewScanner(bytes.NewReader(out)); s.Scan(); {
		rest, ok := strings.CutPrefix(s.Text(), word+" ")
		if !ok {
			continue
		}
		var row []float64
		for _, f := range strings.Fields(rest) {
			var v float64
			if _, err := fmt.Sscan(f, &v); err != nil {
				return nil, fmt.Errorf("%s: %q: %w", p.name, s.Text(), err)
			}
			row = append(row, v)
		}
		all = append(all, row)
	}
	return all, nil
}

// speed is the peer's own account of its speed.
func (p peer) speed(ctx context.Context) (speed, error) {
	rows, err := p.lines(ctx, "speed", "R")
	if err != nil {
		return speed{}, err
	}
	if len(rows) != 1 || len(rows[0]) != 2 {
		return speed{}, fmt.Errorf("%s: no line of two speeds", p.name)
	}
	return speed{rows[0][0], rows[0][1]}, nil
}

// ownSpeed is the library's at the same work through its public interface, as the peers measure
// theirs: the best of nine runs.
func ownSpeed(ctx context.Context, st *stackup.Study, workers int) (speed, error) {
	const n = 200 * stackup.BlockSize
	run := func() error {
		_, err := st.Run(ctx, stackup.Settings{Samples: n, Seed: 1, Workers: workers})
		return err
	}
	var out speed
	for range 9 {
		from, used := wallTime(), processorTime()
		if err := run(); err != nil {
			return out, err
		}
		out.processor = max(out.processor, n/(processorTime()-used).Seconds())
		out.wall = max(out.wall, n/(wallTime()-from).Seconds())
	}
	return out, nil
}

// found are the peers whose tools are there; what is not there is said.
func (t *table) found(into string) []peer {
	var all []peer
	if c, ok := builtC(t.ctx, into); ok {
		all = append(all, c)
	} else {
		t.line("  no C compiler here: not compared with C")
	}
	if n, ok := numpyScript(t.ctx); ok {
		all = append(all, n)
	} else {
		t.line("  no Python with numpy here: not compared with numpy")
	}
	return all
}

// peers compares a study of stack-3 with the same work written by hand.
func peers(t *table) error {
	t.line("\nA study of stack-3 (41 inputs, 11 outputs) on one thread, against programs written for it")
	into, err := os.MkdirTemp("", "benchmarks")
	if err != nil {
		return err
	}
	defer os.RemoveAll(into)
	all := t.found(into)
	st, err := stack3.Study()
	if err != nil {
		return err
	}
	var own figures
	theirs, ratios, walls := make([]figures, len(all)), make([]figures, len(all)), make([]figures, len(all))
	for range t.rounds() {
		mine, err := ownSpeed(t.ctx, st, 1)
		if err != nil {
			return err
		}
		own = append(own, mine.processor/1e6)
		for i, p := range all {
			s, err := p.speed(t.ctx)
			if err != nil {
				return err
			}
			theirs[i] = append(theirs[i], s.processor/1e6)
			ratios[i] = append(ratios[i], mine.processor/s.processor)
			walls[i] = append(walls[i], mine.wall/s.wall)
		}
	}
	t.row("borestack, public interface", own, " million samples/s", "")
	for i, p := range all {
		t.row(p.name, theirs[i], " million samples/s", "")
		t.row("  borestack's speed as a multiple of it", ratios[i], "", fmt.Sprint(p.goal))
		t.row("  by wall time", walls[i], "", "")
		if p.goal < 1 {
			t.ofC = ratios[i].middle()
		}
	}
	return t.agreement(st, all)
}

// alike are the outputs that the library's study and the peers' model nearly have in common, by their
// columns there and here: the tilts in case and plate, in milliradians there. The peers let a pilot
// and a dowel float apart, where the library takes the set that both leave, and measure the tail's
// bores from its other face, so that the line through the first bores lies a little otherwise.
var alike = map[int]int{4: 3, 6: 5, 7: 6}

// nearly is the share by which these may differ, and programs of the same model the standard errors:
// of all together, less than one in ten thousand would.
const (
	nearly   = 0.02
	theSame  = 5
	perMilli = 1000
)

// sums are samples, mean and standard deviation of an output.
type sums struct{ n, mean, sd float64 }

// apart is how many standard errors two sums lie apart, the more of mean and standard deviation.
func (a sums) apart(b sums) float64 {
	mean := math.Abs(a.mean-b.mean) / math.Sqrt(a.sd*a.sd/a.n+b.sd*b.sd/b.n)
	sd := math.Abs(a.sd-b.sd) / math.Sqrt(a.sd*a.sd/(2*a.n)+b.sd*b.sd/(2*b.n))
	return max(mean, sd)
}

// agreement holds the programs' answers to each other.
func (t *table) agreement(st *stackup.Study, all []peer) error {
	acc, err := st.Run(t.ctx, stackup.Settings{Samples: 1 << 18, Seed: 3})
	if err != nil {
		return err
	}
	var before map[int]sums
	for _, p := range all {
		rows, err := p.lines(t.ctx, "sums", "S")
		if err != nil {
			return err
		}
		now := map[int]sums{}
		var worst, worstOfTwo float64
		for _, r := range rows {
			if len(r) != 4 {
				return fmt.Errorf("%s: sums of %d numbers", p.name, len(r))
			}
			k := int(r[0])
			now[k] = sums{r[1], r[2], r[3]}
			if here, ok := alike[k]; ok {
				s := acc.Summary(here)
				worst = max(worst, math.Abs(perMilli*s.Mean/r[2]-1), math.Abs(perMilli*s.SD/r[3]-1))
			}
			if before != nil {
				worstOfTwo = max(worstOfTwo, now[k].apart(before[k]))
			}
		}
		said := fmt.Sprintf("  %s and borestack: tilts in case and plate within %.1f %%", p.name, 100*worst)
		if before != nil {
			said += fmt.Sprintf(", the two programs on all outputs within %.1f standard errors", worstOfTwo)
		}
		t.line("%s", said)
		if worst > nearly || worstOfTwo > theSame {
			t.wrong = append(t.wrong, "programs that do the same work disagree: "+said)
		}
		before = now
	}
	return nil
}
