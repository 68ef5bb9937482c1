package teach

import (
	"fmt"
	"math"

	"example.com/borestack/tolerance"
)

// Count is how many exercises there are.
const Count = 7

// New makes exercise kind (0 to [Count]-1) with the numbers of a seed, in a unit. It panics if there is no exercise of that kind.
func New(kind int, seed uint64, unit tolerance.Unit) Exercise {
	d := roll(kind, seed, unit)
	e := [Count]func(dice) Exercise{offsetDowel, wedge, leverArm, bowAndWedge, twoEccentric, twoLocators, warmCase}[kind](d)
	if e.Unit == "" {
		e.Unit = unit.String()
	}
	return e
}

func offsetDowel(d dice) Exercise {
	low, high := d.steps(3, 12), d.steps(3, 12)
	if low == high { // or the highest reading alone would do
		high += d.step
	}
	return Exercise{
		Title:    "Offset dowels",
		Question: fmt.Sprintf("A dial on a mandrel in the case's bearing is swung once round the plate's bore. It reads −%s at 10 o'clock, its lowest, and +%s at 4 o'clock, its highest. By which step must the offset dowels move the plate?", d.exact(low), d.exact(high)),
		Answer:   d.in((low + high) / 2),
		Working:  fmt.Sprintf("The TIR is %s + %s = %s. The offset is half of it, %s, and a dowel's step is an offset.", d.exact(low), d.exact(high), d.exact(low+high), d.exact((low+high)/2)),
		Hint:     "What is the total indicator reading, from lowest to highest? And what is the offset of that?",
		traps: []trap{
			{d.in(low + high), "That is the total indicator reading. The dial meets the offset on both sides; dowels of that step would move the plate twice too far, and leave it as far out on the other side."},
			{d.in(high), "The highest reading alone depends on where the dial was set to zero. Take the span from lowest to highest."},
			{d.in(low), "The lowest reading alone depends on where the dial was set to zero. Take the span from lowest to highest."},
		},
	}
}

func wedge(d dice) Exercise {
	up, across := d.steps(2, 6), d.steps(2, 6)
	mean := 14 * tolerance.Millimetre
	if d.unit == tolerance.Inches {
		mean = 0.55 * tolerance.Inch
	}
	answer := 2 * math.Hypot(d.in(up), d.in(across))
	spread := d.in(2 * max(up, across))
	return Exercise{
		Title:    "The wedge from four readings",
		Question: fmt.Sprintf("A micrometer at one radius reads %s at 12 o'clock, %s at 3, %s at 6 and %s at 9. By how much is the plate thicker at its thickest place than opposite, on that circle?", d.exact(mean+up), d.exact(mean+across), d.exact(mean-up), d.exact(mean-across)),
		Answer:   answer,
		Working:  fmt.Sprintf("12 less 6 is %s, 3 less 9 is %s. At right angles they add as arrows: √(%s² + %s²) = %.*f %s. With four readings nothing is left to judge warp by; take eight.", d.exact(2*up), d.exact(2*across), plainIn(d, 2*up), plainIn(d, 2*across), d.digits(), answer, d.unit),
		Hint:     "Take the difference of each pair of opposite readings. The two differences stand at right angles.",
		traps: []trap{
			{spread, "Greatest less least catches the wedge only when its thickest place happens to be a station. Here it lies between two."},
			{d.in(2*up + 2*across), "Two differences at right angles add as arrows, not as numbers."},
			{answer / 2, "That is from the mean to the thickest place. Opposite, the plate is as much thinner."},
		},
	}
}

