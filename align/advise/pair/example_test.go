package pair_test

import (
	"context"
	"fmt"
	"os"

	"example.com/borestack/align"
	"example.com/borestack/align/advise"
	"example.com/borestack/align/advise/pair"
	"example.com/borestack/align/record"
	"example.com/borestack/align/study"
)

// Three bins: two cases, four plates and two tails. The second case is the first with its rear
// register 0.02 mm larger: its plates float farther.
func ExampleTable_Choose_threeBins() {
	file, err := os.Open("../../../examples/compare/bench.json") // invented
	if err != nil {
		fmt.Println(err)
		return
	}
	defer file.Close()
	rec, err := record.Decode(file)
	if err != nil {
		fmt.Println(err)
		return
	}
	box, err := advise.FromRecord(rec)
	if err != nil {
		fmt.Println(err)
		return
	}
	box.Origin = study.Origin{} // the second case is in no record
	loose := box.Stack.Clone().Parts[1]
	loose.Name = "loose case"
	loose.Rear.Pilot.Diameter += 0.02
	box.Stack.Candidates = append(box.Stack.Candidates, align.Candidates{Place: "case", Parts: []align.Part{loose}})

	table, err := pair.Try(context.Background(), pair.Box{Box: box})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(table.Combinations(), "combinations")
	p, err := table.Choose(context.Background())
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%d boxes of at most %d; the tightest has %.4f mm, at most %.4f; proved: %v\n", len(p.Boxes), p.Most, p.Boxes[0].Left, p.Least, p.Proved)
	// Output:
	// 16 combinations
	// 2 boxes of at most 2; the tightest has 0.0051 mm, at most 0.0051; proved: true
}
