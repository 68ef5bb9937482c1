package report

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/align/record"
	"example.com/borestack/align/study"
	"example.com/borestack/tolerance"
)

// doNotDraw is the caution that belongs to every joint that only its bolts would close.
const doNotDraw = "Do not draw it up with the bolts: stop and find the cause."

// assumed says what was taken for granted and not measured: what the evaluation noted, and what the record leaves out.
func assumed(at *pointers, res *study.Result) []string {
	rec := at.rec
	out := sentences(at, res.Assembly.Assumed)
	out = append(out, spell.Mapped(rec.Fits(), func(f record.Remark) string { return f.Text })...)
	if bores := squareBores(rec); len(bores) > 0 {
		out = append(out, "bore axes run along their part's z axis: "+spell.Listed(bores, 6)+" have no slope given")
	}
	if bores := sweptAtZero(rec); len(bores) > 0 {
		out = append(out, "a sweep says where a bore is across the line and not along it: "+spell.Listed(bores, 6)+" at z 0 of the part, as no z stands beside it")
	}
	if stated, measured := temperatures(rec); len(stated) == 0 && !measured {
		out = append(out, "every part and shaft is at 20 °C")
	}
	if s := gaugesAssumed(rec, res); s != "" {
		out = append(out, s)
	}
	return out
}

// warnings says what deserves a warning: what looks like a slip in the record, what the evaluation noted of the box, and what the study saw.
func warnings(at *pointers, res *study.Result) []string {
	return append(append(recordWarnings(at), sentences(at, res.Assembly.Warnings)...), at.remarks(res.Warnings)...)
}

// boresOf lists the bores of parts for which a rule holds.
func boresOf(parts []record.Part, holds func(at string, b *record.Bore) bool) (out []string) {
	for _, p := range parts {
		for k := range p.Bores {
			if at := p.Name + "/" + p.Bores[k].Name; holds(at, &p.Bores[k]) {
				out = append(out, spell.Clean(at))
			}
		}
	}
	return out
}

// sweptAtZero lists the swept bores, candidates' too, that have no z and so are taken to lie at z = 0 of their part.
func sweptAtZero(rec *record.Record) (out []string) {
	parts := slices.Clone(rec.Parts)
	for _, c := range rec.Candidates {
		parts = append(parts, c.Value...)
	}
	return boresOf(parts, func(_ string, b *record.Bore) bool { return b.Sweep != nil && b.Z == nil })
}

// squareBores lists the bores that carry a shaft and have no axis slope.
func squareBores(rec *record.Record) (out []string) {
	used := map[string]bool{}
	for _, s := range rec.Shafts {
		for _, q := range s.Supports {
			used[q.Bore] = true
		}
	}
	return boresOf(rec.Parts, func(at string, b *record.Bore) bool { return b.Slope == nil && used[at] })
}

// temperatures are those that the record states, of parts, of when they were measured, and of shafts.
func temperatures(rec *record.Record) (stated []*record.Number, measured bool) {
	for _, p := range rec.Parts {
		stated, measured = append(stated, p.Temperature), measured || p.MeasuredAt != nil
	}
	for _, s := range rec.Shafts {
		stated = append(stated, s.Temperature)
	}
	return slices.DeleteFunc(stated, func(n *record.Number) bool { return n == nil }), measured
}

// temperatureWords is the condition in which a box was evaluated: "cold" when nothing is away from 20 °C.
func temperatureWords(rec *record.Record) string {
	stated, _ := temperatures(rec)
	if slices.ContainsFunc(stated, func(n *record.Number) bool { return n.Value != float64(tolerance.Reference) }) {
		return "at the stated temperatures"
	}
	return "cold"
}

// sentences turns notes into sentences, one for each assumption that several places share, one for each warning.
func sentences(at *pointers, notes []align.Note) []string {
	out := []string{}
	shared := map[align.NoteKind][]string{}
	for _, n := range notes {
		shared[n.Kind] = append(shared[n.Kind], spell.Clean(at.place(n.Of)))
	}
	done := map[align.NoteKind]bool{}
	for _, n := range notes {
		pattern, ok := assumptions[n.Kind]
		switch {
		case !ok:
			out = append(out, warning(at, n))
		case !done[n.Kind]:
			done[n.Kind] = true
			out = append(out, strings.Replace(pattern, "%s", spell.Listed(shared[n.Kind], 6), 1))
		}
	}
	return out
}

