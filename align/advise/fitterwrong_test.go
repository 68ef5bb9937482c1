package advise_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"example.com/borestack/align/advise"
	. "example.com/borestack/tolerance"
)

// Wrong sheets: the text of a right one is spoilt as a careless program or hand would spoil it, in one place or in all that repeat it, and followed.

// rewritten changes every match of a pattern in the orders of one kind; the rest of the sheet stays.
func rewritten(text, kind string, pattern *regexp.Regexp, change func(m []string) string) string {
	sections := strings.Split(text, "\n\n")
	for i, s := range sections {
		if regexp.MustCompile(`^[0-9]+\. ` + kind + `( of |\n)`).MatchString(s) {
			sections[i] = pattern.ReplaceAllStringFunc(s, func(part string) string { return change(pattern.FindStringSubmatch(part)) })
		}
	}
	return strings.Join(sections, "\n\n")
}

// clockText is a direction as sheets have it.
func clockText(degrees float64) string {
	a := Angle(math.Mod(degrees+720, 360)) * Degree
	return a.Hours() + " (" + strconv.FormatFloat(math.Round(math.Mod(degrees+720, 360)*10)/10, 'f', -1, 64) + "°)"
}

func number(s string) float64 {
	v, _ := strconv.ParseFloat(s, 64)
	return v
}

// turned writes the clock in group 2 anew; group 1 and 3 stay.
func turned(to func(degrees float64) float64) func([]string) string {
	return func(m []string) string { return m[1] + clockText(to(number(m[2]))) + m[3] }
}

var (
	mirrored = turned(func(d float64) float64 { return -d })
	opposite = turned(func(d float64) float64 { return d + 180 })
)

const someClock = `(?:half past )?[0-9]+(?: o'clock)? \(([0-9.]+)°\)`

// doubled writes the number in group 2 twice as large.
func doubled(m []string) string {
	return m[1] + strconv.FormatFloat(2*number(m[2]), 'f', -1, 64) + m[3]
}

// negated changes the signs of both dials, and the direction that goes with them.
func negated(m []string) string {
	flip := func(s string) string {
		if strings.Trim(s, "+-0.") == "" {
			return s
		}
		if rest, ok := strings.CutPrefix(s, "-"); ok {
			return "+" + rest
		}
		return "-" + strings.TrimPrefix(s, "+")
	}
	return m[1] + flip(m[2]) + m[3] + flip(m[4]) + m[5] + clockText(number(m[6])+180) + m[7]
}

// exchanged changes the 3 and 12 o'clock dials, and the direction that goes with them.
func exchanged(m []string) string {
	return m[1] + m[4] + m[3] + m[2] + m[5] + clockText(90-number(m[6])) + m[7]
}

var dialWords = regexp.MustCompile(`(the dial at 3 o'clock reads )([-+0-9.]+)( mm and the dial at 12 o'clock )([-+0-9.]+)( mm: [0-9.]+ mm towards )` + someClock + `()`)

