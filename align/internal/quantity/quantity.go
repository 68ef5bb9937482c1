// Package quantity is the one table of what can be asked of a stack: how a record calls each
// quantity, what it is measured in, what it is measured on, and how people say it. Records,
// studies, reports, pictures and sheets read it here; a new quantity is an entry in the table and
// its value in package align.
package quantity

import (
	"math"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/tolerance"
)

// Measure is what a quantity is measured in. The base unit is the one that package align gives its
// numbers in.
type Measure uint8

// The measures.
const (
	Length Measure = iota // base unit millimetre; told in the record's unit
	Share                 // a ratio; told in percent
	Slope                 // a ratio; told in milliradians
	Turn                  // base unit radian; in records, and told, in degrees
	Force                 // newtons
	YesNo                 // 1 or 0
)

// Unit is what numbers of the measure are labelled with where lengths are in that unit, and its
// size in the base unit. What is yes or no has neither.
func (m Measure) Unit(lengths tolerance.Unit) (label string, size float64) {
	switch m {
	case Share:
		return "%", 0.01
	case Slope:
		return "mrad", 0.001
	case Turn:
		return "°", math.Pi / 180
	case Force:
		return "N", 1
	case YesNo:
		return "", 0
	}
	return lengths.String(), float64(lengths.Size())
}

// InRecord is the size of the measure's unit in records whose lengths are in that unit, in base
// units.
func (m Measure) InRecord(lengths tolerance.Unit) float64 {
	switch m {
	case Length, Turn:
		_, size := m.Unit(lengths)
		return size
	}
	return 1
}

// Tell spells a number of the measure, which comes in its base unit, with its unit: a length as
// told, a slope in the unit that goes with those of lengths.
func (m Measure) Tell(v float64, lengths spell.Lengths, told func(tolerance.Length) string) string {
	switch m {
	case Share:
		return spell.Percent(v)
	case Slope:
		return lengths.Slope(v)
	case Force:
		return spell.Newtons(v)
	case Turn:
		return spell.Turn(tolerance.Angle(v))
	case YesNo:
		return map[bool]string{false: "no", true: "yes"}[v >= 1]
	}
	return told(tolerance.Length(v))
}

// Thing is what an output names.
type Thing uint8

// The things.
const (
	Line            Thing = iota // nothing: the shaft line
	Bore                         // and perhaps the reference that it is measured from
	Joint                        // or none, where all are meant
	Part                         // with readings of its thickness
	Mesh                         //
	Chain                        //
	Support                      // a bore that carries a shaft
	SupportOrPocket              //
)

// String is what a record's fault calls the thing.
func (t Thing) String() string {
	return [...]string{"shaft line", "bore", "joint", "part with thickness readings", "mesh", "chain", "support or pocket", "support or pocket"}[t]
}

// Entry is all that is known of a quantity but its value.
type Entry struct {
	What     align.Quantity
	Word     string // in a record; empty: a record cannot name it
	Measure  Measure
	Thing    Thing
	Name     string // how it is said: the name of the thing follows
	Read     string // how its number is to be read, in brackets behind the name
	InFull   string // the same for who did not see the box
	LowIsBad bool   // of two values without a limit the lower is the worse

	// Components of a size: it is Scale times the length of their vector. None of what is no size.
	Components [2]align.Quantity
	Scale      float64

	// Additive: it follows the inputs to first order all the way to their limits, where nothing
	// floats.
	Additive bool
}

// Size reports whether the quantity is the length of a plane vector.
func (e *Entry) Size() bool { return e.Components[0] != 0 }

var (
	offset = [2]align.Quantity{align.OffsetX, align.OffsetY}
	tilt   = [2]align.Quantity{align.TiltX, align.TiltY}
)

// entries is the table.
var entries = [...]Entry{
	align.Margin:             {Word: "margin", Thing: Line, Name: "margin of the shaft line", Read: "radial", InFull: "radial room, straight shafts, unloaded", LowIsBad: true},
	align.Use:                {Word: "use", Measure: Share, Thing: Line, Name: "use of clearance"},
	align.OffsetSize:         {Word: "offset", Thing: Bore, Name: "offset of", Read: "centre to centre", InFull: "offset, centre to centre", Components: offset, Scale: 1, Additive: true},
	align.TIRSize:            {Word: "tir", Thing: Bore, Name: "TIR of", Read: "twice the offset", InFull: "TIR, twice the offset", Components: offset, Scale: 2, Additive: true},
	align.TiltSize:           {Word: "tilt", Measure: Slope, Thing: Bore, Name: "tilt of", InFull: "slope, a ratio", Components: tilt, Scale: 1, Additive: true},
	align.OffsetX:            {Thing: Bore, Name: "offset to the right of"},
	align.OffsetY:            {Thing: Bore, Name: "offset upwards of"},
	align.TiltX:              {Measure: Slope, Thing: Bore, Name: "tilt to the right of"},
	align.TiltY:              {Measure: Slope, Thing: Bore, Name: "tilt upwards of"},
	align.GapSize:            {Word: "gap", Thing: Joint, Name: "greatest gap at"},
	align.TurnAngle:          {Word: "turn", Measure: Turn, Thing: Joint, Name: "turn at", Additive: true},
	align.ThicknessVariation: {Word: "thickness_variation", Thing: Part, Name: "thickness variation of"},
	align.InPlane:            {Word: "in_plane", Thing: Mesh, Name: "in-plane deviation of", Additive: true},
	align.OutOfPlane:         {Word: "out_of_plane", Thing: Mesh, Name: "out-of-plane deviation of", Additive: true},
	align.ChainLength:        {Word: "chain", Thing: Chain, Name: "gap of chain", Additive: true},
	align.RunningClearance:   {Word: "clearance", Thing: Support, Name: "running clearance of"},
	align.SideForce:          {Word: "side_load", Measure: Force, Thing: SupportOrPocket, Name: "side load at"},
	align.Assembles:          {Word: "assembles", Measure: YesNo, Thing: Joint, Name: "assembly of", LowIsBad: true},
	align.AssemblyUse:        {Measure: Share, Thing: Joint, Name: "use of clearance by the assembly of"},
}

// Of is a quantity's entry; one without a word and a name where there is no such quantity.
func Of(q align.Quantity) Entry {
	if int(q) >= len(entries) {
		return Entry{What: q}
	}
	e := entries[q]
	e.What = q
	return e
}

// ByWord is the entry of what a record calls so; false for a word that nobody knows.
func ByWord(word string) (Entry, bool) {
	for q := range entries {
		if word != "" && entries[q].Word == word {
			return Of(align.Quantity(q)), true
		}
	}
	return Entry{}, false
}

// Words are all words that a record can name a quantity by.
func Words() (out []string) {
	for q := range entries {
		if w := entries[q].Word; w != "" {
			out = append(out, w)
		}
	}
	return out
}

// Say names an output: "offset of plate/bearing from line". Name spells the record's names.
func Say(o align.Output, name func(string) string) string {
	e := Of(o.What)
	s := e.Name
	if e.Thing != Line {
		s += " " + name(o.Of)
	}
	if e.Thing == Bore && o.From != "" {
		s += " from " + name(o.From)
	}
	return s
}
