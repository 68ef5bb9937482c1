//go:build unix

package align_test

import (
	"bufio"
	"bytes"
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"example.com/borestack/stackup"
	"example.com/borestack/stackup/law"
)

// BenchmarkPeers compares a study of stack-3 with the same work written by hand in C and for numpy: PEERS names the folder that holds w.c and w.py. Each prints samples per second of processor time, the best of a few repetitions, as is done here, one after the other in every round; what is reported are medians over the rounds, and of their ratios.
//
//	PEERS=… go test -run '^$' -bench Peers ./align
func BenchmarkPeers(b *testing.B) {
	folder := os.Getenv("PEERS")
	if folder == "" {
		b.Skip("PEERS names no folder")
	}
	st, err := stack3Study()
	if err != nil {
		b.Fatal(err)
	}
	c := filepath.Join(b.TempDir(), "c")
	if out, err := exec.Command("gcc", "-O3", "-march=native", "-o", c, filepath.Join(folder, "w.c"), "-lm").CombinedOutput(); err != nil {
		b.Fatalf("%v\n%s", err, out)
	}
	const rounds = 5
	wall := func() time.Duration { return time.Duration(time.Now().UnixNano()) }
	var own, scalar, numpy, two, cost, machine []float64
	for range rounds {
		one := best(b, st, 1, processorTime)
		own = append(own, one)
		scalar = append(scalar, one/peer(b, "w1/soa-xoshiro-zig", c, "bench", "c"))
		numpy = append(numpy, one/peer(b, "w1/cols", "python3", filepath.Join(folder, "w.py"), "bench"))
		two = append(two, best(b, st, 2, wall)/best(b, st, 1, wall))
		cost = append(cost, 2*best(b, st, 2, processorTime)/one)
		machine = append(machine, spinsAtOnce())
	}
	b.ReportMetric(median(own), "samples/s")
	b.ReportMetric(median(scalar), "of-C")
	b.ReportMetric(median(numpy), "of-numpy")
	b.ReportMetric(median(two), "two-workers/one")
	b.ReportMetric(median(cost), "two-workers/one-by-processor-time")
	b.ReportMetric(median(machine), "two-spins/one") // what this machine gives to work that shares nothing
	b.ReportMetric(0, "ns/op")
}

// best is the most samples per second of a few runs.
func best(b *testing.B, st *stackup.Study, workers int, clock func() time.Duration) (most float64) {
	const n = 200 * stackup.BlockSize
	for range 9 {
		from := clock()
		if _, err := st.Run(context.Background(), stackup.Settings{Samples: n, Seed: 1, Workers: workers}); err != nil {
			b.Fatal(err)
		}
		most = max(most, n/(clock()-from).Seconds())
	}
	return most
}

// processorTime is what this program has used.
func processorTime() time.Duration {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		return 0
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

// peer runs a program that prints lines of "R language work speed", and returns the speed at one work.
func peer(b *testing.B, work, name string, args ...string) float64 {
	out, err := exec.Command(name, args...).Output()
	if err != nil {
		b.Fatalf("%s: %v", name, err)
	}
	for s := bufio.NewScanner(bytes.NewReader(out)); s.Scan(); {
		if f := strings.Fields(s.Text()); len(f) == 4 && f[2] == work {
			v, err := strconv.ParseFloat(f[3], 64)
			if err != nil {
				b.Fatal(err)
			}
			return v
		}
	}
	b.Fatalf("%s prints no %s", name, work)
	return 0
}

// spinsAtOnce is how many times as much two goroutines that share nothing do in the same time as one, each at its best of a few.
func spinsAtOnce() float64 {
	spin := func(n int) time.Duration {
		from := time.Now()
		var wg sync.WaitGroup
		for range n {
			wg.Add(1)
			go func() {
				defer wg.Done()
				s := law.NewStream(1, "spin", 0)
				var y [256]float64
				for range 100_000 {
					s.Normals(y[:])
				}
			}()
		}
		wg.Wait()
		return time.Since(from)
	}
	one, two := time.Hour, time.Hour
	for range 5 {
		one, two = min(one, spin(1)), min(two, spin(2))
	}
	return 2 * one.Seconds() / two.Seconds()
}

func median(v []float64) float64 {
	slices.Sort(v)
	return v[len(v)/2]
}