// wrongSheets are the ways to be wrong. A strip of the rise under the side where most comes off is how the first sheets had it.
var wrongSheets = []struct {
	name  string
	kind  advise.Kind
	works bool // the fitter works by it: what it does to the bores must be more than the digits tell
	spoil func(text string) string
}{
	{"bush mirrored", advise.Bush, true, func(s string) string {
		return rewritten(s, "Bush off centre", regexp.MustCompile(`(its bore towards )`+someClock+`()`), mirrored)
	}},
	{"sleeve opposite", advise.Sleeve, true, func(s string) string {
		return rewritten(s, "Bore and sleeve", regexp.MustCompile(`(mm towards )`+someClock+`()`), opposite)
	}},
	{"TIR for offset, bush", advise.Bush, true, func(s string) string {
		return rewritten(s, "Bush off centre", regexp.MustCompile(`(off centre by )([0-9.]+)( mm)`), doubled)
	}},
	{"TIR for offset, dowels", advise.OffsetDowels, true, func(s string) string {
		return rewritten(s, "Offset dowels", regexp.MustCompile(`(dowels of )([0-9.]+)( mm)`), doubled)
	}},
	{"TIR for offset, dowels, both numbers", advise.OffsetDowels, true, func(s string) string {
		return rewritten(s, "Offset dowels", regexp.MustCompile(`(dowels of |that is )([0-9.]+)( mm)`), doubled)
	}},
	{"dowels mirrored", advise.OffsetDowels, true, func(s string) string {
		return rewritten(s, "Offset dowels", regexp.MustCompile(`(go towards )`+someClock+`()`), mirrored)
	}},
	{"strip on the other side", advise.SkimWedge, true, func(s string) string {
		return rewritten(s, "Skim by a wedge", regexp.MustCompile(`(under the datum face at |the strip is at )`+someClock+`()`), opposite)
	}},
	{"strip of the rise, where most comes off", advise.SkimWedge, true, func(s string) string {
		rise := regexp.MustCompile(`a wedge of ([0-9.]+) mm`).FindStringSubmatch(s)
		most := regexp.MustCompile(`take off [0-9.]+ mm at ` + someClock).FindStringSubmatch(s)
		if rise == nil || most == nil {
			return s
		}
		return rewritten(s, "Skim by a wedge", regexp.MustCompile(`(a strip of )[0-9.]+( mm under the datum face at )`+someClock), func(m []string) string {
			return m[1] + rise[1] + m[2] + clockText(number(most[1]))
		})
	}},
	{"cut mirrored, strip and all", advise.SkimWedge, true, func(s string) string {
		return rewritten(s, "Skim by a wedge", regexp.MustCompile(`(under the datum face at |take off [0-9.]+ mm at |opposite at |the strip is at |most comes off at )`+someClock+`()`), mirrored)
	}},
	{"columns of a cut exchanged", advise.SkimWedge, false, func(s string) string {
		return rewritten(s, "Skim by a wedge", columns, func(m []string) string { return m[1] + m[3] + m[2] })
	}},
	{"columns of a shim exchanged", advise.TaperShim, true, func(s string) string {
		return rewritten(s, "Tapered shim", columns, func(m []string) string { return m[1] + m[3] + m[2] })
	}},
	{"shim mirrored, table and all", advise.TaperShim, true, func(s string) string {
		s = rewritten(s, "Tapered shim", columns, func(m []string) string { return m[1] + m[3] + m[2] })
		return rewritten(s, "Tapered shim", regexp.MustCompile(`(at its thickest, at |thickest side stands at )`+someClock+`()`), mirrored)
	}},
	{"signs of the dials, re-dowelled", advise.Redowel, true, func(s string) string {
		return rewritten(s, "Ream and re-dowel in place", dialWords, negated)
	}},
	{"dials exchanged, re-dowelled", advise.Redowel, true, func(s string) string {
		return rewritten(s, "Ream and re-dowel in place", dialWords, exchanged)
	}},
	{"signs of the dials, pushed", advise.Push, true, func(s string) string {
		return rewritten(s, "Push before tightening", dialWords, negated)
	}},
	{"turned the other way", advise.Reclock, true, func(s string) string {
		return rewritten(s, "Re-clock", regexp.MustCompile(`(turn the [a-z]+ by )([0-9.]+)(°)`), func(m []string) string {
			return m[1] + strconv.FormatFloat(math.Round(10*(360-number(m[2])))/10, 'f', -1, 64) + m[3]
		})
	}},
	{"expected reading of the other sign", advise.Sleeve, false, func(s string) string {
		return regexp.MustCompile(`(expect )([-+])([0-9.]+)( mm)`).ReplaceAllStringFunc(s, func(m string) string {
			return strings.NewReplacer("expect +", "expect -", "expect -", "expect +").Replace(m)
		})
	}},
	{"expected reading an offset, not a TIR", advise.Bush, false, func(s string) string {
		return regexp.MustCompile(`(, a TIR of )([0-9.]+)( mm ±)`).ReplaceAllStringFunc(s, func(m string) string {
			f := strings.Fields(m)
			return fmt.Sprintf(", a TIR of %s mm ±", strconv.FormatFloat(number(f[4])/2, 'f', 3, 64))
		})
	}},
}

var inInches = regexp.MustCompile(`[0-9] (in|thou)\b`)

// columns are the two columns of directions of a row.
var columns = regexp.MustCompile(`(?m)(^    [0-9]+  +)(` + someClockPlain + ` +)(` + someClockPlain + ` +)`)

const someClockPlain = `(?:half past )?[0-9]+(?: o'clock)? \([0-9.]+°\)`

