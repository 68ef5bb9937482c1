package report

import (
	"fmt"
	"math"
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
	for _, f := range rec.Fits() {
		out = append(out, f.Text)
	}
	if bores := squareBores(rec); len(bores) > 0 {
		out = append(out, "bore axes run along their part's z axis: "+spell.Listed(bores, 6)+" have no slope given")
	}
	if bores := sweptAtZero(rec); len(bores) > 0 {
		out = append(out, "a sweep says where a bore is across the line and not along it: "+spell.Listed(bores, 6)+" at z 0 of the part, as no z stands beside it")
	}
	if !anyTemperature(rec) {
		out = append(out, "every part and shaft is at 20 °C")
	}
	if s := gaugesAssumed(rec, res); s != "" {
		out = append(out, s)
	}
	return out
}

// warnings says what deserves a warning: what looks like a slip in the record, what the evaluation noted of the box, and what the study saw.
func warnings(at *pointers, res *study.Result) []string {
	out := append(recordWarnings(at), sentences(at, res.Assembly.Warnings)...)
	for _, w := range res.Warnings {
		out = append(out, spell.Clean(at.place(w.Path)+": "+w.Text))
	}
	return out
}

// sweptAtZero lists the swept bores, candidates' too, that have no z and so are taken to lie at z = 0 of their part.
func sweptAtZero(rec *record.Record) []string {
	var out []string
	look := func(name string, p *record.Part) {
		for i := range p.Bores {
			if b := &p.Bores[i]; b.Sweep != nil && b.Z == nil {
				out = append(out, spell.Clean(name+"/"+b.Name))
			}
		}
	}
	for i := range rec.Parts {
		look(rec.Parts[i].Name, &rec.Parts[i])
	}
	for _, c := range rec.Candidates {
		for i := range c.Value {
			look(c.Value[i].Name, &c.Value[i])
		}
	}
	return out
}

// squareBores lists the bores that carry a shaft and have no axis slope.
func squareBores(rec *record.Record) []string {
	var out []string
	used := map[string]bool{}
	for i := range rec.Shafts {
		for k := range rec.Shafts[i].Supports {
			used[rec.Shafts[i].Supports[k].Bore] = true
		}
	}
	for i := range rec.Parts {
		for k := range rec.Parts[i].Bores {
			b := &rec.Parts[i].Bores[k]
			if at := rec.Parts[i].Name + "/" + b.Name; b.Slope == nil && used[at] {
				out = append(out, spell.Clean(at))
			}
		}
	}
	return out
}

func anyTemperature(rec *record.Record) bool {
	for i := range rec.Parts {
		if rec.Parts[i].Temperature != nil || rec.Parts[i].MeasuredAt != nil {
			return true
		}
	}
	for i := range rec.Shafts {
		if rec.Shafts[i].Temperature != nil {
			return true
		}
	}
	return false
}

