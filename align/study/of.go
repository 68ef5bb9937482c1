package study

import (
	"errors"
	"fmt"
	"slices"
	"strconv"

	"example.com/borestack/align"
	"example.com/borestack/align/record"
	"example.com/borestack/fault"
	"example.com/borestack/stackup"
	"example.com/borestack/tolerance"
)

// floatMark begins the names of the inputs that stand for a drawn float. To first order a float is
// several inputs, which a slash and a number tell apart.
const floatMark = "float of "

// Of makes a study of a compiled box: every source of the plan takes the distribution that goes by
// its name,
// whatever the order of the distributions, and every float that the plan draws takes the numbers it is
// drawn from, one source of several columns. A plane distribution or joint distribution takes the sources of its name in order, one for
// each of its columns.
//
// What is wanted is each a column of the plan's outputs with its limits; without any, all outputs
// are wanted, without limits, under their words in a record. Where the plan is asked whether the
// whole box assembles, a response that names no condition counts as bad in a box that does not:
// ask for [align.Assembles] beside every number that a limit holds.
//
// It returns a [fault.FieldError] for each source without a distribution and each distribution
// without a source, joined.
func Of(p *align.Plan, laws []stackup.Input, wanted ...stackup.Response) (*stackup.Study, error) {
	inputs, err := paired(p.Sources(), laws)
	if err != nil {
		return nil, err
	}
	for _, joint := range p.Drawn() {
		inputs = append(inputs, stackup.Input{Name: floatMark + p.JointName(joint), Joint: drawnFloat{}})
	}
	asked := p.Asked()
	st := &stackup.Study{Model: model{p, false}, Inputs: inputs, Responses: slices.Clone(wanted)}
	if len(wanted) == 0 {
		for i, o := range asked {
			st.Responses = append(st.Responses, stackup.Response{Name: nameOf(o), Output: i})
		}
	}
	if whole := slices.IndexFunc(asked, wholeBox); whole >= 0 {
		for i := range st.Responses {
			if st.Responses[i].Unless == 0 {
				st.Responses[i].Unless = whole + 1
			}
		}
	}
	return st, nil
}

// wholeBox reports whether an output says that the box assembles.
func wholeBox(o align.Output) bool { return o.What == align.Assembles && o.Of == "" }

// nameOf is an output in the words of a record: "tir of tail/bush".
func nameOf(o align.Output) string {
	name := record.OutputKind(o.What)
	if o.Of != "" {
		name += " of " + o.Of
	}
	if o.From != "" {
		name += " from " + o.From
	}
	return name
}

// paired puts distributions in the order of the sources that go by their names.
func paired(sources []string, laws []stackup.Input) ([]stackup.Input, error) {
	var out []stackup.Input
	var faults []error
	wrong := func(path, value, want string, class error) {
		faults = append(faults, fault.At(path, value, want, class))
	}
	taken := map[string]bool{}
	for at := 0; at < len(sources); {
		name := sources[at]
		n := 1
		for at+n < len(sources) && sources[at+n] == name {
			n++
		}
		path := "/sources/" + strconv.Itoa(at)
		k := slices.IndexFunc(laws, func(in stackup.Input) bool { return in.Name == name })
		switch {
		case taken[name]:
			wrong(path, strconv.Quote(name), "the sources of one law side by side", fault.ErrRepeated)
		case k < 0:
			wrong(path, strconv.Quote(name), "a law of this name"+perhaps(name, namesOf(laws)), fault.ErrMissing)
		case laws[k].Columns() != n:
			wrong(path, strconv.Quote(name), fmt.Sprintf("as many sources of this name as its law has columns: %d, not %d", laws[k].Columns(), n), fault.ErrConflict)
		default:
			out = append(out, laws[k])
		}
		taken[name] = true
		at += n
	}
	given := map[string]bool{}
	for i := range laws {
		path := "/laws/" + strconv.Itoa(i)
		switch name := laws[i].Name; {
		case given[name]:
			wrong(path, strconv.Quote(name), "each name once", fault.ErrRepeated)
		case !taken[name]:
			wrong(path, strconv.Quote(name), "the name of a source of the plan"+perhaps(name, sources), fault.ErrUnknownName)
		}
		given[laws[i].Name] = true
	}
	return out, errors.Join(faults...)
}

func namesOf(laws []stackup.Input) []string {
	var out []string
	for i := range laws {
		out = append(out, laws[i].Name)
	}
	return out
}

// perhaps suggests the nearest name, if one is near.
func perhaps(name string, known []string) string {
	if near, ok := tolerance.Nearest(name, known); ok {
		return ": perhaps " + strconv.Quote(near)
	}
	return ""
}
