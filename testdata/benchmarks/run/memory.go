//go:build unix

package main

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"runtime"
	"strconv"

	"example.com/borestack/stackup"
	"example.com/borestack/stackup/law"
)

// mostMemory is what a study of 40 outputs may need, in megabytes, however many its samples.
const mostMemory = 200

// memory runs a study of 40 outputs in a program of its own and says the most memory that it had.
func memory(t *table) error {
	t.line("\nMemory of a study of 40 outputs, all kept with their histograms")
	sizes := []int{100_000, 1_000_000, 10_000_000}
	if t.quick {
		sizes = sizes[:2]
	}
	self, err := os.Executable()
	if err != nil {
		return err
	}
	for _, n := range sizes {
		cmd := exec.CommandContext(t.ctx, self, "-memory", strconv.Itoa(n))
		cmd.Stderr = os.Stderr
		out, err := cmd.Output()
		if err != nil {
			return err
		}
		var bytes float64
		if _, err := fmt.Sscan(string(out), &bytes); err != nil {
			return err
		}
		megabytes := bytes / 1e6
		t.line("  %9d samples: %4.0f MB taken from the system   goal under %d", n, megabytes, mostMemory)
		if megabytes > mostMemory {
			t.wrong = append(t.wrong, fmt.Sprintf("a study of %d samples took %.0f MB", n, megabytes))
		}
	}
	return nil
}

// fortyOutputs is that study: sums of three normal deviations. It prints the bytes that the program
// took from the system.
func fortyOutputs(ctx context.Context, samples int) error {
	const inputs, outputs = 3, 40
	st := &stackup.Study{Model: stackup.Func{In: inputs, Out: outputs, Of: func(y, x []float64) error {
		for k := range y {
			y[k] = x[0] + float64(k)*x[1] - x[2]
		}
		return nil
	}}}
	for i := range inputs {
		l, err := law.NewNormal(0, 1)
		if err != nil {
			return err
		}
		st.Inputs = append(st.Inputs, stackup.Input{Name: fmt.Sprint(i), Law: l})
	}
	for k := range outputs {
		st.Responses = append(st.Responses, stackup.Response{Name: fmt.Sprint(k), Output: k})
	}
	_, err := st.Run(ctx, stackup.Settings{Samples: samples, Seed: 1})
	var had runtime.MemStats
	runtime.ReadMemStats(&had)
	fmt.Println(had.Sys)
	return err
}
