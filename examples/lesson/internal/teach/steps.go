package teach

import (
	"math"
	"slices"

	"example.com/borestack/align/advise/batch"
	"example.com/borestack/examples/lesson/internal/box"
	"example.com/borestack/examples/lesson/internal/chance"
	"example.com/borestack/tolerance"
)

// Seen is what a step's goal is judged by: the box, and what the pictures of many boxes show; nil where not yet seen.
type Seen struct {
	*box.View
	Parts int // how many eccentric parts are added up
	Ways  *chance.Ways
	Count *chance.Count
	Lot   *chance.Lot
	Maker *chance.Maker
}

// Step is one guided step: what it says, how it sets the box, and what is to be done.
type Step struct {
	Title string
	Says  []string // paragraphs
	Goal  string
	Set   box.Knobs
	About string // the picture that it is about; empty: the box
	Done  func(Seen) bool
}

// closeTo allows for the steps of a slider, and for goals that the inch lesson rounds.
const closeTo = 0.003 * tolerance.Millimetre

// Steps returns the lesson in a unit.
func Steps(unit tolerance.Unit) []Step {
	s := speaker{unit}
	set := func(change func(*box.Knobs)) box.Knobs {
		k := box.True()
		change(&k)
		return k
	}
	plates := box.Plates()
	measured := set(func(k *box.Knobs) { k.Measured = true })
	return []Step{
		{
			Title: "TIR is twice the offset",
			Says: []string{
				"The plate's bearing is off its register: its centre lies " + s.exact(0.02) + " from the line of the input shaft. A dial on that line, turned once round in the bore, meets the offset on one side and again on the other: it shows " + s.exact(0.04) + ", the total indicator reading.",
				"Limits for the same joint are written both ways, and they differ by a factor of two. Never write “runout” or “concentricity” without saying which is meant.",
			},
			Goal: "Drag the diamond on the plate, or use “Off centre”, until the dial in the main bearing's bore reads TIR " + s.about(0.1) + ".",
			Set:  set(func(k *box.Knobs) { k.Offset = 0.02 }),
			Done: func(v Seen) bool { return near(2*sizeOf(v.View), 0.1) },
		},
		{
			Title: "A wedge leans all that is behind it",
			Says: []string{
				"A plate that is thicker on one side leans the tail away from that side. A micrometer at eight stations round the rim finds it: so much thicker here than opposite, and the clock position of the thickest place.",
				"A wedge has a direction. The same wedge that ruins one box may cancel what another is out.",
			},
			Goal: "Drag the round handle towards 12 o'clock, or use “Wedge”, until the dial in the tail bush reads a TIR of " + s.about(0.2) + " or more.",
			Set:  set(func(k *box.Knobs) { k.Wedge = 0.02 }),
			Done: func(v Seen) bool { return 2*tailOf(v.View) >= 0.2*tolerance.Millimetre-closeTo },
		},
		{
			Title: "Wedge is not bow",
			Says: []string{
				"This plate is bowed by " + s.exact(0.08) + ", and just as thick all round. The micrometer sees nothing; a feeler goes in at two places; the tail has not moved. Taken as rigid, the plate stands on its two high sides.",
				"Bolts pull some of a bow flat. They never take out a wedge. Thickness readings cannot show bow, and rocking on a surface table does not show a wedge: they are two measurements.",
			},
			Goal: "Take the bow out, then put in a wedge of " + s.about(0.1) + ". See which of the two the feeler finds, and which moves the tail.",
			Set:  set(func(k *box.Knobs) { k.Bow = 0.08 }),
			Done: func(v Seen) bool { return v.Knobs.Bow == 0 && near(v.Knobs.Wedge, 0.1) },
		},
		{
			Title: "Flush is not parallel",
			Says: []string{
				"No feeler goes in anywhere: the faces are flush all round, and bolted tight. The shafts have no room all the same. Flush says that two faces meet. Parallel would say that the plate's other face runs the same way, and it does not.",
				"Tightening more changes nothing, and never draw a box home with its bolts: stop and find the cause.",
			},
			Goal: "Keep the joint flush and make the box run free: take wedge out until the verdict says so.",
			Set:  set(func(k *box.Knobs) { k.Wedge, k.WedgeClock = 0.19, 60*tolerance.Degree }),
			Done: func(v Seen) bool { return v.Gap == 0 && v.Verdict == tolerance.Pass && v.Knobs.Wedge >= 0.02 },
		},
		{
			Title: "The lever arm",
			Says: []string{
				"A wedge is an angle, and distance makes it count. The tail bush sits " + s.long(230) + " behind the plate, " + s.long(box.Across) + " is the width on which the wedge was measured: the bush moves by the wedge times " + s.long(230) + " over " + s.long(box.Across) + ". The main bearing, inside the plate, hardly feels it.",
				"Two things are told apart under the gauges. What misalignment uses up of the clearances grows with every bit of wedge; the tail bush drives it most. What caps the margin is another thing: in a true box the tightest bearings do, with half their own clearance, " + s.exact(0.015) + ", and the first " + s.about(0.03) + " of wedge take nothing from that.",
			},
			Goal: "Set a wedge of " + s.about(0.1) + ". Reckon first where the tail bush goes; then read the dial. (It shows twice that.)",
			Set:  set(func(k *box.Knobs) { k.WedgeClock = 180 * tolerance.Degree }),
			Done: func(v Seen) bool { return v.Knobs.Bow == 0 && near(v.Knobs.Wedge, 0.1) },
		},
		{
			Title: "A loose pilot is a range, not a number",
			Says: []string{
				"A register with clearance does not hold the centre. The plate lies where gravity, the order of the bolts or the gears left it: clearance is no error that averages out. So the verdict has two ends, and in between it says which way to push before tightening.",
			},
			Goal: "Loosen the pilot until the verdict depends on the push.",
			Set:  set(func(k *box.Knobs) { k.Dowels = 0 }),
			Done: func(v Seen) bool { return v.Verdict == tolerance.Depends },
		},
		{
			Title: "What a dowel does",
			Says: []string{
				"The pilot is worn to " + s.exact(0.2) + " of clearance. One dowel sets the clock, but the plate still swings about it. Two close dowels hold the centre as well: the tighter locator wins. Where two locators disagree, the plate does not go on.",
				"An offset dowel moves the plate by its step. That step is the offset, half the TIR, and both dowels must point the same way.",
			},
			Goal: "Leave the pilot loose, and make the box run free with dowels.",
			Set:  set(func(k *box.Knobs) { k.Pilot, k.Dowels = 0.2, 0 }),
			Done: func(v Seen) bool { return v.Verdict == tolerance.Pass && v.Knobs.Pilot >= 0.18 },
		},
		{
			Title: "Turn the plate",
			Says: []string{
				"The case is a little out too: its register and its rear face. Plate B is as sound as others, but its peg hole was drilled in the wrong place, and its thick side adds to what the case is out. Errors with a direction add as arrows; turned, the same plate takes some of them away.",
				"On a real box only the steps of the bolt pattern can be had, and oil ways and shift rails often forbid those.",
			},
			Goal: "Turn the plate until at least " + s.about(0.013) + " of margin is left at worst.",
			Set:  plates[1].Set(measured),
			Done: func(v Seen) bool { return v.Knobs.Measured && v.Knobs.Wedge > 0.05 && v.Worst >= 0.0125 },
		},
		{
			Title: "Swap plates",
			Says: []string{
				"Four plates lie on the shelf. C came off the mill thick on one side. D is flat enough, but its register was turned undersize and walks in the case.",
			},
			Goal: "Find the plate that runs free as it comes, without turning it.",
			Set:  plates[2].Set(measured),
			Done: func(v Seen) bool {
				return v.Knobs.Measured && v.Knobs.Turn == 0 && v.Verdict == tolerance.Pass
			},
		},
		{
			Title: "Heat the case",
			Says: []string{
				"The case and its carrier warm up first; the plate is still cold. Aluminium grows by " + s.perDegree() + " millionths a degree, the register with it: a slide fit becomes a loose one, and the state in which a reading was taken belongs to the reading.",
				"Then try it with two dowels: their holes move apart, and the plate no longer goes on.",
			},
			Goal: "Heat the case until the register has " + s.about(0.1) + " of clearance.",
			Set:  set(func(k *box.Knobs) { k.Dowels = 0 }),
			Done: func(v Seen) bool {
				return v.Knobs.Case > 21 && v.Assembly.Joints[1].Pilot.Clearance.Length() >= 0.1*tolerance.Millimetre-closeTo
			},
		},
		{
			Title: "Two eccentric parts: why root sum of squares misleads",
			About: "sum",
			Says: []string{
				"Two parts are each " + s.exact(0.05) + " off centre, at clock positions that nobody chose. Root sum of squares gives 1.41 times one of them. It is meant for many small errors along one line. Here half of all assemblies are worse than it says, and the worst is the plain sum.",
				"For parts on the bench, measure the clock positions and add arrows. For a batch, sample.",
			},
			Goal: "Add up six parts instead of two. Is the root sum of squares passed less often now?",
			Set:  box.True(),
			Done: func(v Seen) bool { return v.Parts == 6 },
		},
		{
			Title: "Three ways to add up: where root sum of squares is right",
			About: "ways",
			Says: []string{
				"Two chains, every part within ±" + s.exact(chance.Tolerance) + " as three standard deviations. The end play is four lengths along one line: worst case is exact and wide, root sum of squares is right to the last digit, and Monte Carlo comes to the same within its own error.",
				"The offset of the tail is the size √(x² + y²) of three arrows. A size has no minus: about zero it is no length along a line, and root sum of squares leaves four times as many outside as it promises.",
			},
			Goal: "Put the offset off to begin with, until the upper end of root sum of squares is right to " + s.about(0.002) + ".",
			Set:  box.True(),
			Done: func(v Seen) bool { return v.Ways != nil && v.Ways.Size.Short() <= 0.0021 },
		},
		{
			Title: "What a sample is worth",
			About: "count",
			Says: []string{
				"Monte Carlo counts good boxes, and a count has an error: √(p (1 − p)/N) for a share p of N samples. Four times the samples halve it. The funnel is where 95 of 100 runs lie.",
				"The error says how far a run may be off, not how good the model is: a wrong distribution is as wrong with a million samples. And one run in twenty has the true share outside its 95 % interval.",
			},
			Goal: "The first run has 400 samples. Find how many it takes to make its error a quarter.",
			Set:  box.True(),
			Done: func(v Seen) bool { return v.Count != nil && v.Count.Samples >= 16*FirstCount },
		},
		{
			Title: "Two parts of one lot",
			About: "lot",
			Says: []string{
				"Two shims off one sheet are thick together or thin together: their deviations correlate. The worst case does not see it, because both may still be at their limits. Root sum of squares does not see it either: it takes parts to be independent.",
				"Under one foot, shims of one lot spread more than that. One on either side, they spread less: what is alike in both lifts the foot and does not lean it. Which way it goes is a matter of the chain, so keep lots together, or mix them, on purpose.",
			},
			Goal: "Make the shims so alike that their sum spreads 1.3 times as far as root sum of squares says.",
			Set:  box.True(),
			Done: func(v Seen) bool { return v.Lot != nil && v.Lot.Sum.Exact >= 1.3*v.Lot.RSS },
		},
		{
			Title: "The maker's side: where a wedge comes from",
			About: "maker",
			Says: []string{
				"Twenty plates off one mill. Their wedges scatter, and a chip under the fixture leans them all one way. The same sizes could come from scatter alone: a list of sizes, or their mean, cannot tell. A wedge is a signed vector; with how each plate lay in the fixture, the vectors tell.",
				"What keeps its place in the fixture points to the fixture, what turns with the plate to the casting. A maker's further questions have programs of their own: which plate goes with which case (pair), what to write on the drawing (specify), what can explain a box that runs rough (diagnose), and one axis through several bores (bores).",
			},
			Goal: "Drag the fixture's wedge out until the batch names the fixture. Then lay all plates alike, and see what can no longer be told.",
			Set:  box.True(),
			Done: func(v Seen) bool {
				return v.Maker != nil && v.Maker.OfMade != nil && slices.ContainsFunc(v.Maker.OfMade.Causes, func(c batch.Cause) bool { return c.Kind == batch.FromFixture })
			},
		},
	}
}

// FirstCount is how many samples the reader starts with.
const FirstCount = 400

func near(l, goal tolerance.Length) bool { return math.Abs(float64(l-goal)) <= float64(closeTo) }

func sizeOf(v *box.View) tolerance.Length {
	return tolerance.Length(math.Hypot(float64(v.Main.X), float64(v.Main.Y)))
}

func tailOf(v *box.View) tolerance.Length {
	return tolerance.Length(math.Hypot(float64(v.Tail.X), float64(v.Tail.Y)))
}
