package record

import (
	"fmt"
	"strconv"

	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// SetUncertainty gives the block of readings at a JSON Pointer, as for [Record.ReadingsAt], the uncertainty that a budget of its gauge comes to: what every reading makes anew as "uncertainty", what all share as "shared_uncertainty", in the unit that the block counts in. A budget with a correction is refused until the readings carry it: add it to them, then set it to 0 in u.
//
// Record and errors are as for [Record.SetPoints].
func (r *Record) SetUncertainty(pointer string, u tolerance.Uncertainty) error {
	b, err := r.blockAt(pointer)
	if err != nil {
		return err
	}
	unit, err := r.gaugeUnit(pointer, b, u)
	if err != nil {
		return err
	}
	before := *b
	each, shared := Num(u.Each.In(unit)), Num(u.Shared.In(unit))
	b.Uncertainty, b.SharedUncertainty = &each, &shared
	if err := r.again(); err != nil {
		*b = before
		return err
	}
	return nil
}

// GaugeSources returns the contributions of a gauge's budget as sources of variation for a study, for the blocks of readings at JSON Pointers that were all read with it. A contribution on all readings is one source of its own name, which moves the readings of all blocks together; one on each reading is a source for every reading, named after its station, and its block when there are several. Laws are normal, "because" is "gauge". The record is not changed: append them to its Vary, in place of the blocks' uncertainties, not beside them.
//
// A contribution of 0 gives no source. A budget with a correction is refused as by [Record.SetUncertainty].
func (r *Record) GaugeSources(u tolerance.Uncertainty, pointers ...string) ([]Vary, error) {
	var out []Vary
	for _, c := range u.Contributions {
		if c.Standard == 0 {
			continue
		}
		var all *Vary
		var first float64 // size of the first reading's unit
		for n, pointer := range pointers {
			b, err := r.blockAt(pointer)
			if err != nil {
				return nil, err
			}
			unit, err := r.gaugeUnit(pointer, b, u)
			if err != nil {
				return nil, err
			}
			law := Law{Kind: "normal", Size: Num(c.Standard.In(unit))}
			for _, p := range b.places(pointer) {
				at := Pointers{[]string{p.pointer}}
				switch {
				case c.Acts != tolerance.OnAll:
					name := c.Name + ", " + p.name
					if len(pointers) > 1 {
						name = fmt.Sprintf("%s, set %d, %s", c.Name, n+1, p.name)
					}
					out = append(out, Vary{Name: name, At: at, Law: law, Because: "gauge"})
				case all == nil:
					all = &Vary{Name: c.Name, At: at, Law: law, Because: "gauge"}
					first = float64(unit.Size())
				default:
					q := Also{At: at}
					if size := float64(unit.Size()); size != first {
						gain := Num(first / size)
						q.Gain = &gain
					}
					all.Also = append(all.Also, q)
				}
			}
		}
		if all != nil {
			out = append(out, *all)
		}
	}
	return out, nil
}

// readingPlace is where one number among readings is.
type readingPlace struct{ pointer, name string }

// places lists the numbers among a block's readings.
func (b *Readings) places(pointer string) []readingPlace {
	var out []readingPlace
	for i, v := range b.Readings {
		at, name := pointer+"/readings/"+strconv.Itoa(i), fmt.Sprintf("station %d", i+1)
		for k := range v.Repeats {
			if v.List {
				out = append(out, readingPlace{at + "/" + strconv.Itoa(k), fmt.Sprintf("%s, repeat %d", name, k+1)})
			} else {
				out = append(out, readingPlace{at, name})
			}
		}
	}
	return out
}

// gaugeUnit is the unit that a block counts in, if the budget can be put beside its readings as they are.
func (r *Record) gaugeUnit(pointer string, b *Readings, u tolerance.Uncertainty) (tolerance.Unit, error) {
	if u.Correction != 0 {
		return 0, &fault.FieldError{
			Path: pointer, Value: fmt.Sprintf("a correction of %v", u.Correction),
			Want: "readings that have been corrected, and a budget with the correction set to 0", Err: fault.ErrConflict,
		}
	}
	word := b.Unit
	if word == "" {
		word = r.Units.Length
	}
	unit, err := tolerance.ParseUnit(word)
	if err != nil {
		return 0, knownUnit(pointer+"/unit", word)
	}
	return unit, nil
}
