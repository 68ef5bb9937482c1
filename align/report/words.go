package report

import (
	"fmt"
	"math"

	"example.com/borestack/align"
	"example.com/borestack/tolerance"
)

// sentences says notes in words.
func sentences(notes []align.Note, u tolerance.Unit) []string {
	out := []string{}
	for _, n := range notes {
		out = append(out, sentence(n, u))
	}
	return out
}

// sentence says one note in words.
func sentence(n align.Note, u tolerance.Unit) string {
	size := tolerance.Length(n.Size).Format(u)
	switch n.Kind {
	case align.NoteSquarePilot:
		return fmt.Sprintf("%s: the pilot's axis is taken square to its face; it was not measured", n.Of)
	case align.NotePlaneOfPoints:
		return fmt.Sprintf("%s: a least-squares plane through the measured points, which ignores high spots", n.Of)
	case align.NoteThicknessDatum:
		return fmt.Sprintf("%s: thickness was read from its front face, which is taken as flat", n.Of)
	case align.NoteNoEngagement:
		return fmt.Sprintf("%s: no engagement of the register is given, so no lean of the pilot is felt", n.Of)
	case align.NoteBoltsClock:
		return fmt.Sprintf("%s: no dowel; the bolt pattern sets the clock exactly", n.Of)
	case align.NoteFreePin:
		return fmt.Sprintf("%s: the pin is free in both holes", n.Of)
	case align.NoteLiesUnknown:
		return fmt.Sprintf("%s: may lie anywhere in its float; positions are those at rest", n.Of)
	case align.NoteDefaultReference:
		return fmt.Sprintf("no reference line is named; offsets are from the line through the first two supports of %s", n.Of)
	case align.NoteRigidShafts:
		return "shafts are straight and rigid"
	case align.NoteUnloaded:
		return "nothing is loaded: no gear forces, weight or belt pull"
	case align.NoteDatumAxis:
		return fmt.Sprintf("%s: swept about the part's own z axis", n.Of)
	case align.NoteFewStations:
		return fmt.Sprintf("%s: only %d stations; warp cannot be told from reading error (eight are usual)", n.Of, n.Count)
	case align.NoteSecondHarmonic:
		if n.Size == math.MaxFloat64 {
			return fmt.Sprintf("%s: the readings are out of round or warped, not off centre; no dowel or shim removes that", n.Of)
		}
		return fmt.Sprintf("%s: the second harmonic is %.0f %% of the first; that part is form, and no dowel or shim removes it", n.Of, 100*n.Size)
	case align.NoteClosing:
		return fmt.Sprintf("%s: the dial did not come back: the closing reading is off by %s", n.Of, size)
	case align.NoteSqueezedPilot:
		return fmt.Sprintf("%s: the spigot is larger than its bore by %s on diameter: a press fit; do not draw it up with the bolts", n.Of, size)
	case align.NoteSqueezedPin:
		return fmt.Sprintf("%s: the pin is larger than the hole it should slide into, by %s on diameter", n.Of, size)
	case align.NoteStrainedRegister:
		return fmt.Sprintf("%s: the faces close only by straining the register by %s: do not draw it up with the bolts", n.Of, size)
	case align.NoteDoesNotAssemble:
		return fmt.Sprintf("%s: does not assemble; every clearance lacks %s on diameter: do not draw it up with the bolts", n.Of, size)
	case align.NoteLoosePilot:
		return fmt.Sprintf("%s: a pilot that locates nothing: with the dowels out the part walks by %s in total", n.Of, size)
	case align.NotePilotLedUnknown:
		return fmt.Sprintf("%s: the register is strained, but no face diameter is given, so what happens if the pilot leads was not worked out", n.Of)
	case align.NotePilotLed:
		return fmt.Sprintf("%s: the pilot leads and the faces do not close: they gap by up to %s; do not draw it up with the bolts", n.Of, size)
	case align.NoteClearanceUnchanged:
		return fmt.Sprintf("%s: neither journal nor bore diameter is given, so its running clearance was not brought to temperature", n.Of)
	case align.NoteNoClearance:
		return fmt.Sprintf("%s: no running clearance at all; the shaft must pass exactly through its centre", n.Of)
	case align.NoteTiltAboveGuide:
		return fmt.Sprintf("%s: tilted %.2f times the permitted tilt, above guide", n.Of, n.Size)
	}
	return n.Of
}