// assumptions are the sentences of assumed notes, with %s for the places that share one.
var assumptions = map[align.NoteKind]string{
	align.NoteSquarePilot:      "pilot axes are square to their faces: %s",
	align.NotePlaneOfPoints:    "measured faces are their least-squares planes, which ignore high spots: %s",
	align.NoteThicknessDatum:   "the front face is a plane and the datum for the micrometer, which cannot see bow: %s",
	align.NoteNoEngagement:     "no engagement of the pilot is given, so its lean is not felt: %s",
	align.NoteBoltsClock:       "no dowel holds the turn, so the bolt pattern sets the clock: %s",
	align.NoteFreePin:          "pins are held by neither part and use both clearances: %s",
	align.NoteLiesUnknown:      "nobody knows where in its float it lies, so answers are ranges: %s",
	align.NoteDefaultReference: "offsets are from the line through the first two supports of shaft %s",
	align.NoteRigidShafts:      "use and margin are those of straight, rigid shafts",
	align.NoteUnloaded:         "no load acts, and the bolts bend no part",
	align.NoteTwoSupports:      "a straight line goes through any two bores, wherever they stand: of a shaft on two supports the margin says how tight its fits are, not how well the bores line up: %s",
}

// warningWords are the sentences of warnings: {of} is the place, {by} the size as a length, {times} as a number.
var warningWords = map[align.NoteKind]string{
	align.NoteSqueezedPilot:      "{of}: the pilot is squeezed by {by} on diameter (a press fit)",
	align.NoteSqueezedPin:        "{of}: the pin is {by} larger than a hole it is not pressed in",
	align.NoteStrainedRegister:   "{of}: faces and pilot disagree; closing the faces squeezes the register by {by}. " + doNotDraw,
	align.NoteDoesNotAssemble:    "{of} does not assemble: its clearances lack {by} on diameter. " + doNotDraw,
	align.NoteLoosePilot:         "{of}: {by} of clearance on diameter, so with the dowels out the part walks: a pilot that locates nothing",
	align.NotePilotLedUnknown:    "{of}: strained, and no contact diameter is given, so the seat led by the pilot is not evaluated",
	align.NotePilotLed:           "{of}: the pilot leads and the faces stay {by} open at one side. " + doNotDraw,
	align.NoteClearanceUnchanged: "{of}: away from 20 °C, but neither journal nor bore diameter is given, so its clearance is as at 20 °C",
	align.NoteNoClearance:        "{of} has no radial room: the shaft must pass through its very centre",
	align.NoteFewStations:        "{of}: {count} stations cannot tell warp from reading error; eight are usual",
	align.NoteSecondHarmonic:     "{of}: the second harmonic {outweighs}; no dowel, shim or shift takes that out",
	align.NoteTiltAboveGuide:     "{of} is tilted by {times} times its permitted tilt: above the guide, not a cliff",
}

// outweighed is the second harmonic, in sizes of the first, from which no share of it tells more.
const outweighed = 10

func warning(at *pointers, n align.Note) string {
	words := cmp.Or(warningWords[n.Kind], "{of}: note "+fmt.Sprint(uint8(n.Kind)))
	return strings.NewReplacer(
		"{of}", spell.Clean(at.place(n.Of)),
		"{by}", printerOf(at.rec).Both(tolerance.Length(n.Size)),
		"{count}", strconv.Itoa(n.Count),
		"{outweighs}", spell.Either(n.Size < outweighed, "is "+spell.Percent(n.Size)+" of the first", "outweighs the first"),
		"{times}", spell.Trimmed(n.Size, 2),
	).Replace(words)
}

// recordWarnings says what decodes but looks like a slip.
func recordWarnings(at *pointers) []string { return at.remarks(at.rec.Warnings()) }

// remarks says each with its place.
func (p *pointers) remarks(list []record.Remark) []string {
	return append([]string{}, spell.Mapped(list, func(w record.Remark) string { return spell.Clean(p.place(w.Path) + ": " + w.Text) })...)
}
