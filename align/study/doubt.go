package study

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"example.com/borestack/align"
	"example.com/borestack/align/record"
	"example.com/borestack/tolerance"
)

// inDoubt is what a box says while doubts stand: what would pass, or depend, is undecided.
func inDoubt(w tolerance.Decision, doubts []record.Doubt) tolerance.Decision {
	if len(doubts) > 0 && (w == tolerance.Pass || w == tolerance.Depends) {
		return tolerance.Undecided
	}
	return w
}

// touching are the doubts that touch the box with candidates in their places: not those of the parts
// that they replace, nor those that rest on a number of one, nor those of other candidates.
func touching(rec *record.Record, doubts []record.Doubt, swaps []swap) (out []record.Doubt) {
	in := func(d *record.Doubt) bool {
		own := false
		for _, w := range swaps {
			for i := range rec.Parts {
				gone := func(path string) bool { return under(path, fmt.Sprintf("/parts/%d", i)) }
				if rec.Parts[i].Name == w.place && (gone(d.Path) || slices.ContainsFunc(d.Numbers, gone)) {
					return false
				}
			}
			own = own || under(d.Path, fmt.Sprintf("/candidates/%s/%d", step(w.place), w.n))
		}
		return own || !under(d.Path, "/candidates")
	}
	for i := range doubts {
		if in(&doubts[i]) {
			out = append(out, doubts[i])
		}
	}
	return out
}

// step is a name as a step of a JSON Pointer.
func step(name string) string {
	return strings.NewReplacer("~", "~0", "/", "~1").Replace(name)
}

// under reports whether a JSON Pointer leads to a place or below it.
func under(pointer, place string) bool {
	return pointer == place || strings.HasPrefix(pointer, place+"/")
}

// doubt marks the verdicts that rest on a number in doubt. Those that do not fail are undecided; their
// values stay.
func (o Origin) doubt(ctx context.Context, s align.Stack, list []Verdict, doubts []record.Doubt) error {
	limits := make([]record.Limit, len(list))
	for i := range list {
		limits[i] = list[i].Limit
	}
	for _, name := range statesOf(&s) {
		var own []int
		for i := range list {
			if v := &list[i]; v.Word != tolerance.NoLimit && (v.Limit.State == name || name != "" && v.InState == name) {
				own = append(own, i)
			}
		}
		if len(own) == 0 {
			continue
		}
		moved, err := o.touched(ctx, s, name, chosen(limits, own), doubts)
		if err != nil {
			return err
		}
		for n, i := range own {
			if moved[n] {
				list[i].Doubted = true
				list[i].Word = inDoubt(list[i].Word, doubts)
			}
		}
	}
	return nil
}

// touched tells which limits on a box in one state rest on a number in doubt.
func (o Origin) touched(ctx context.Context, s align.Stack, state string, limits []record.Limit, doubts []record.Doubt) ([]bool, error) {
	v, err := o.view(s, state, limits)
	if err != nil {
		return nil, err
	}
	f, err := newFollower(v.stack, limits)
	if err != nil {
		return nil, err
	}
	for _, d := range doubts {
		if err := stopped(ctx); err != nil {
			return nil, err
		}
		if err := f.doubt(d, v.here); err != nil {
			return nil, err
		}
	}
	return f.moved, nil
}

// statesOf names the states of a stack, as measured first.
func statesOf(s *align.Stack) []string {
	names := []string{""}
	for i := range s.States {
		names = append(names, s.States[i].Name)
	}
	return names
}

// doubt marks what can move with the numbers of one doubt in this box. A doubt that names no numbers,
// or leads to something that is no number, may touch everything.
func (f *follower) doubt(d record.Doubt, here *record.Numbers) error {
	if len(d.Numbers) == 0 {
		f.all()
		return nil
	}
	var n numbers
	for _, pointer := range d.Numbers {
		moves, err := here.Moves(pointer)
		if err != nil {
			f.all()
			continue
		}
		if len(moves) > 0 { // none: a number of a part that is not in this box
			n.add(pointer, moves)
		}
	}
	return f.follow(&n)
}
