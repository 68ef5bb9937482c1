package align

import (
	"fmt"
	"math"

	"example.com/borestack/align/internal/tol"
	"example.com/borestack/tolerance"
)

// fewStations is the number of stations below which form cannot be told from reading error.
//
// Source: common practice, no published source (eight stations are usual; four leave no residual).
const fewStations = 6

// secondHarmonicShare is the share of the first harmonic above which a second harmonic deserves a
// warning: what no dowel or shim removes.
const secondHarmonicShare = 1.0 / 3

// noHarmonic is the share of a second harmonic below which a first one is rounding: their ratio
// then says nothing.
const noHarmonic = 1e-9

// readingFit fits one set of readings.
func readingFit(path string, r *Readings, g *ring, thickness bool) ReadingFit {
	theta, value := r.stations(nil, nil)
	f := ReadingFit{Path: path, OnThickness: thickness, Stations: len(theta), Closing: r.ClosingError()}
	plane, c, s := g.fit(r)
	if thickness {
		for i, a := range theta {
			sn, cs := math.Sincos(a)
			value[i] = value[i] - plane - c*cs - s*sn
		}
	}
	mean, list, residual, dof, firstU := harmonics(theta, value, r.equalSteps())
	if thickness {
		mean = plane
	}
	f.Mean, f.Harmonics = tolerance.Length(mean), list
	if dof > 0 {
		f.Residual = tolerance.Given(tolerance.Length(residual))
	}
	u, stated := float64(r.Uncertainty.Value), r.Uncertainty.Given
	if !stated && dof > 0 {
		u, stated = residual, true
	}
	if stated {
		shared := float64(r.SharedUncertainty.Value)
		f.FirstU = tolerance.Given(tolerance.Length(u * firstU))
		f.MeanU = tolerance.Given(tolerance.Length(math.Hypot(u/math.Sqrt(float64(len(theta))), shared)))
	}
	return f
}

// readingFits fits every set of readings of the stack, in order.
func (k *kernel) readingFits() (out []ReadingFit) {
	for i := range k.stack.Parts {
		for _, r := range k.stack.Parts[i].rounds(&k.parts[i]) {
			out = append(out, readingFit(fmt.Sprintf("/parts/%d%s", i, r.below), r.Readings, r.ring, r.sweep == nil))
		}
	}
	return out
}

// notes lists what was assumed and what deserves a warning.
func (k *kernel) notes(a *Assembly) {
	assume := func(kind NoteKind, of string) { a.Assumed = append(a.Assumed, Note{Kind: kind, Of: of}) }
	warn := func(n Note) { a.Warnings = append(a.Warnings, n) }
	k.partNotes(assume)
	for i := range a.Joints {
		k.jointNotes(i, &a.Joints[i], assume, warn)
	}
	for _, f := range a.Readings {
		readingNotes(f, warn)
	}
	if len(k.stack.Shafts) == 0 {
		return
	}
	if len(k.stack.References) == 0 && len(k.lay.supports) > 0 {
		assume(NoteDefaultReference, k.stack.Shafts[k.lay.supports[0].shaft].Name)
	}
	assume(NoteRigidShafts, "")
	if !k.loaded() {
		assume(NoteUnloaded, "")
	}
	for _, s := range k.line.AlwaysLined() {
		assume(NoteTwoSupports, k.stack.Shafts[s].Name)
	}
	for i := range k.lay.supports {
		sup := k.support(i)
		if _, known := k.clearance(i); !known {
			warn(Note{Kind: NoteClearanceUnchanged, Of: sup.Bore})
		}
		if r := a.Supports[i].TiltRatio; r.Value > 1 {
			warn(Note{Kind: NoteTiltAboveGuide, Of: sup.Bore, Size: r.Value})
		}
	}
	for i := range k.circles {
		c := &k.circles[i]
		if c.Radius == 0 && (i == 0 || k.circleName(c) != k.circleName(&k.circles[i-1])) {
			warn(Note{Kind: NoteNoClearance, Of: k.circleName(c)})
		}
	}
}

func (k *kernel) partNotes(assume func(NoteKind, string)) {
	for i := range k.stack.Parts {
		p := &k.stack.Parts[i]
		for side, f := range [2]*Face{p.Front, p.Rear} {
			if f == nil {
				continue
			}
			at := p.Name + [2]string{"/front", "/rear"}[side]
			if len(f.Points) > 0 {
				assume(NotePlaneOfPoints, at)
			}
			if f.Thickness != nil {
				assume(NoteThicknessDatum, p.Name)
			}
			if f.Pilot != nil && !f.Pilot.Slope.Given {
				assume(NoteSquarePilot, at)
			}
		}
	}
}

func (k *kernel) jointNotes(i int, j *SeatedJoint, assume func(NoteKind, string), warn func(Note)) {
	joint, s := &k.stack.Joints[i], k.seats[i]
	if s.pilot && !joint.Engagement.Given {
		assume(NoteNoEngagement, j.Name)
	}
	if !s.set.Turns {
		assume(NoteBoltsClock, j.Name)
	}
	for _, p := range joint.Pins {
		if p.Pressed == PressedNeither {
			assume(NoteFreePin, j.Name+"/"+p.Dowel)
		}
	}
	if joint.Lies == LiesAny && joint.Float == nil && s.set.Dim > 0 {
		assume(NoteLiesUnknown, j.Name)
	}
	if !j.Assembles {
		warn(Note{Kind: NoteDoesNotAssemble, Of: j.Name, Size: float64(j.Interference)})
	}
	if s.cp < 0 {
		warn(Note{Kind: NoteSqueezedPilot, Of: j.Name, Size: -s.cp})
	}
	if j.Pilot != nil && j.Pilot.Loose {
		warn(Note{Kind: NoteLoosePilot, Of: j.Name, Size: s.cp})
	}
	if s.strain > 0 && !s.led {
		warn(Note{Kind: NoteStrainedRegister, Of: j.Name, Size: s.strain})
		if joint.Rules == RulesAuto && !s.canLead {
			warn(Note{Kind: NotePilotLedUnknown, Of: j.Name})
		}
	}
	if s.standOff > 0 {
		warn(Note{Kind: NotePilotLed, Of: j.Name, Size: s.gap})
	}
	for _, p := range j.Pins {
		if p.Squeeze > tol.Touching {
			warn(Note{Kind: NoteSqueezedPin, Of: j.Name + "/" + p.Dowel, Size: float64(p.Squeeze)})
		}
	}
}

func readingNotes(f ReadingFit, warn func(Note)) {
	if f.Stations < fewStations {
		warn(Note{Kind: NoteFewStations, Of: f.Path, Count: f.Stations})
	}
	if !f.OnThickness && len(f.Harmonics) >= 2 {
		first, second := float64(f.Harmonics[0].Size), float64(f.Harmonics[1].Size)
		if second > secondHarmonicShare*first && second > 0 {
			share := math.MaxFloat64
			if first > second*noHarmonic {
				share = second / first
			}
			warn(Note{Kind: NoteSecondHarmonic, Of: f.Path, Size: share})
		}
	}
}