func leverArm(d dice) Exercise {
	rise := d.steps(3, 12)
	across, behind := 200*tolerance.Millimetre, tolerance.Length(220+20*d.IntN(7))
	if d.unit == tolerance.Inches {
		across, behind = 8*tolerance.Inch, (tolerance.Length(9)+0.5*tolerance.Length(d.IntN(7)))*tolerance.Inch
	}
	answer := d.in(rise) * float64(behind/across)
	return Exercise{
		Title:    "Lever arm",
		Question: fmt.Sprintf("A plate is %s thicker on one side than on the other, across %s. The tail bush sits %s behind it. By how much does the bush's centre move?", d.exact(rise), d.long(across), d.long(behind)),
		Answer:   answer,
		Working:  fmt.Sprintf("The angle is %s over %s, and the bush is %s away: %.*f %s. A dial in the bush would show twice that.", d.exact(rise), d.long(across), d.long(behind), d.digits(), answer, d.unit),
		Hint:     "The wedge over the width that it was measured on is an angle. How far does that angle reach at the bush?",
		traps: []trap{
			{2 * answer, "That is what a dial would read, or the wedge taken over half the width. The centre moves by the offset, half the TIR."},
			{d.in(rise), "That is the wedge itself, across the plate. The bush is further behind than the plate is wide: use the lever arm."},
			{d.in(rise) * float64(across/behind), "The lever arm is upside down: the further behind, the more it moves."},
		},
	}
}

func bowAndWedge(d dice) Exercise {
	rise, bow := d.steps(2, 6), d.steps(7, 14)
	across, behind := 200*tolerance.Millimetre, 240*tolerance.Millimetre
	if d.unit == tolerance.Inches {
		across, behind = 8*tolerance.Inch, 10*tolerance.Inch
	}
	share := float64(behind / across)
	return Exercise{
		Title:    "Bow or wedge?",
		Question: fmt.Sprintf("On the surface table a feeler of %s goes in under the middle of a plate, which stands on both sides. The micrometer finds it %s thicker at 2 o'clock than at 8, across %s. Bolted up, no feeler goes in. By how much is the tail bush, %s behind, off centre?", d.exact(bow), d.exact(rise), d.long(across), d.long(behind)),
		Answer:   d.in(rise) * share,
		Working:  fmt.Sprintf("The bow went when the bolts closed the joint; the wedge did not. %s over %s, at %s: %.*f %s, towards 8 o'clock. Flush is not parallel.", d.exact(rise), d.long(across), d.long(behind), d.digits(), d.in(rise)*share, d.unit),
		Hint:     "Which of the two does a micrometer see, and which of the two do bolts pull out?",
		traps: []trap{
			{d.in(bow) * share, "That is the bow. It stands alike on both sides, and the bolts pulled it flat; it does not lean the tail."},
			{d.in(bow+rise) * share, "Bow and wedge do not add up: the bow stands alike on both sides and does not lean the tail."},
			{0, "Flush says that the faces meet, not that the plate's other face is parallel to them."},
			{2 * d.in(rise) * share, "That is the TIR. The question asks for the offset."},
			{d.in(rise), "That is the wedge itself. How far does its angle reach at the bush?"},
		},
	}
}

func twoEccentric(d dice) Exercise {
	one, two := d.steps(3, 9), d.steps(3, 9)
	rss := math.Hypot(d.in(one), d.in(two))
	return Exercise{
		Title:    "Two eccentric parts",
		Question: fmt.Sprintf("A plate's bore is %s off its register, a tail's bush %s off its own. Both fit without clearance, and nobody marked the clock positions. How far off centre may the bush come to lie?", d.exact(one), d.exact(two)),
		Answer:   d.in(one + two),
		Working:  fmt.Sprintf("Pointing the same way they add up: %s. Root sum of squares gives %.*f %s, and half of all assemblies are worse than that: two arrows pass it whenever they point less than a quarter turn apart.", d.exact(one+two), d.digits(), rss, d.unit),
		Hint:     "Draw the two arrows, and turn one of them. Which position is the worst?",
		traps: []trap{
			{rss, "That is the root sum of squares. Two arrows pass it whenever they point less than a quarter turn apart: in half of all assemblies."},
			{2 * d.in(one+two), "That is the TIR of the worst position. The question asks for the offset."},
			{math.Abs(d.in(one - two)), "That is the best position, the two arrows against each other."},
		},
	}
}

