package specify

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// toFind stands in place of a size that is asked for.
const toFind = "?"

// ReadZones gives callouts what a text says of them: a line for each with its size in the unit, or "?" where
// that is asked for, and its name as [Callout.Name] has it. Between them may stand weight=3, what it costs
// beside the others, and m=0.018, which holds it at maximum material with a hole up to so much larger. Blank
// lines and those that begin with # are skipped. Every fault is told, by its line.
func ReadZones(callouts []Callout, text string, unit tolerance.Unit) error {
	var wrong []error
	var names []string
	index, seen := map[string]int{}, map[int]bool{}
	for i := range callouts {
		names = append(names, callouts[i].Name())
		index[strings.Join(strings.Fields(names[i]), " ")] = i
	}
	for n, line := range strings.Split(strings.TrimPrefix(text, "\ufeff"), "\n") {
		words := strings.Fields(line)
		if len(words) == 0 || strings.HasPrefix(words[0], "#") {
			continue
		}
		said := 1
		for said < len(words) && strings.Contains(words[said], "=") {
			said++
		}
		refuse := func(found, want string, class error) {
			wrong = append(wrong, fault.At(fmt.Sprintf("line %d", n+1), strconv.Quote(found), want, class))
		}
		name := strings.Join(words[said:], " ")
		at, known := index[name]
		switch {
		case !known:
			want := "a size, a space and the name of a callout"
			if near, ok := tolerance.Nearest(name, names); ok {
				want += fmt.Sprintf(", such as %q", near)
			}
			refuse(name, want, fault.ErrUnknownName)
			continue
		case seen[at]:
			refuse(name, "one line for a callout", fault.ErrRepeated)
			continue
		}
		seen[at] = true
		for _, word := range words[:said] {
			if want := callouts[at].take(word, unit); want != "" {
				refuse(word, want, fault.ErrSyntax)
			}
		}
	}
	if len(seen) == 0 && len(wrong) == 0 {
		return fault.At("line 1", "", "at least one callout", fault.ErrMissing)
	}
	return errors.Join(wrong...)
}

// take sets what a word says of a callout; what would be right, where it says nothing.
func (c *Callout) take(word string, unit tolerance.Unit) (want string) {
	key, number, given := strings.Cut(word, "=")
	if !given {
		key, number = "", word
	}
	if key == "" && number == toFind {
		c.Zone = 0
		return ""
	}
	v, err := strconv.ParseFloat(number, 64)
	if err != nil || !(v > 0) || math.IsInf(v, 0) {
		return `a number of more than 0 with a point, not a comma, or of a size "?"`
	}
	switch key {
	case "":
		c.Zone = tolerance.Length(v) * unit.Size()
	case "weight":
		c.Weight = v
	case "m":
		c.AtMaximum, c.Size = true, tolerance.Length(v)*unit.Size()
	default:
		return "weight= or m="
	}
	return ""
}
