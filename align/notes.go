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
	mean, list, residual, dof := harmonics(theta, value, r.equalSteps())
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
		mean, first := g.worth(r.equalSteps())
		f.FirstU = tolerance.Given(tolerance.Length(u * math.Sqrt(first)))
		f.MeanU = tolerance.Given(tolerance.Length(math.Hypot(u/math.Sqrt(mean), shared)))
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

// assume notes what is taken for granted where that is so.
func (a *Assembly) assume(is bool, kind NoteKind, of string) {
	if is {
		a.Assumed = append(a.Assumed, Note{Kind: kind, Of: of})
	}
}

// warn notes what deserves a warning where that is so.
func (a *Assembly) warn(is bool, kind NoteKind, of string, size float64) {
	if is {
		a.Warnings = append(a.Warnings, Note{Kind: kind, Of: of, Size: size})
	}
}

// notes lists what was assumed and what deserves a warning.
func (k *kernel) notes(a *Assembly) {
	for i := range k.stack.Parts {
		a.partNotes(&k.stack.Parts[i])
	}
	for i := range a.Joints {
		k.jointNotes(a, i)
	}
	for i := range a.Readings {
		a.readingNotes(&a.Readings[i])
	}
	if len(k.stack.Shafts) > 0 {
		k.shaftNotes(a)
	}
}

func (k *kernel) shaftNotes(a *Assembly) {
	if len(k.lay.supports) > 0 {
		a.assume(len(k.stack.References) == 0, NoteDefaultReference, k.stack.Shafts[k.lay.supports[0].shaft].Name)
	}
	a.assume(true, NoteRigidShafts, "")
	a.assume(!k.loaded(), NoteUnloaded, "")
	for _, s := range k.line.AlwaysLined() {
		a.assume(true, NoteTwoSupports, k.stack.Shafts[s].Name)
	}
	for i := range a.Supports {
		_, known := k.clearance(i)
		a.warn(!known, NoteClearanceUnchanged, a.Supports[i].Bore, 0)
		ratio := a.Supports[i].TiltRatio.Value
		a.warn(ratio > 1, NoteTiltAboveGuide, a.Supports[i].Bore, ratio)
	}
	for i := range k.circles {
		c := &k.circles[i]
		another := i == 0 || k.circleName(c) != k.circleName(&k.circles[i-1])
		a.warn(c.Radius == 0 && another, NoteNoClearance, k.circleName(c), 0)
	}
}

func (a *Assembly) partNotes(p *Part) {
	for side, f := range [2]*Face{p.Front, p.Rear} {
		if f == nil {
			continue
		}
		at := p.Name + [2]string{"/front", "/rear"}[side]
		a.assume(len(f.Points) > 0, NotePlaneOfPoints, at)
		a.assume(f.Thickness != nil, NoteThicknessDatum, p.Name)
		a.assume(f.Pilot != nil && !f.Pilot.Slope.Given, NoteSquarePilot, at)
	}
}

func (k *kernel) jointNotes(a *Assembly, i int) {
	joint, s, j := &k.stack.Joints[i], k.seats[i], &a.Joints[i]
	a.assume(s.pilot && !joint.Engagement.Given, NoteNoEngagement, j.Name)
	a.assume(!s.set.Turns, NoteBoltsClock, j.Name)
	for _, p := range joint.Pins {
		a.assume(p.Pressed == PressedNeither, NoteFreePin, j.Name+"/"+p.Dowel)
	}
	a.assume(joint.Lies == LiesAny && joint.Float == nil && s.set.Dim > 0, NoteLiesUnknown, j.Name)
	a.warn(!j.Assembles, NoteDoesNotAssemble, j.Name, float64(j.Interference))
	a.warn(s.cp < 0, NoteSqueezedPilot, j.Name, -s.cp)
	a.warn(j.Pilot != nil && j.Pilot.Loose, NoteLoosePilot, j.Name, s.cp)
	strained := s.strain > 0 && !s.led
	a.warn(strained, NoteStrainedRegister, j.Name, s.strain)
	a.warn(strained && joint.Rules == RulesAuto && !s.canLead, NotePilotLedUnknown, j.Name, 0)
	a.warn(s.standOff > 0, NotePilotLed, j.Name, s.gap)
	for _, p := range j.Pins {
		a.warn(p.Squeeze > tol.Touching, NoteSqueezedPin, j.Name+"/"+p.Dowel, float64(p.Squeeze))
	}
}

func (a *Assembly) readingNotes(f *ReadingFit) {
	if f.Stations < fewStations {
		a.Warnings = append(a.Warnings, Note{Kind: NoteFewStations, Of: f.Path, Count: f.Stations})
	}
	if f.OnThickness || len(f.Harmonics) < 2 {
		return
	}
	first, second := float64(f.Harmonics[0].Size), float64(f.Harmonics[1].Size)
	share := math.MaxFloat64
	if first > second*noHarmonic {
		share = second / first
	}
	a.warn(second > secondHarmonicShare*first && second > 0, NoteSecondHarmonic, f.Path, share)
}
