// Command slips shows what becomes of slips of the hand: it takes invented boxes as measured without a slip, makes every slip in every number of each, one at a time, and counts how many end in a pass that the box without the slip denies.
//
// Usage:
//
//	slips [-boxes N] [-every N] [-list]
//
// -every takes each Nth slip alone. -list prints every false pass with its place.
package main

import (
	"flag"
	"fmt"
	"os"
	"runtime"
)

func main() {
	boxes := flag.Int("boxes", 40, "how many boxes")
	every := flag.Int("every", 1, "take each Nth slip")
	listed := flag.Bool("list", false, "print every false pass with its place")
	flag.Parse()
	if *boxes < 1 || *every < 1 || flag.NArg() > 0 {
		flag.Usage()
		os.Exit(2)
	}
	c := campaign(*boxes, *every, runtime.GOMAXPROCS(0))
	c.table(os.Stdout)
	if *listed {
		for _, f := range c.False {
			fmt.Printf("box %d: %s at %s\n", f.Box, f.Kind, f.Path)
		}
	}
}
