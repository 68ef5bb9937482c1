package allocate

import (
	"fmt"
	"math"
	"slices"

	"example.com/borestack/fault"
	"example.com/borestack/internal/ieee"
	"example.com/borestack/stackup"
)

// Option is one way to make an input: its spread as a factor of what the study says, and what that costs, in any
// currency that is the same everywhere.
type Option struct {
	Name  string // of the process or class; may be empty
	Scale float64
	Cost  float64
}

// Cost is what the spreads of one input cost.
type Cost struct {
	Input   string
	Options []Option
}

// Ask is what is asked of an allocation.
type Ask struct {
	Response int     // the number whose limits are to be held
	Yield    float64 // the share that must hold them, below 1
	Costs    []Cost  // inputs that are not named stay as they are
}

// Choice is what one input gets.
type Choice struct {
	Input string
	Option
}

// Plan is an allocation.
type Plan struct {
	Choices     []Choice       // in the order of the costs
	Cost        float64        // of all
	Bound       float64        // no allocation that holds the yield costs less; NaN: not known
	Yield       stackup.Figure // by samples
	Method      string         // how it was found, and what that is worth
	Evaluations int            // of samples
}

// check finds what is wrong with what is asked.
func (a *Ask) check(s *stackup.Study) error {
	if err := s.Validate(); err != nil {
		return err
	}
	w, err := s.Response(a.Response)
	if err != nil {
		return err
	}
	if !w.Limited() {
		return bad(w.Name, "no limits", "limits to hold")
	}
	if !(a.Yield > 0 && a.Yield < 1) {
		return bad(w.Name, fmt.Sprintf("yield %g", a.Yield), "more than 0, less than 1")
	}
	if len(a.Costs) == 0 {
		return bad("costs", "none", "those of at least one input")
	}
	seen := map[string]bool{}
	for i := range a.Costs {
		c := &a.Costs[i]
		if place(s, c.Input) < 0 || seen[c.Input] {
			return bad(c.Input, "not an input, or named twice", "each input of the study once")
		}
		seen[c.Input] = true
		if err := c.check(); err != nil {
			return err
		}
	}
	return nil
}

func bad(name, what, want string) error { return fault.At(name, what, want, fault.ErrOutOfRange) }

// check finds what is wrong with the costs of one input.
func (c *Cost) check() error {
	if len(c.Options) == 0 {
		return bad(c.Input, "no options", "one at least")
	}
	for _, o := range c.Options {
		if !(o.Scale >= 0) || math.IsInf(o.Scale, 1) || !ieee.Finite(o.Cost) {
			return bad(c.Input, fmt.Sprintf("scale %g at cost %g", o.Scale, o.Cost), "a scale of 0 or more, a finite cost")
		}
	}
	return nil
}

// place is where an input is in a study; −1: nowhere.
func place(s *stackup.Study, name string) int {
	return slices.IndexFunc(s.Inputs, func(in stackup.Input) bool { return in.Name == name })
}

// scaled is the study with its inputs spread as is chosen, and only the number that is asked for.
func (a *Ask) scaled(s *stackup.Study, choices []Option) (*stackup.Study, error) {
	var inputs []stackup.Input
	for i := range a.Costs {
		in, err := s.Inputs[place(s, a.Costs[i].Input)].Scaled(choices[i].Scale)
		if err != nil {
			return nil, err
		}
		inputs = append(inputs, in)
	}
	out := s.With(inputs...)
	out.Responses = s.Responses[a.Response : a.Response+1]
	return out, nil
}
