package report

import (
	"math"
	"strconv"
	"strings"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/tolerance"
)

// A dial's first harmonic says where the readings are greatest, which is seldom what is wanted: a bore swept from inside reads
// least where its centre lies. Words say where the centre is off, or where the part is thick; the JSON report keeps the readings.

// sweptSign is the sign with which a reading that grows as the plunger is pushed in follows what is said of it: a spigot reads
// most where its centre is, a bore opposite, a face where the part is thick.
func sweptSign(s *align.Sweep, bore bool) float64 {
	sign := 1.0
	if bore {
		sign = -1
	}
	if s.Out {
		sign = -sign
	}
	return sign
}

// firstOf is the first harmonic of a fit as a vector towards where the readings are greatest, times sign; false without one.
func firstOf(fit *align.ReadingFit, sign float64) (align.Vec2, bool) {
	for _, h := range fit.Harmonics {
		if h.N == 1 {
			sin, cos := math.Sincos(float64(h.Clock))
			size := tolerance.Length(sign) * h.Size
			return align.Vec2{X: tolerance.Length(sin) * size, Y: tolerance.Length(cos) * size}, true
		}
	}
	return align.Vec2{}, false
}

// sweptCentre is where a sweep of a register or bore puts the centre, from the axis that the dial turned about: droop and lift
// make it seem high. False where the readings say no direction.
func sweptCentre(s *align.Sweep, fit *align.ReadingFit, bore bool) (align.Vec2, bool) {
	e, ok := firstOf(fit, sweptSign(s, bore))
	e.Y -= s.Droop + s.Lift
	return e, ok
}

// sweptWords says what the first harmonic of a set of readings means, on the part as measured: where the centre is off, or
// where the part is thick. A dash where it says nothing: a thickness, whose plane is among the parts, or no direction.
func sweptWords(p printer, s *align.Stack, fit *align.ReadingFit) string {
	sweep, bore, face := sweepAt(s, fit.Path)
	if sweep == nil {
		return "-"
	}
	if face {
		v, ok := firstOf(fit, sweptSign(sweep, false))
		if !ok || p.Plain(v.Size()) == "0" {
			return "-"
		}
		return "part thick at " + spell.Hand(v.Clock())
	}
	e, ok := sweptCentre(sweep, fit, bore)
	switch {
	case !ok:
		return "-"
	case p.Plain(e.Size()) == "0":
		return "centre on the axis"
	}
	return "centre off by " + p.Plain(e.Size()) + " towards " + spell.Hand(e.Clock())
}

// sweepAt finds the sweep that a pointer to readings leads to: of a bore or pilot bore, of a spigot, or of a face. Nil: it
// leads to none.
func sweepAt(s *align.Stack, path string) (sweep *align.Sweep, bore, face bool) {
	key := strings.Split(path, "/")
	if len(key) < 5 || key[1] != "parts" {
		return nil, false, false
	}
	n, err := strconv.Atoi(key[2])
	if err != nil || n < 0 || n >= len(s.Parts) {
		return nil, false, false
	}
	part := &s.Parts[n]
	if key[3] == "bores" {
		if k, err := strconv.Atoi(key[4]); err == nil && k >= 0 && k < len(part.Bores) {
			return part.Bores[k].Sweep, true, false
		}
		return nil, false, false
	}
	f := part.Front
	if key[3] == "rear" {
		f = part.Rear
	}
	switch {
	case f == nil:
	case key[4] == "sweep":
		return f.Sweep, false, true
	case key[4] == "pilot" && f.Pilot != nil:
		return f.Pilot.Sweep, f.Pilot.Kind == align.PilotBore, false
	}
	return nil, false, false
}
