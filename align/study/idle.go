package study

import (
	"fmt"
	"math"
	"slices"

	"example.com/borestack/align"
	"example.com/borestack/align/record"
)

// idleSteps are the nudges by which an input is tried, in standard deviations: far more than it ever
// varies by, so that an input whose effect something else hides today is not called idle. The next
// is tried only with what moved nothing at the ones before.
var idleSteps = [...]float64{1, -1, 10, -10, 100, -100}

// idle warns of every input that moves no output asked for, drawn floats included.
func idle(o Origin, stack align.Stack) ([]record.Remark, error) {
	rec := o.rec
	all, moves := responses(rec), make([]bool, len(rec.Vary))
	if len(all) == 0 || len(moves) == 0 {
		return nil, nil
	}
	for _, name := range statesOf(&stack) {
		asked := slices.DeleteFunc(slices.Clone(all), func(l record.Limit) bool { return l.State != name && !holdsEverywhere(&l) })
		if len(asked) == 0 {
			continue
		}
		v, err := o.view(settled(stack), name, asked)
		if err == nil {
			err = v.moved(moves)
		}
		if err != nil {
			return nil, err
		}
	}
	var out []record.Remark
	for k := range rec.Vary {
		v := &rec.Vary[k]
		ofCandidate := becauseOf(v) == "gauge" && slices.ContainsFunc(v.At.List, func(at string) bool { return under(at, "/candidates") })
		if moves[k] || ofCandidate { // the guard bands of that candidate's box rest on it
			continue
		}
		text := fmt.Sprintf("%q moves no output asked for", v.Name)
		if v.Float != "" {
			why := "no output asked for feels it"
			if !slices.ContainsFunc(all, func(l record.Limit) bool { return !l.AtRest }) {
				why = `every output asked for is judged over "rest"`
			}
			text = fmt.Sprintf("the float of %q is varied and moves nothing: %s", v.Float, why)
		}
		out = append(out, record.Remark{Path: fmt.Sprintf("/vary/%d", k), Text: text})
	}
	return out, nil
}

// view is a box in one state, which of its numbers follow the record's, and limits that hold there.
type view struct {
	Origin
	stack  align.Stack
	here   *record.Numbers
	limits []record.Limit
}

func (o Origin) view(stack align.Stack, state string, limits []record.Limit) (v view, err error) {
	v.Origin, v.limits = o, limits
	if v.stack, err = inState(stack, state); err != nil {
		return v, err
	}
	v.here, err = o.follows(state)
	return v, err
}

// moved marks the inputs that move something in this view: first with the joints at rest, then those
// that do not with them pushed to the worst, and last to the best.
func (v *view) moved(moves []bool) error {
	var rest, worst, best []align.Output
	for i := range v.limits {
		o := v.limits[i].Output
		rest = append(rest, components(o)...)
		if !v.limits[i].AtRest {
			worst = append(worst, o)
			o.Best = true
			best = append(best, o)
		}
	}
	n, err := v.nudges(moves)
	if err != nil {
		return err
	}
	for i, outputs := range [][]align.Output{rest, worst, best} {
		if err := n.try(i == 0, outputs, moves); err != nil {
			return err
		}
	}
	for k := range v.rec.Vary {
		if moves[k] {
			continue
		}
		var err error
		if by := &v.rec.Vary[k]; by.Float != "" {
			moves[k], err = v.feels(by)
		} else {
			moves[k], err = v.hidden(k)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// hidden reports whether an input moves what margin or use is worked out from, where a tight bearing
// hides it.
func (v *view) hidden(k int) (bool, error) {
	var line []record.Limit
	for _, l := range v.limits {
		if lineWide(l.Output.What) {
			line = append(line, l)
		}
	}
	if len(line) == 0 {
		return false, nil
	}
	_, list, _ := v.source(k, v.here) // an error: no number of the box follows it, of which a study says more
	var n numbers
	for i := range list {
		if len(list[i].Moves) > 0 {
			n.add(v.rec.Vary[k].At.List[i], list[i].Moves)
		}
	}
	f, err := newFollower(v.stack, line)
	if err != nil {
		return false, err
	}
	if err := f.follow(&n); err != nil {
		return false, err
	}
	return slices.Contains(f.moved, true), nil
}

// nudges are a view's inputs as columns of a box.
type nudges struct {
	*box
	*gauge
	of []int // input of each column
}

// nudges are of the inputs that are not known to move anything, and that some number of the box follows:
// of the others a study says more.
func (v *view) nudges(moves []bool) (n nudges, err error) {
	var all varies
	for k := range moves {
		if moves[k] || v.rec.Vary[k].Float != "" {
			continue
		}
		if input, list, err := v.source(k, v.here); err == nil {
			all.inputs, all.sources = append(all.inputs, input), append(all.sources, list...)
			n.of = append(n.of, slices.Repeat([]int{k}, len(list))...)
		}
	}
	n.gauge = gaugeOf(nil, all, true)
	if len(n.of) > 0 {
		n.box, err = newBox(v.stack, all.sources)
	}
	return n, err
}

// try marks the inputs that move some of the outputs.
func (n nudges) try(rest bool, outputs []align.Output, moves []bool) error {
	if len(outputs) == 0 {
		return nil
	}
	for _, d := range idleSteps {
		var tried []int // columns
		for c, k := range n.of {
			if !moves[k] {
				tried = append(tried, c)
			}
		}
		if len(tried) == 0 {
			return nil
		}
		x := columnsOf(len(n.of), 1+len(tried))
		for i, c := range tried {
			x[c][1+i] = n.columns[c].mean + d*n.columns[c].sd
		}
		y, err := n.box.rows(rowSet{x, 1 + len(tried)}, asked{rest: rest}, outputs)
		if err != nil {
			return err
		}
		for i, c := range tried {
			for o := range y {
				a, b := y[o][0], y[o][1+i]
				if a != b && !(math.Abs(a-b) <= followTol*math.Max(1, math.Abs(a))) {
					moves[n.of[c]] = true
				}
			}
		}
	}
	return nil
}

// feels reports whether some output asked for feels a float that is varied: a limit that is judged over
// the float, on an output that moves with it. What is judged at rest feels hanging alone.
func (v *view) feels(by *record.Vary) (bool, error) {
	if by.Law.Word == "rest" {
		return true, nil // asked for: it is to lie still
	}
	s := atRest(v.stack)
	for i := range s.Joints {
		if s.JointName(i) != by.Float || s.Joints[i].Float != nil {
			continue
		}
		if free, err := floats(s, i); err != nil || !free {
			return false, err
		}
		for k := range v.limits {
			if l := &v.limits[k]; !l.AtRest || by.Law.Word == "hang" {
				if moves, err := feelsJoint(s, i, l); err != nil || moves {
					return moves, err
				}
			}
		}
	}
	return false, nil
}

// feelsJoint reports whether the output of a limit moves where joint i of a stack at rest lies anywhere,
// or hangs where the limit is judged at rest; margin and use do, whether or not something else caps them.
func feelsJoint(s align.Stack, i int, l *record.Limit) (bool, error) {
	if lineWide(l.Output.What) {
		return true, nil
	}
	loose := atRest(s)
	loose.Joints[i].Lies = align.LiesAny
	if l.AtRest {
		loose.Joints[i].Lies = align.LiesHang
	}
	moved, _, err := loose.Ranges([]align.Output{l.Output})
	if err != nil {
		return false, err
	}
	still, _, err := s.Ranges([]align.Output{l.Output})
	return err == nil && (moved[0].Low != still[0].Low || moved[0].High != still[0].High), err
}

// floats reports whether joint i of a stack has room to lie elsewhere than it rests.
func floats(s align.Stack, i int) (bool, error) {
	s = atRest(s)
	s.Joints[i].Lies = align.LiesAny
	r, _, err := s.Ranges([]align.Output{{What: align.Assembles}})
	return err == nil && r[0].Floats, err
}
