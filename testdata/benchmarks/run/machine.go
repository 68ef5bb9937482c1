//go:build unix

package main

import (
	"fmt"
	"os"
	"runtime"
	"strings"
	"time"
)

// machine says what the figures are of; neither the machine's name nor a path.
func (t *table) machine() {
	t.line("borestack benchmarks, %s%s", time.Now().Format(time.DateOnly), map[bool]string{true: ", quick"}[t.quick])
	t.line("machine: %s/%s, %d processors, %s%s; load before %s", runtime.GOOS, runtime.GOARCH, runtime.NumCPU(), runtime.Version(), processor(), load())
	if busy() {
		t.line("BUSY: other work runs beside this. Wall times say little, processor times are up to twice too long; ratios of interleaved processor times hold")
	}
	t.line("figures: middle of the rounds (least to most), processor time unless said")
}

// machineAfter says how busy the machine was at the end.
func (t *table) machineAfter() {
	t.line("")
	t.line("load after: %s", load())
}

// busy reports whether other programs leave this one less than the whole machine.
func busy() bool {
	var now float64
	_, err := fmt.Sscan(load(), &now)
	return err == nil && now > float64(runtime.NumCPU())/2
}

// load is how many programs wanted to run of late, where the system tells.
func load() string {
	text, err := os.ReadFile("/proc/loadavg")
	if err != nil {
		return "not known"
	}
	return strings.Fields(string(text))[0]
}

// processor is what the processor calls its kind, where the system tells.
func processor() string {
	text, err := os.ReadFile("/proc/cpuinfo")
	if err != nil {
		return ""
	}
	for l := range strings.Lines(string(text)) {
		if flags, ok := strings.CutPrefix(l, "flags"); ok {
			for _, f := range []string{"avx512f", "avx2", "avx"} {
				if strings.Contains(flags, " "+f+" ") {
					return ", " + f
				}
			}
		}
	}
	return ""
}
