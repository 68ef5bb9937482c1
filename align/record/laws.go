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
	Word string   // "uniform", "rim", "hang", "rest", "any": of a float
	Kind string   // the law's name, such as "normal"; see RECORD.md
	Keys []LawKey // the key of that name, its further ones and "shift", in the order written
}

// LawKey is one key of a law and what it holds: {"normal": 0.01}, {"shapes": [2, 3]}.
type LawKey struct {
	Key     string
	Numbers []Number
	List    bool   // written as a list
	Laws    []Law  // of a mixture, in place of numbers
	Fit     string // the classes of a fit, "35 H7/g6", in place of numbers
}

// String says the law in words, with its numbers as they were written: "beta 0.02, shapes 2 and 3,
// shifted by 0.01".
func (l Law) String() string {
	if l.Word != "" {
		return l.Word
	}
	said := [3][]string{} // its own key, the further ones, and the shift
	for _, k := range l.Keys {
		switch k.Key {
		case l.Kind:
			said[0] = append(said[0], k.Key+" "+k.said())
		case "shift":
			said[2] = append(said[2], "shifted by "+k.said())
		default:
			said[1] = append(said[1], k.Key+" "+k.said())
		}
	}
	return strings.Join(slices.Concat(said[:]...), ", ")
}

// said is what a key holds, in words.
func (k *LawKey) said() string {
	const few = 6 // numbers of a list that are said; of more, how many there are, and the ends
	if k.Laws != nil {
		var of []string
		for _, m := range k.Laws {
			of = append(of, "("+m.String()+")")
		}
		return "of " + strings.Join(of, ", ")
	}
	out := []string{}
	for _, n := range k.Numbers {
		out = append(out, n.Text)
	}
	switch n := len(out); {
	case n == 2:
		return out[0] + " and " + out[1]
	case n > few:
		by := func(a, b Number) int { return cmp.Compare(a.Value, b.Value) }
		return fmt.Sprintf("%d values from %s to %s", n, slices.MinFunc(k.Numbers, by).Text, slices.MaxFunc(k.Numbers, by).Text)
	}
	return k.Fit + strings.Join(out, ", ")
}

// MarshalJSON writes the law as it was read.
func (l Law) MarshalJSON() ([]byte, error) {
	if l.Word != "" {
		return json.Marshal(l.Word)
	}
	var out Named[any]
	for _, k := range l.Keys {
		var v any = k.Numbers
		switch {
		case k.Laws != nil:
			v = k.Laws
		case k.Fit != "":
			v = k.Fit
		case !k.List && len(k.Numbers) == 1:
			v = k.Numbers[0]
		}
		out = append(out, Entry[any]{k.Key, v})
	}
	return out.MarshalJSON()
}

// key is one of the law's keys; nil where it is left out.
func (l *Law) key(name string) *LawKey {
	if i := slices.IndexFunc(l.Keys, func(k LawKey) bool { return k.Key == name }); i >= 0 {
		return &l.Keys[i]
	}
	return nil
}

// own is the key of the law's name.
func (l *Law) own() LawKey {
	if k := l.key(l.Kind); k != nil {
		return *k
	}
	return LawKey{}
}

// numbers are those of a key; nil where it is left out.
func (l *Law) numbers(name string) (out []float64) {
	if k := l.key(name); k != nil {
		for _, n := range k.Numbers {
			out = append(out, n.Value)
		}
	}
	return out
}
