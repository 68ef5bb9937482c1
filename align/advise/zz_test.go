package advise

import (
	"context"
	"fmt"
	"os"
	"testing"
	"time"

	"example.com/borestack/align/record"
	"example.com/borestack/tolerance"
)

func TestTry(t *testing.T) {
	f, _ := os.Open("../../examples/driveline/harbour-launch.json")
	rec, err := record.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	b, _ := FromRecord(rec)
	b.Stack, _ = Correction{Kind: Swap, Place: "plate", Part: 2}.Apply(b.Stack)
	shop := Shop{
		Push: true, Swap: true, Reclock: []ReclockWork{{"plate", 6, true}}, TurnOver: []string{"plate"},
		Dowels: []DowelWork{{"carrier to case", []tolerance.Length{0.1778, 0.3556, 0.5334}}},
		Shims:  []ShimWork{{Joint: "case|plate", Thicknesses: []tolerance.Length{0.1, 0.2, 0.3}, Replace: true, MostTaper: 0.2, Thin: 0.1}},
		Skims:  []SkimWork{{Face: "plate/rear", Stock: 0.4, Least: tolerance.Given[tolerance.Length](13.7), Clean: 0.02, Wedge: true}, {Face: "plate/front", Stock: 0.4, Wedge: true}},
		Redowel: []RedowelWork{{"carrier to case", 0.3, 14}}, Bores: []BoreWork{{Bore: "tail/tail bush", Most: 0.5, Wall: 3, Offsets: []tolerance.Length{0.05, 0.1}}},
		Pairs: 1, Within: 0.005, Dial: 0.002,
	}
	t0 := time.Now()
	a, err := Correct(context.Background(), b, shop)
	if err != nil {
		t.Fatal(err)
	}
	fmt.Println(time.Since(t0))
	fmt.Println("before", a.Before.Word, roomOf(a.Before), a.Tell)
	for _, o := range a.Options {
		fmt.Printf("%-40s %v room %.4f effort %d worse %d\n", describe(o.Corrections), o.After.Word, roomOf(o.After), o.Effort, len(o.Worse()))
		for _, c := range o.Corrections {
			fmt.Printf("      by %v rise %v across %v clock %v turn %v part %d\n", c.By, c.Rise, c.Across, c.Clock, c.Turn, c.Part)
		}
		for _, e := range o.Effects {
			fmt.Printf("      %v %v: %.4f -> %.4f  %v -> %v\n", e.Output.What, e.Output.Of, e.Before.Value, e.After.Value, e.WordBefore, e.WordAfter)
		}
	}
	for i := range a.Options { if i > 0 && len(a.Options[i].Corrections) == 2 { continue }
		ws, err := a.Sheet(&a.Options[i])
		if err != nil { t.Fatal(describe(a.Options[i].Corrections), err) }
		ws.Text(os.Stdout, tolerance.Millimetres)
		if i == 0 { ws.Markdown(os.Stdout, tolerance.Inches) }
	}
	for _, r := range a.Refused {
		fmt.Println("refused", r.Kind, r.Place, r.Err)
	}
}
