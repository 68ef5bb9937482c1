package main

import (
	"errors"
	"fmt"
	"io"
	"math"
	"os"

	"example.com/borestack/align"
	"example.com/borestack/align/advise"
	"example.com/borestack/align/record"
	"example.com/borestack/stackup/law"
	"example.com/borestack/tolerance"
	"example.com/borestack/tolerance/fits"
)

func tell(out io.Writer, err error, format string, a ...any) error {
	if err == nil {
		_, err = fmt.Fprintf(out, format+"\n", a...)
	}
	return err
}

// stock is what is on the shelf.
func stock(f *flags) func() advise.ShimStock {
	sizes, pieces := f.list("stock", "shims on the shelf", 0.1, 0.12, 0.15, 0.2, 0.3), f.Int("pieces", 3, "most in a pack")
	return func() advise.ShimStock { return advise.ShimStock{Sizes: *sizes, Pieces: *pieces} }
}

func pack(out io.Writer, c advise.ShimChoice, err error) error {
	return tell(out, err, "a pack from %v to %v: %v, %v in all, leaves %v; %.1f %% that a second reading finds it within its limits", max(c.Window[0], 0), c.Window[1], c.Pack, c.Sum, c.Play, 100*c.Agrees)
}

// shim fills a measured gap.
func shim(f *flags) func(io.Writer) error {
	gap, u, shelf := f.length("gap", 0.47, "as measured"), f.length("u", 0.005, "its standard uncertainty"), stock(f)
	least, greatest := f.length("least", 0.06, "play; a preload is less than nothing"), f.length("greatest", 0.11, "play")
	return func(out io.Writer) error {
		c, err := advise.ChooseShim(*gap, *u, advise.EndPlay{Least: *least, Greatest: *greatest}, shelf())
		return pack(out, c, err)
	}
}

// endplay fills the gap that a chain of a record leaves.
func endplay(f *flags) func(io.Writer) error {
	chain, shelf := f.String("chain", "main bearing end play", "its name in the record"), stock(f)
	return func(out io.Writer) error {
		if f.NArg() == 0 {
			return errors.New("name the record that has the chain: charts endplay -chain NAME RECORD.json")
		}
		file, err := os.Open(f.Arg(0))
		if err != nil {
			return err
		}
		defer file.Close()
		rec, err := record.Decode(file)
		if err != nil {
			return err
		}
		box, err := advise.FromRecord(rec)
		if err != nil {
			return err
		}
		c, err := box.ShimFor(*chain, shelf())
		return pack(out, c, err)
	}
}

// split shares a shaft's shims between two case halves.
func split(f *flags) func(io.Writer) error {
	front, rear, long := f.length("front", 75.2, "depth of the front half"), f.length("rear", 75.35, "depth of the rear half"), f.length("length", 146, "of the shaft")
	preload, step := f.length("preload", 0.15, "wanted"), f.length("step", 0.05, "of the shims; 0 mm: any")
	return func(out io.Writer) error {
		s, err := advise.SplitShims(*front, *rear, *long, *preload, *step)
		return tell(out, err, "shims of %v in front and %v in the rear; %v in all, before each is rounded down", s.Side1, s.Side2, s.Total)
	}
}

// dowel chooses the offset dowels of a housing by what a dial in its bore reads.
func dowel(f *flags) func(io.Writer) error {
	tir, accept := f.length("tir", 18*tolerance.Thou, "what the dial reads in all"), f.length("accept", 10*tolerance.Thou, "what may be left, TIR")
	steps := f.list("stock", "offsets of one end from the other", 7*tolerance.Thou, 14*tolerance.Thou, 21*tolerance.Thou)
	return func(out io.Writer) error {
		var offsets []tolerance.Offset
		for _, v := range *steps {
			offsets = append(offsets, tolerance.Offset(v))
		}
		c, err := advise.DowelStep(tolerance.TIR(*tir), tolerance.TIR(*accept), offsets)
		return tell(out, err, "dowels of %v leave %v, aimed perfectly", c.Step, c.Residual)
	}
}

// corners says what to put under each corner of a face.
func corners(f *flags) func(io.Writer) error {
	at := f.list("at", "x, y and the dial's reading of each corner in turn", -150, 150, 0, 150, 150, 0.2, 150, -150, 0.1, -150, -150, 0)
	return func(out io.Writer) error {
		var list []advise.Corner
		for v := *at; len(v) >= 3; v = v[3:] {
			list = append(list, advise.Corner{At: align.Vec2{X: v[0], Y: v[1]}, Reading: v[2]})
		}
		found, err := advise.CornerShims(list)
		for i, s := range found {
			err = tell(out, err, "at (%v, %v): %v by the highest corner; %v tilts and bends nothing, and leaves %v", list[i].At.X, list[i].At.Y, s.Raw, s.Plane, s.Left)
		}
		return err
	}
}

// press says what two steel rings pressed over one another come to.
func press(f *flags) func(io.Writer) error {
	bore, seat, outside := f.length("bore", 20, "of the inner ring; 0 mm: solid"), f.length("seat", 40, "diameter"), f.length("outside", 60, "of the outer ring")
	by, long, friction := f.length("interference", 0.03, "on diameter"), f.length("long", 25, "the seat"), f.Float64("friction", 0.12, "of the seat")
	return func(out io.Writer) error {
		steel, err := tolerance.MaterialNamed("steel")
		if err != nil {
			return err
		}
		inner, _ := fits.RingOf(steel, *bore, *seat) // which has a modulus; what is wrong with sizes Solve says
		outer, _ := fits.RingOf(steel, *seat, *outside)
		p, err := fits.PressFit{Inner: inner, Outer: outer, Interference: fits.Interference(*by)}.Solve()
		if err != nil {
			return err
		}
		if p.Gap > 0 {
			return tell(out, nil, "the rings do not press: %v is left", p.Gap)
		}
		force := *friction * p.Pressure * math.Pi * seat.Millimetres() * long.Millimetres() // on the area of the seat
		return tell(out, nil, "%.1f MPa; it holds %.0f N or %.0f N·m; the bore closes by %v, the outside grows by %v",
			p.Pressure, force, force*seat.Metres()/2, -p.Inner.Bore.Total(), p.Outer.Outside.Total())
	}
}

// capability says what a process of that capability spoils.
func capability(f *flags) func(io.Writer) error {
	least, greatest := f.length("least", 0.06, "limit"), f.length("greatest", 0.11, "limit")
	cpk, shift := f.Float64("cpk", 1.33, "least capability index"), f.length("shift", 0, "of the mean from the middle")
	return func(out io.Writer) error {
		n, err := law.FromCpk(float64(*least), float64(*greatest), *cpk, float64(*shift))
		if err != nil {
			return err
		}
		beyond := n.CDF(float64(*least)) + n.Survival(float64(*greatest))
		return tell(out, nil, "a standard deviation of %v; %.3g parts in a million beyond the limits", tolerance.Length(math.Sqrt(n.Moments().Variance)), 1e6*beyond)
	}
}