// sentences turns notes into sentences, one for each assumption that several places share, one for each warning.
func sentences(at *pointers, notes []align.Note) []string {
	out := []string{}
	shared := map[align.NoteKind][]string{}
	for _, n := range notes {
		if pattern, ok := assumption(n.Kind); ok && strings.Contains(pattern, "%s") {
			shared[n.Kind] = append(shared[n.Kind], spell.Clean(at.place(n.Of)))
		}
	}
	done := map[align.NoteKind]bool{}
	for _, n := range notes {
		pattern, ok := assumption(n.Kind)
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

// assumption is the sentence of an assumed note, with %s for the places that share it.
func assumption(kind align.NoteKind) (string, bool) {
	switch kind {
	case align.NoteSquarePilot:
		return "pilot axes are square to their faces: %s", true
	case align.NotePlaneOfPoints:
		return "measured faces are their least-squares planes, which ignore high spots: %s", true
	case align.NoteThicknessDatum:
		return "the front face is a plane and the datum for the micrometer, which cannot see bow: %s", true
	case align.NoteNoEngagement:
		return "no engagement of the pilot is given, so its lean is not felt: %s", true
	case align.NoteBoltsClock:
		return "no dowel holds the turn, so the bolt pattern sets the clock: %s", true
	case align.NoteFreePin:
		return "pins are held by neither part and use both clearances: %s", true
	case align.NoteLiesUnknown:
		return "nobody knows where in its float it lies, so answers are ranges: %s", true
	case align.NoteDefaultReference:
		return "offsets are from the line through the first two supports of shaft %s", true
	case align.NoteRigidShafts:
		return "use and margin are those of straight, rigid shafts", true
	case align.NoteUnloaded:
		return "no load acts, and the bolts bend no part", true
	case align.NoteDatumAxis:
		return "the dial turned about the part's own z axis: %s", true
	case align.NoteTwoSupports:
		return "a straight line goes through any two bores, wherever they stand: of a shaft on two supports the margin says how tight its fits are, not how well the bores line up: %s", true
	}
	return "", false
}

// warning is the sentence of a warning note.
func warning(at *pointers, n align.Note) string {
	p := printerOf(at.rec)
	of, l := spell.Clean(at.place(n.Of)), p.Both(tolerance.Length(n.Size))
	switch n.Kind {
	case align.NoteFewStations:
		return fmt.Sprintf("%s: %d stations cannot tell warp from reading error; eight are usual", of, n.Count)
	case align.NoteSecondHarmonic:
		much := "outweighs the first"
		if n.Size < 10 {
			much = "is " + spell.Percent(n.Size) + " of the first"
		}
		return fmt.Sprintf("%s: the second harmonic %s; no dowel, shim or shift takes that out", of, much)
	case align.NoteSqueezedPilot:
		return fmt.Sprintf("%s: the pilot is squeezed by %s on diameter (a press fit)", of, l)
	case align.NoteSqueezedPin:
		return fmt.Sprintf("%s: the pin is %s larger than a hole it is not pressed in", of, l)
	case align.NoteStrainedRegister:
		return fmt.Sprintf("%s: faces and pilot disagree; closing the faces squeezes the register by %s. %s", of, l, doNotDraw)
	case align.NoteDoesNotAssemble:
		return fmt.Sprintf("%s does not assemble: its clearances lack %s on diameter. %s", of, l, doNotDraw)
	case align.NoteLoosePilot:
		return fmt.Sprintf("%s: %s of clearance on diameter, so with the dowels out the part walks: a pilot that locates nothing", of, l)
	case align.NotePilotLedUnknown:
		return fmt.Sprintf("%s: strained, and no contact diameter is given, so the seat led by the pilot is not evaluated", of)
	case align.NotePilotLed:
		return fmt.Sprintf("%s: the pilot leads and the faces stay %s open at one side. %s", of, l, doNotDraw)
	case align.NoteClearanceUnchanged:
		return fmt.Sprintf("%s: away from 20 °C, but neither journal nor bore diameter is given, so its clearance is as at 20 °C", of)
	case align.NoteNoClearance:
		return fmt.Sprintf("%s has no radial room: the shaft must pass through its very centre", of)
	case align.NoteTiltAboveGuide:
		return fmt.Sprintf("%s is tilted by %s times its permitted tilt: above the guide, not a cliff", of, spell.Trimmed(n.Size, 2))
	}
	return fmt.Sprintf("%s: note %d", of, n.Kind)
}

// temperatureWords is the condition in which a box was evaluated: "cold" when nothing is away from 20 °C.
func temperatureWords(rec *record.Record) string {
	away := func(n *record.Number) bool { return n != nil && math.Abs(n.Value-float64(tolerance.Reference)) > 0 }
	for i := range rec.Parts {
		if away(rec.Parts[i].Temperature) {
			return "at the stated temperatures"
		}
	}
	for i := range rec.Shafts {
		if away(rec.Shafts[i].Temperature) {
			return "at the stated temperatures"
		}
	}
	return "cold"
}

// recordWarnings says what decodes but looks like a slip.
func recordWarnings(at *pointers) []string {
	out := []string{}
	for _, w := range at.rec.Warnings() {
		out = append(out, spell.Clean(at.place(w.Path)+": "+w.Text))
	}
	return out
}
