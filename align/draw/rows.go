package draw

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"unicode/utf8"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/tolerance"
)

// Widths of a picture in characters.
const (
	rowName = 30
	rowBar  = 20
)

// Rows draws in characters how much of its room the best straight shaft uses at every support and pocket: a bar each, in the
// order along the shafts. Of more than most the ones that use most are drawn, and the rest counted. The first row says what they are.
//
// a must be the result of s. It returns [ErrNothingToDraw] for a stack without shafts or one that does not assemble, an error
// that wraps [fault.ErrConflict] when a is not of s, or a fault of the options.
func Rows(s align.Stack, a *align.Assembly, most int, o Options) ([]string, error) {
	o, sc, err := sceneOf("rows", &s, a, o)
	if err != nil {
		return nil, err
	}
	if len(warnings(a)) > 0 {
		return nil, nothing("rows", "it does not assemble")
	}
	order := slices.Clone(sc.spots)
	if len(order) > most {
		slices.SortStableFunc(order, func(x, y spot) int { return -cmp.Compare(x.used, y.used) })
		order = order[:most-1]
	}
	slices.SortStableFunc(order, func(x, y spot) int { return cmp.Compare(x.z, y.z) })
	p := newCanvas(o, "", "").p
	out := []string{"Room that the straight shaft uses at each support (* uses up the clearance, ^ caps the margin):"}
	for i := range order {
		out = append(out, order[i].row(p))
	}
	if n := len(sc.spots) - len(order); n > 0 {
		out = append(out, fmt.Sprintf("and %d more, which use less", n))
	}
	return out, nil
}

// row is one spot.
func (q *spot) row(p speller) string {
	mark := [2][2]string{{" ", "^"}, {"*", "*^"}}[boolIndex(q.drives)][boolIndex(q.caps)]
	full := int(math.Round(rowBar * math.Min(q.used, 1)))
	bar, says := strings.Repeat("#", full)+strings.Repeat(".", rowBar-full)+"|", spell.Percent(q.used)
	if q.out > 0 {
		bar = strings.Repeat("#", rowBar) + ">"
		says = "THE SHAFT LEAVES ITS ROOM by " + p.Length(tolerance.Length(q.out))
	}
	name := spell.Name(q.name)
	return name + strings.Repeat(" ", max(rowName-utf8.RuneCountInString(name), 1)) + fmt.Sprintf("%-2s |%s ", mark, bar) + says
}
