package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"strconv"
	"sync"
	"text/tabwriter"

	"example.com/borestack/align/record"
	"example.com/borestack/align/study"
	"example.com/borestack/tolerance"
)

// end is how a record ends.
type end uint8

const (
	refused   end = iota // an error: it cannot be meant
	undecided            // it cannot be relied on, or the gauge cannot tell
	failed
	depends
	passed
)

// finish runs one record as the command does.
func finish(raw []byte) end {
	rec, err := record.Decode(bytes.NewReader(raw))
	if err != nil {
		return refused
	}
	res, err := study.Run(context.Background(), rec)
	if err != nil {
		return refused
	}
	switch res.Word {
	case tolerance.Pass:
		return passed
	case tolerance.Undecided:
		return undecided
	case tolerance.Depends:
		return depends
	}
	return failed
}

// falsePass is a slip that passes where the box without it does not.
type falsePass struct {
	Box int
	slip
}

// counts is what became of the slips of one kind.
type counts struct {
	Ends   [passed + 1]int
	Denied int // passes that the box without the slip denies
}

// result is a whole campaign.
type result struct {
	Boxes, Failing int
	Kinds          map[string]*counts
	False          []falsePass
}

// campaign tries the slips of the first boxes, each everyth one, on several workers. The answer does not depend on how many.
func campaign(boxes, every, workers int) result {
	all := make([]result, boxes)
	next := make(chan int)
	var wg sync.WaitGroup
	for range workers {
		wg.Add(1)
		go func() {
			defer wg.Done()
			for i := range next {
				all[i] = tryBox(i, every)
			}
		}()
	}
	for i := range boxes {
		next <- i
	}
	close(next)
	wg.Wait()
	out := result{Kinds: map[string]*counts{}}
	for _, k := range kinds {
		out.Kinds[k] = &counts{}
	}
	for _, r := range all {
		out.Boxes += r.Boxes
		out.Failing += r.Failing
		out.False = append(out.False, r.False...)
		for k, c := range r.Kinds {
			sum := out.Kinds[k]
			for e := range c.Ends {
				sum.Ends[e] += c.Ends[e]
			}
			sum.Denied += c.Denied
		}
	}
	return out
}

// tryBox tries the slips of one box.
func tryBox(i, every int) result {
	out := result{Boxes: 1, Kinds: map[string]*counts{}}
	box := cleanBox(uint64(i))
	raw, err := json.Marshal(box)
	if err != nil {
		panic(err) // maps, lists, texts and numbers always encode
	}
	truth := finish(raw)
	if truth != passed {
		out.Failing = 1
	}
	n := map[string]int{}
	slips(box, func(s slip) {
		if n[s.Kind]++; (n[s.Kind]+i)%every != 0 { // another start in every box, so that every place comes up
			return
		}
		c := out.Kinds[s.Kind]
		if c == nil {
			c = &counts{}
			out.Kinds[s.Kind] = c
		}
		e := finish(s.Record)
		c.Ends[e]++
		if e == passed && truth != passed {
			c.Denied++
			out.False = append(out.False, falsePass{i, s})
		}
	})
	return out
}

// table prints what became of the slips.
func (r result) table(w io.Writer) {
	fmt.Fprintf(w, "Slips of the hand in %d invented boxes, %d of which do not pass as measured without one.\n", r.Boxes, r.Failing)
	fmt.Fprintln(w, "A false pass passes although the box without the slip does not.")
	fmt.Fprintln(w)
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(t, "slip\ttried\trefused\tundecided\tfail\tdepends\tpass\tfalse pass\t")
	var sum counts
	row := func(name string, c *counts) {
		n := 0
		for _, v := range c.Ends {
			n += v
		}
		fmt.Fprint(t, name, "\t", strconv.Itoa(n))
		for _, v := range c.Ends {
			fmt.Fprint(t, "\t", v)
		}
		fmt.Fprint(t, "\t", c.Denied, "\t\n")
	}
	for _, k := range kinds {
		c := r.Kinds[k]
		row(k, c)
		for e := range c.Ends {
			sum.Ends[e] += c.Ends[e]
		}
		sum.Denied += c.Denied
	}
	row("all", &sum)
	t.Flush()
}
