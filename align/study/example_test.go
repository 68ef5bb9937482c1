package study_test

import (
	"context"
	"fmt"
	"strings"

	"example.com/borestack/align"
	"example.com/borestack/align/record"
	"example.com/borestack/align/study"
	"example.com/borestack/stackup"
	"example.com/borestack/stackup/law"
	"example.com/borestack/tolerance"
)

// must is for examples: a program says what went wrong.
func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

// A box described in Go goes to a yield with its error. The box is invented.
func ExampleOf() {
	spigot, bore := &align.Pilot{Diameter: 150}, &align.Pilot{Kind: align.PilotBore, Diameter: 150.02}
	at := func(name string, z tolerance.Length) []align.Bore {
		return []align.Bore{{Name: name, Centre: align.Vec3{Z: z}}}
	}
	box := align.Stack{Parts: []align.Part{
		{Name: "case", Rear: &align.Face{Z: 180, Pilot: bore}, Bores: at("bearing", 20)},
		{Name: "plate", Front: &align.Face{Pilot: spigot}, Rear: &align.Face{Z: 14, Pilot: spigot}, Bores: at("bearing", 7)},
		{Name: "tail", Front: &align.Face{Pilot: bore}, Bores: at("bush", 230)},
	}, Joints: make([]align.Joint, 2), Shafts: []align.Shaft{{Name: "main", Supports: []align.Support{
		{Bore: "case/bearing", Clearance: 0.04}, {Bore: "plate/bearing", Clearance: 0.04}, {Bore: "tail/bush", Clearance: 0.1},
	}}}}
	slope := align.NumberOf(func(s *align.Stack) *float64 { return &s.Parts[1].Rear.Slope.X })
	wedge := align.Source{Name: "wedge", Moves: []align.Move{{Of: slope, Gain: 1}}}
	plan := must(box.Compile([]align.Source{wedge}, []align.Lie{align.LiesUniform, align.LiesUniform}, []align.Output{{What: align.Margin}, {What: align.Assembles}}))
	st := must(study.Of(plan, []stackup.Input{{Name: "wedge", Law: must(law.NewNormal(0, 0.0002))}}, stackup.Response{Name: "margin", Limits: tolerance.AtLeast(0)}))
	y := must(st.Run(context.Background(), stackup.Settings{Samples: 20_000, Seed: 1})).Summary(0)
	fmt.Printf("%.1f %% run free (%.1f to %.1f with 95 %% confidence)\n", 100*y.Yield, 100*y.YieldInterval[0], 100*y.YieldInterval[1])
	// Output:
	// 99.4 % run free (99.3 to 99.5 with 95 % confidence)
}

// plateBox is an invented record of a case, a plate and a tail: the plate's wedge varies from plate
// to plate, the bush's clearance is known to the gauge's error.
const plateBox = `{"format": "borestack-record/1", "units": {"length": "mm"},
"parts": [
 {"name": "case", "rear": {"z": 180, "pilot": {"kind": "bore", "centre": [0, 0], "diameter": 150}}, "bores": [{"name": "bearing", "centre": [0, 0, 20]}]},
 {"name": "plate", "front": {"pilot": {"kind": "spigot", "centre": [0, 0], "diameter": 150}}, "rear": {"z": 14, "slope": [0.0001, 0], "pilot": {"kind": "spigot", "centre": [0, 0], "diameter": 150}}, "bores": [{"name": "bearing", "centre": [0, 0, 7]}]},
 {"name": "tail", "front": {"pilot": {"kind": "bore", "centre": [0, 0], "diameter": 150}}, "bores": [{"name": "bush", "centre": [0, 0, 230]}]}],
"joints": [{}, {}],
"shafts": [{"name": "main", "supports": [{"bore": "case/bearing", "clearance": 0.04}, {"bore": "plate/bearing", "clearance": 0.04}, {"bore": "tail/bush", "clearance": 0.1}]}],
"vary": [
 {"name": "wedge", "at": "/parts/1/rear/slope/0", "law": {"normal": 0.0001}},
 {"name": "bush gauge", "at": "/shafts/0/supports/2/clearance", "law": {"normal": 0.002}, "because": "gauge"}],
"accept": [{"output": {"kind": "use"}, "greatest": 0.4, "because": "the shop's own rule"}]}`

// The verdict of a record, and what it rests on.
func ExampleRun() {
	rec, err := record.Decode(strings.NewReader(plateBox))
	if err != nil {
		fmt.Println(err)
		return
	}
	res, err := study.Run(context.Background(), rec)
	if err != nil {
		fmt.Println(err)
		return
	}
	v := res.Verdicts[0]
	fmt.Printf("%v: use %.3f of at most %.1f, standard uncertainty %.4f\n", res.Word, v.Value.Value, v.Limit.Greatest.Value, v.U)
	// Output:
	// pass: use 0.181 of at most 0.4, standard uncertainty 0.0014
}

// How a batch varies, and how sure the verdict on this very box is, side by side.
func ExampleVary() {
	rec, err := record.Decode(strings.NewReader(plateBox))
	if err != nil {
		fmt.Println(err)
		return
	}
	list, err := study.Vary(context.Background(), rec, stackup.Settings{Samples: 20_000, Seed: 1})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, v := range list {
		use := v.Outputs[0]
		fmt.Printf("%s: %.1f %% hold, RSS ±%.3f, worst case unbounded by %q\n", v.Because, 100*use.Sampled.Yield, use.RSS.SD, use.Unbounded)
	}
	// Output:
	// process: 88.6 % hold, RSS ±0.181, worst case unbounded by "wedge"
	// gauge: 100.0 % hold, RSS ±0.001, worst case unbounded by "bush gauge"
}

// The blocks of a study may be run anywhere, in any order; joined they give the same bytes.
func ExampleMerge() {
	ctx := context.Background()
	rec, err := record.Decode(strings.NewReader(plateBox))
	if err != nil {
		fmt.Println(err)
		return
	}
	var shards [][]byte
	for _, blocks := range [][2]int{{1, 3}, {0, 1}} {
		one, err := study.Shard(ctx, rec, stackup.Settings{Samples: 3 * stackup.BlockSize, Seed: 1, From: blocks[0], To: blocks[1]})
		if err != nil {
			fmt.Println(err)
			return
		}
		shards = append(shards, one)
	}
	joined, err := study.Merge(ctx, rec, shards)
	if err != nil {
		fmt.Println(err)
		return
	}
	alone, err := study.Vary(ctx, rec, stackup.Settings{Samples: 3 * stackup.BlockSize, Seed: 1})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(joined[0].Outputs[0].Sampled.Yield == alone[0].Outputs[0].Sampled.Yield)
	// Output:
	// true
}

// A limit held against a box that was described in Go, by the same rules as a record's.
func ExampleOrigin_Judge() {
	rec, err := record.Decode(strings.NewReader(plateBox))
	if err != nil {
		fmt.Println(err)
		return
	}
	box, err := rec.Stack()
	if err != nil {
		fmt.Println(err)
		return
	}
	offset := record.Limit{Output: align.Output{What: align.OffsetSize, Of: "tail/bush"}, Limits: tolerance.AtMost(0.02)}
	verdicts, _, err := study.Origin{}.Judge(context.Background(), box, []record.Limit{offset})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%v: offset %.4f mm\n", verdicts[0].Word, verdicts[0].Value.Value)
	// Output:
	// fail: offset 0.0230 mm
}
