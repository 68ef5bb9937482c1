package record

import (
	"cmp"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
)

// Law is how a source of variation is distributed, or, with Word, how a joint lies. Numbers are in
// the unit of the number that it moves.
type Law struct {
	Word       string      // "uniform", "rim", "hang", "rest", "any": of a float
	Kind       string      // the law's name, such as "normal"; see RECORD.md
	Size       Number      // the law's own number, where it has one
	List       []Number    // its own numbers, where it has several: values, semi-axes, a deviation for each of a pair
	Laws       []Law       // of a mixture
	Fit        string      // the classes of a fit, "35 H7/g6"
	Parameters []Parameter // its further numbers, in the order written
	Shift      []Number    // none, one, or two
}

// Parameter is a further number of a law, or several: {"top": 0.5}, {"shapes": [2, 3]}.
type Parameter struct {
	Key    string
	Values []Number
	List   bool // written as a list
}

// String says the law in words, with its numbers as they were written: "beta 0.02, shapes 2 and 3,
// shifted by 0.01".
func (l Law) String() string {
	if l.Word != "" {
		return l.Word
	}
	said := []string{l.Kind}
	switch {
	case len(l.Laws) > 0:
		var of []string
		for _, m := range l.Laws {
			of = append(of, "("+m.String()+")")
		}
		said[0] += " of " + strings.Join(of, ", ")
	case l.Fit != "":
		said[0] += " " + l.Fit
	case l.List != nil:
		said[0] += " " + sayNumbers(l.List)
	default:
		said[0] += " " + l.Size.Text
	}
	for _, p := range l.Parameters {
		said = append(said, p.Key+" "+sayNumbers(p.Values))
	}
	if len(l.Shift) > 0 {
		said = append(said, "shifted by "+sayNumbers(l.Shift))
	}
	return strings.Join(said, ", ")
}

// fewSaid is how many numbers of a list are said; of more, how many there are, and the ends.
const fewSaid = 6

// sayNumbers joins numbers as they were written.
func sayNumbers(list []Number) string {
	var out []string
	for _, n := range list {
		out = append(out, n.Text)
	}
	switch n := len(out); {
	case n == 2:
		return out[0] + " and " + out[1]
	case n > fewSaid:
		least := slices.MinFunc(list, cmpNumbers)
		greatest := slices.MaxFunc(list, cmpNumbers)
		return fmt.Sprintf("%d values from %s to %s", n, least.Text, greatest.Text)
	}
	return strings.Join(out, ", ")
}

func cmpNumbers(a, b Number) int { return cmp.Compare(a.Value, b.Value) }

// MarshalJSON writes the law as it was read.
func (l Law) MarshalJSON() ([]byte, error) {
	if l.Word != "" {
		return json.Marshal(l.Word)
	}
	one := func(list []Number, asList bool) any {
		if !asList && len(list) == 1 {
			return list[0]
		}
		return list
	}
	own := one([]Number{l.Size}, false)
	switch {
	case l.Laws != nil:
		own = l.Laws
	case l.Fit != "":
		own = l.Fit
	case l.List != nil:
		own = l.List
	}
	out := Named[any]{{l.Kind, own}}
	for _, p := range l.Parameters {
		out = append(out, Entry[any]{p.Key, one(p.Values, p.List)})
	}
	if len(l.Shift) > 0 {
		out = append(out, Entry[any]{"shift", one(l.Shift, false)})
	}
	return out.MarshalJSON()
}