// A wrong sheet is caught: where what it does to the parts is more than the digits tell, its promise is not met. Contradictions within the text alone do not count: only what the parts and the dials show, or that it cannot be done.
func TestFitter_wrongSheetsCaught(t *testing.T) {
	boxes := max(3, fitterBoxes(t)/15)
	right := map[advise.Kind][]rightSheet{}
	for _, c := range wrongSheets {
		tried, caught := 0, 0
		var missed []string
		for n := 0; tried < boxes && n < 12*boxes; n++ {
			if n == len(right[c.kind]) {
				right[c.kind] = append(right[c.kind], rightSheetOf(t, c.kind, n))
			}
			r := &right[c.kind][n]
			spoilt := c.spoil(r.text)
			if r.outcome.apart || inInches.MatchString(r.text) || spoilt == r.text { // the patterns here are in millimetres
				continue
			}
			wrong, err := follow(r.box.Stack, spoilt, &r.outcome)
			shown := wrong.shown
			if c.works {
				if err == nil && !felt(r.outcome, wrong) {
					continue
				}
				shown = wrong.broken
			}
			tried++
			if err != nil || wrong.apart || len(shown) > 0 {
				caught++
			} else {
				missed = append(missed, fmt.Sprintf("box %d", n))
			}
		}
		t.Logf("%s: %d of %d caught", c.name, caught, tried)
		if tried == 0 || float64(caught) < 0.9*float64(tried) {
			t.Errorf("%s: %d of %d caught; %v", c.name, caught, tried, missed)
		}
	}
}

// rightSheet is a sheet that keeps its promise, and what came of it.
type rightSheet struct {
	*job
	text    string // every item on one line
	outcome outcome
}

func rightSheetOf(t *testing.T, k advise.Kind, n int) rightSheet {
	t.Helper()
	j, err := fitterJob(rand.New(rand.NewPCG(1801, uint64(n))), k)
	if err != nil {
		t.Fatal(err)
	}
	r := rightSheet{job: j, text: unwrapped(j.text)}
	if r.outcome, err = follow(j.box.Stack, j.text, nil); err != nil {
		t.Fatal(err)
	}
	for _, f := range r.outcome.faults {
		t.Errorf("%v, box %d, the right sheet: %s", k, n, f)
	}
	return r
}

// felt reports whether a wrong sheet does to the bores what digits would show.
func felt(right, wrong outcome) bool {
	if wrong.apart || len(wrong.moved.centres) != len(right.moved.centres) {
		return true // it cannot be carried out
	}
	for i := range right.moved.centres {
		if right.moved.centres[i].minus(wrong.moved.centres[i]).size() > 4*(right.allowed+right.dialAllow) {
			return true
		}
	}
	return false
}

// The words beside the dials are read too: a push the other way than the dials say, a tight reading that is another than the one before, within nothing, no word of what to do when it does not come.
func TestFitter_dialInstructions(t *testing.T) {
	spoilt := map[string]func(s string) string{
		"pushed the other way": func(s string) string {
			return rewritten(s, "Push before tightening", regexp.MustCompile(`(push it towards )`+someClock+`( until)`), opposite)
		},
		"tight, another reading": func(s string) string {
			return regexp.MustCompile(`(must read )[-+0-9.]+`).ReplaceAllString(s, "${1}+0.777")
		},
		"within nothing": func(s string) string {
			return regexp.MustCompile(`within ± [0-9.]+`).ReplaceAllString(s, "within ± 0")
		},
		"not if it stays": func(s string) string {
			return strings.ReplaceAll(s, "  - if it does not come, or creeps as it is tightened: never draw it there with the bolts; slacken them all, free the dowels, clean burrs and dirt off, find zero again, and go past by what it crept\n", "")
		},
	}
	tried := map[string]int{}
	for n := range 4 {
		text := unwrapped(rightSheetOf(t, advise.Push, n).text)
		if _, _, faults := readSheet(text); len(faults) > 0 {
			t.Errorf("the right sheet: %v", faults)
		}
		for name, spoil := range spoilt {
			if wrong := spoil(text); wrong != text {
				tried[name]++
				if _, _, faults := readSheet(wrong); len(faults) == 0 {
					t.Errorf("%s: not noticed in\n%s", name, wrong)
				}
			}
		}
	}
	if len(tried) != len(spoilt) {
		t.Errorf("tried: %v", tried)
	}
}