func twoLocators(d dice) Exercise {
	pilot, pins := d.steps(12, 24), d.steps(1, 4)
	return Exercise{
		Title:    "Which locator wins?",
		Question: fmt.Sprintf("A plate's register has %s of clearance on diameter. Two dowels, true to each other, have %s each, on diameter. With the bolts slack, how far can the plate be shaken in all, from one end to the other?", d.exact(pilot), d.exact(pins)),
		Answer:   d.in(pins),
		Working:  fmt.Sprintf("The tighter locator wins: the dowels stop the plate after %s in all, %s to either side. With the dowels out it would be %s.", d.exact(pins), d.exact(pins/2), d.exact(pilot)),
		Hint:     "Both locate at once. Which of them stops the plate first?",
		traps: []trap{
			{d.in(pilot), "That is with the dowels out. With both in, the dowels stop it first."},
			{d.in(pilot + pins), "Locators do not add up: the plate stops at the first."},
			{d.in(pilot - pins), "Locators do not cancel: the plate stops at the first."},
			{d.in(pins) / 2, "That is to one side. In all it goes from one end to the other: a clearance on diameter."},
		},
	}
}

func warmCase(d dice) Exercise {
	cold := d.steps(1, 4)
	warmer := 10 * (2 + d.IntN(5)) // K
	diameter := 160 * tolerance.Millimetre
	at := fmt.Sprintf("%d °C", 20+warmer)
	cool := "20 °C"
	if d.unit == tolerance.Inches {
		diameter = 6.5 * tolerance.Inch
		at, cool = fmt.Sprintf("%d °F", 68+warmer*9/5), "68 °F"
	}
	grows := expansion() * d.in(diameter) * float64(warmer)
	answer := d.in(cold) + grows
	return Exercise{
		Title:    "A warm case",
		Question: fmt.Sprintf("Case and plate are aluminium, %s millionths a degree. At %s the register, %s across, has %s of clearance on diameter. The case is now at %s, the plate still at %s. What is the clearance?", d.perDegree(), cool, long(d, diameter), d.exact(cold), at, cool),
		Answer:   answer,
		Working:  fmt.Sprintf("The bore grows by %.*f %s on diameter, the cold spigot does not: %s and that make %.*f %s.", d.digits(), grows, d.unit, d.exact(cold), d.digits(), answer, d.unit),
		Hint:     "Which of the two grows, and by how much on its diameter? What was there before?",
		traps: []trap{
			{grows, "That is what the bore grows by. The clearance that was there when cold is still there."},
			{d.in(cold) - grows, "A hole in a warm part grows with it: as if it were solid."},
			{d.in(cold) + grows/2, "That is the growth on radius. Clearance is on diameter here."},
			{d.in(cold), "Both would grow alike if both were warm. Here the plate is still cold."},
		},
	}
}

// expansion is that of cast aluminium in the library's table, 1/K.
func expansion() float64 {
	m, _ := tolerance.MaterialNamed("cast aluminium")
	return m.Expansion
}

// perDegree is that expansion in millionths a degree, Celsius or Fahrenheit.
func (s speaker) perDegree() string {
	if s.unit == tolerance.Inches {
		return fmt.Sprintf("%.1f", expansion()*1e6/1.8)
	}
	return fmt.Sprintf("%.1f", expansion()*1e6)
}

// digits is how many an answer is shown with.
func (s speaker) digits() int {
	if s.unit == tolerance.Inches {
		return 4
	}
	return 3
}

func plainIn(d dice, l tolerance.Length) string { return fmt.Sprintf("%.*f", d.digits(), d.in(l)) }

// long says a diameter of an exercise without rounding it.
func long(d dice, l tolerance.Length) string {
	return plain(math.Round(d.in(l)*1000)/1000) + " " + d.unit.String()
}
