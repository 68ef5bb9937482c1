package record

import (
	"bytes"
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
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
		least := slices.MinFunc(list, func(a, b Number) int { return cmpNumbers(a, b) })
		greatest := slices.MaxFunc(list, func(a, b Number) int { return cmpNumbers(a, b) })
		return fmt.Sprintf("%d values from %s to %s", n, least.Text, greatest.Text)
	}
	return strings.Join(out, ", ")
}

func cmpNumbers(a, b Number) int {
	switch {
	case a.Value < b.Value:
		return -1
	case a.Value > b.Value:
		return 1
	}
	return 0
}

// MarshalJSON writes the law as it was read.
func (l Law) MarshalJSON() ([]byte, error) {
	if l.Word != "" {
		return json.Marshal(l.Word)
	}
	var b bytes.Buffer
	write := func(key string, v any) error {
		text, err := json.Marshal(v)
		if err != nil {
			return err
		}
		if b.Len() > 0 {
			b.WriteByte(',')
		}
		b.WriteString(strconv.Quote(key) + ":")
		b.Write(text)
		return nil
	}
	own := any(l.Size)
	switch {
	case l.Laws != nil:
		own = l.Laws
	case l.Fit != "":
		own = l.Fit
	case l.List != nil:
		own = l.List
	}
	if err := write(l.Kind, own); err != nil {
		return nil, err
	}
	for _, p := range l.Parameters {
		var v any = p.Values
		if !p.List && len(p.Values) == 1 {
			v = p.Values[0]
		}
		if err := write(p.Key, v); err != nil {
			return nil, err
		}
	}
	if len(l.Shift) > 0 {
		var v any = l.Shift
		if len(l.Shift) == 1 {
			v = l.Shift[0]
		}
		if err := write("shift", v); err != nil {
			return nil, err
		}
	}
	return []byte("{" + b.String() + "}"), nil
}
