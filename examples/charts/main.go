// Command charts works the small charts of the trade from the command line: what to put in a gap, under a corner or in a
// dowel hole, what a press fit comes to, and how many parts a capable process still spoils.
//
//	charts shim -gap "0.47 mm" -least "0.06 mm" -greatest "0.11 mm" -stock "0.1 mm, 0.15 mm, 0.2 mm" -pieces 3
//	charts endplay -chain "end play" -stock "0.3 mm, 0.35 mm" RECORD.json
//	charts split -front "75.2 mm" -rear "75.35 mm" -length "146 mm" -preload "0.15 mm" -step "0.05 mm"
//	charts dowel -tir "18 thou" -accept "10 thou" -stock "7 thou, 14 thou, 21 thou"
//	charts corners -at "-150 mm, 150 mm, 0 mm, 150 mm, 150 mm, 0.2 mm, 150 mm, -150 mm, 0.1 mm"
//	charts press -bore "20 mm" -seat "40 mm" -outside "60 mm" -interference "0.03 mm" -long "25 mm" -friction 0.12
//	charts capability -least "0.06 mm" -greatest "0.11 mm" -cpk 1.33 -shift "0.005 mm"
//
// What is not given is as above: all of it is invented. Corners are x, y and the dial's reading in turn.
package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"strings"

	"example.com/borestack/tolerance"
)

func main() {
	if err := run(os.Args[1:], os.Stdout); err != nil && !errors.Is(err, flag.ErrHelp) {
		fmt.Fprintln(os.Stderr, "charts:", err)
		os.Exit(2)
	}
}

// chart names its flags, and returns what works it out once they are read.
type chart func(f *flags) func(out io.Writer) error

// run works one chart.
func run(args []string, out io.Writer) error {
	charts := map[string]chart{"shim": shim, "endplay": endplay, "split": split, "dowel": dowel, "corners": corners, "press": press, "capability": capability}
	if len(args) == 0 || charts[args[0]] == nil {
		return errors.New("name a chart: shim, endplay, split, dowel, corners, press or capability; -h behind it lists its flags")
	}
	f := &flags{flag.NewFlagSet("charts "+args[0], flag.ContinueOnError)}
	work := charts[args[0]](f)
	if err := f.Parse(args[1:]); err != nil {
		return err
	}
	return work(out)
}

// flags are those of one chart.
type flags struct{ *flag.FlagSet }

// length is a flag for a length with its unit.
func (f *flags) length(name string, value tolerance.Length, usage string) *tolerance.Length {
	f.TextVar(&value, name, value, usage)
	return &value
}

// list is a flag for several.
func (f *flags) list(name, usage string, value ...tolerance.Length) *[]tolerance.Length {
	f.Func(name, fmt.Sprintf("%s, apart by commas (default %v)", usage, value), func(s string) error {
		value = nil
		for _, word := range strings.Split(s, ",") {
			v, err := tolerance.ParseLength(word)
			if err != nil {
				return err
			}
			value = append(value, v)
		}
		return nil
	})
	return &value
}
