package teach

import (
	"math"
	"math/rand/v2"
	"strconv"
	"strings"

	"example.com/borestack/tolerance"
)

// Exercise is a question with a number for an answer. [New] makes it.
type Exercise struct {
	Title    string
	Question string
	Unit     string  // of the answer
	Answer   float64 // in Unit
	Working  string  // how it is reckoned
	Hint     string
	traps    []trap
}

// trap is a wrong answer that says what went wrong.
type trap struct {
	answer float64
	says   string
}

// within is the share of an answer by which another may differ: what rounding on paper gives.
const within = 0.01

// Mark holds what was written against the answer.
func (e Exercise) Mark(text string) (right bool, feedback string) {
	text = strings.TrimSpace(strings.ReplaceAll(text, "−", "-"))
	number := strings.TrimSpace(strings.TrimSuffix(text, e.Unit))
	got, err := strconv.ParseFloat(number, 64)
	switch {
	case text == "":
		return false, "Write a number in " + e.Unit + "."
	case strings.Contains(number, ","):
		return false, "Write a point for the decimal mark: “" + number + "” could mean two numbers."
	case err != nil || math.IsNaN(got) || math.IsInf(got, 0):
		return false, "“" + text + "” is no number in " + e.Unit + "."
	}
	if e.matches(got, e.Answer) {
		return true, "Right. " + e.Working
	}
	for _, t := range e.traps {
		if e.matches(got, t.answer) {
			return false, "Not yet. " + t.says
		}
	}
	return false, "Not yet. " + e.Hint
}

// matches allows for rounding on paper, and for the last digit that is asked for.
func (e Exercise) matches(got, want float64) bool {
	last := 0.0005
	if e.Unit == tolerance.Inches.String() {
		last = 0.00005
	}
	return math.Abs(got-want) <= math.Max(within*math.Abs(want), last*1.001)
}

// dice are an exercise's numbers: the same seed, the same numbers.
type dice struct {
	*rand.Rand
	speaker
	step tolerance.Length // what the gauge resolves: numbers are multiples of it
}

func roll(kind int, seed uint64, unit tolerance.Unit) dice {
	d := dice{rand.New(rand.NewPCG(seed, uint64(kind))), speaker{unit}, 0.01 * tolerance.Millimetre}
	if unit == tolerance.Inches {
		d.step = 0.5 * tolerance.Thou
	}
	return d
}

// steps is a whole number from low to high, as so many steps of the gauge.
func (d dice) steps(low, high int) tolerance.Length {
	return tolerance.Length(low+d.IntN(high-low+1)) * d.step
}

// in is a length as a number of the exercise's unit.
func (d dice) in(l tolerance.Length) float64 { return l.In(d.unit) }

// plain prints a number without digits that it does not need.
func plain(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }
