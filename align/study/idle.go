package study

import (
	"fmt"
	"math"
	"slices"

	"example.com/borestack/align"
	"example.com/borestack/align/record"
	"example.com/borestack/stackup"
)

// idleSteps are the nudges by which an input is tried, in standard deviations: far more than it ever
// varies by, so that an input whose effect something else hides today is not called idle. The next
// is tried only with what moved nothing at the ones before.
var idleSteps = [...]float64{1, -1, 10, -10, 100, -100}

// idle warns of every input that moves no output asked for, drawn floats included.
func idle(o Origin, stack align.Stack) ([]record.Remark, error) {
	rec := o.rec
	views, err := viewsOf(o, stack)
	if err != nil || len(views) == 0 {
		return nil, err
	}
	moves := make([]bool, len(rec.Vary))
	for i := range views {
		if err := views[i].moved(rec, moves); err != nil {
			return nil, err
		}
	}
	var out []record.Remark
	for k := range rec.Vary {
		v := &rec.Vary[k]
		switch {
		case moves[k]:
		case v.Float != "":
			why := "no output asked for feels it"
			if !slices.ContainsFunc(responses(rec), func(l record.Limit) bool { return !l.AtRest }) {
				why = `every output asked for is judged over "rest"`
			}
			out = append(out, record.Remark{Path: fmt.Sprintf("/vary/%d", k), Text: fmt.Sprintf("the float of %q is varied and moves nothing: %s", v.Float, why)})
		default:
			out = append(out, record.Remark{Path: fmt.Sprintf("/vary/%d", k), Text: fmt.Sprintf("%q moves no output asked for", v.Name)})
		}
	}
	return out, nil
}

// view is the outputs asked for in one state.
type view struct {
	stack  align.Stack
	refs   *references
	limits []record.Limit
}

// viewsOf lists the states with the outputs asked for in each; what holds in every state is in all.
func viewsOf(o Origin, stack align.Stack) ([]view, error) {
	rec := o.rec
	if len(rec.Vary) == 0 {
		return nil, nil
	}
	var out []view
	for _, name := range statesOf(&stack) {
		var v view
		for _, l := range responses(rec) {
			if l.State == name || holdsEverywhere(&l) {
				v.limits = append(v.limits, l)
			}
		}
		if len(v.limits) == 0 {
			continue
		}
		var err error
		if v.refs, err = o.references(o.in(name)); err != nil {
			return nil, err
		}
		if v.stack, err = inState(stack, name); err != nil {
			return nil, err
		}
		v.stack = settled(v.stack)
		out = append(out, v)
	}
	return out, nil
}

// moved marks the inputs that move something in this view: first with the joints at rest, then those
// that do not with them pushed to the worst, and last to the best.
func (v *view) moved(rec *record.Record, moves []bool) error {
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
	inputs, err := v.inputs(rec, moves)
	if err != nil {
		return err
	}
	for _, asked := range []struct {
		rest bool
		of   []align.Output
	}{{true, rest}, {false, worst}, {false, best}} {
		if err := inputs.nudged(asked.rest, asked.of, moves); err != nil {
			return err
		}
	}
	for k := range rec.Vary {
		if moves[k] {
			continue
		}
		var err error
		if rec.Vary[k].Float != "" {
			moves[k], err = v.feels(&rec.Vary[k])
		} else {
			moves[k], err = v.hidden(rec, k)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// hidden reports whether an input moves what margin or use is worked out from, where a tight bearing
// hides it.
func (v *view) hidden(rec *record.Record, k int) (bool, error) {
	var line []record.Limit
	for _, l := range v.limits {
		if l.Output.What == align.Margin || l.Output.What == align.Use {
			line = append(line, l)
		}
	}
	if len(line) == 0 {
		return false, nil
	}
	list := v.source(k).sources
	var n numbers
	for i := range list {
		if len(list[i].Moves) > 0 {
			n.add(rec.Vary[k].At.List[i], list[i].Moves)
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

// source is one input alone; nothing where no number of the box follows it, of which a study says more.
func (v *view) source(k int) varies {
	input, list, err := v.refs.source(k)
	if err != nil {
		return varies{}
	}
	return varies{[]stackup.Input{input}, list}
}

// nudges are a view's inputs as columns of a box.
type nudges struct {
	*box
	of       []int // input of each column
	mean, sd []float64
}

// inputs are those that are not known to move anything.
func (v *view) inputs(rec *record.Record, moves []bool) (n nudges, err error) {
	var list []align.Source
	for k := range rec.Vary {
		if moves[k] || rec.Vary[k].Float != "" {
			continue
		}
		own := v.source(k)
		g := gaugeOf(nil, own, true)
		for c := range own.sources {
			list, n.of = append(list, own.sources[c]), append(n.of, k)
			n.mean, n.sd = append(n.mean, g.columns[c].mean), append(n.sd, g.columns[c].sd)
		}
	}
	if len(list) > 0 {
		n.box, err = newBox(v.stack, list)
	}
	return n, err
}

// nudged marks the inputs that move some of the outputs.
func (v nudges) nudged(rest bool, outputs []align.Output, moves []bool) error {
	if len(outputs) == 0 {
		return nil
	}
	for _, d := range idleSteps {
		var tried []int // columns
		for c, k := range v.of {
			if !moves[k] {
				tried = append(tried, c)
			}
		}
		if len(tried) == 0 {
			return nil
		}
		n := 1 + len(tried)
		x := columnsOf(len(v.of), n)
		for i, c := range tried {
			x[c][1+i] = v.mean[c] + d*v.sd[c]
		}
		y, err := v.rows(rowSet{x, n}, rest, outputs)
		if err != nil {
			return err
		}
		for i, c := range tried {
			for o := range y {
				a, b := y[o][0], y[o][1+i]
				if a != b && !(math.Abs(a-b) <= followTol*math.Max(1, math.Abs(a))) {
					moves[v.of[c]] = true
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
		j := &s.Joints[i]
		if s.JointName(i) != by.Float || j.Float != nil {
			continue
		}
		if free, err := floats(s, i); err != nil || !free {
			return false, err
		}
		for k := range v.limits {
			l := &v.limits[k]
			switch {
			case l.AtRest && by.Law.Word != "hang":
				continue
			case l.Output.What == align.Margin || l.Output.What == align.Use:
				return true, nil // whether or not something else caps it
			}
			j.Lies = align.LiesAny
			if l.AtRest {
				j.Lies = align.LiesHang
			}
			r, _, err := s.Ranges([]align.Output{l.Output})
			j.Lies = align.LiesRest
			if err != nil {
				return false, err
			}
			still, _, err := s.Ranges([]align.Output{l.Output})
			if err != nil {
				return false, err
			}
			if r[0].Low != still[0].Low || r[0].High != still[0].High {
				return true, nil
			}
		}
	}
	return false, nil
}

// floats reports whether joint i of a stack has room to lie elsewhere than it rests.
func floats(s align.Stack, i int) (bool, error) {
	s = atRest(s)
	s.Joints[i].Lies = align.LiesAny
	r, _, err := s.Ranges([]align.Output{{What: align.Assembles}})
	return err == nil && r[0].Floats, err
}
