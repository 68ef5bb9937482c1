package record

import (
	"fmt"

	"example.com/borestack/align"
	"example.com/borestack/tolerance"
)

// Warning is something that decodes but looks like a slip: a unit, a decimal point, diametral for radial.
type Warning struct {
	Path string
	Text string
}

// String says where and what.
func (w Warning) String() string { return w.Path + ": " + w.Text }

// Scales, in mm or ratios, beyond which a number looks like a slip. They are wide: they warn, they do not judge.
const (
	thinPart       = 1.0
	shortLine      = 50.0
	longLine       = 20000.0
	wideClearance  = 1.0
	clearanceShare = 0.02 // of the bore
	steepFace      = 0.02
	wideReadings   = 5.0
)

// Warnings lists what looks like a slip.
func (r *Record) Warnings() []Warning {
	s, err := r.Stack()
	if err != nil {
		return nil
	}
	var out []Warning
	warn := func(path, format string, args ...any) { out = append(out, Warning{path, fmt.Sprintf(format, args...)}) }
	bores := map[string]*align.Bore{}
	for i := range s.Parts {
		p := &s.Parts[i]
		at := fmt.Sprintf("/parts/%d", i)
		partWarnings(p, at, warn)
		for b := range p.Bores {
			bores[p.Name+"/"+p.Bores[b].Name] = &p.Bores[b]
		}
	}
	for i := range s.Shafts {
		for k, q := range s.Shafts[i].Supports {
			at := fmt.Sprintf("/shafts/%d/supports/%d", i, k)
			if q.Clearance > wideClearance {
				warn(at+"/clearance", "a running clearance of %v: is the unit right, and is it diametral?", q.Clearance.Length())
			} else if b := bores[q.Bore]; b != nil && b.Diameter.Given && q.Clearance.Length() > clearanceShare*b.Diameter.Value {
				warn(at+"/clearance", "a running clearance of %v in a bore of %v: is the unit right, and is it diametral?", q.Clearance.Length(), b.Diameter.Value)
			}
			if q.Runout.Length() > q.Clearance.Length() && q.Clearance > 0 {
				warn(at+"/runout", "the journal runs out by %v, more than the clearance: is it a TIR?", q.Runout)
			}
		}
		lineWarning(&s, i, warn)
	}
	return out
}

func partWarnings(p *align.Part, at string, warn func(path, format string, args ...any)) {
	zero := func(f *align.Face) bool { return f != nil && len(f.Points) == 0 && f.Thickness == nil }
	if zero(p.Front) && zero(p.Rear) {
		if t := p.Rear.Z - p.Front.Z; t < thinPart {
			warn(at+"/rear/z", "a part %v thick: is the unit right, and are front and rear the right way round?", t)
		}
	}
	for side, f := range map[string]*align.Face{"/front": p.Front, "/rear": p.Rear} {
		if f == nil {
			continue
		}
		if s := max(abs(f.Slope.X), abs(f.Slope.Y)); s > steepFace {
			warn(at+side+"/slope", "a face slope of %.3g: is it a ratio?", s)
		}
		if f.Thickness != nil {
			readingWarnings(&f.Thickness.Readings, at+side+"/thickness", warn)
			if len(f.Thickness.Values) > 0 && len(f.Thickness.Values[0]) > 0 && f.Thickness.Values[0][0] < thinPart {
				warn(at+side+"/thickness/readings/0", "a part %v thick: is the unit right?", f.Thickness.Values[0][0])
			}
		}
		if f.Sweep != nil {
			readingWarnings(&f.Sweep.Readings, at+side+"/sweep", warn)
		}
		if f.Pilot != nil && f.Pilot.Sweep != nil {
			readingWarnings(&f.Pilot.Sweep.Readings, at+side+"/pilot/sweep", warn)
		}
	}
	for b := range p.Bores {
		if s := p.Bores[b].Sweep; s != nil {
			readingWarnings(&s.Readings, fmt.Sprintf("%s/bores/%d/sweep", at, b), warn)
		}
	}
}

func abs(v float64) float64 {
	if v < 0 {
		return -v
	}
	return v
}

func readingWarnings(r *align.Readings, at string, warn func(path, format string, args ...any)) {
	var lo, hi tolerance.Length
	first := true
	for _, v := range r.Values {
		for _, x := range v {
			if first || x < lo {
				lo = x
			}
			if first || x > hi {
				hi = x
			}
			first = false
		}
	}
	if spread := hi - lo; spread > wideReadings {
		warn(at+"/readings", "readings that spread over %v: is the unit right?", spread)
	} else if u := r.Uncertainty; u.Given && u.Value > spread && spread > 0 {
		warn(at+"/uncertainty", "a standard uncertainty of %v beside readings that spread over %v: is it k = 1, and the unit right?", u.Value, spread)
	}
}

// lineWarning looks at how long a shaft's line is, by its bores in a stack that is put together squarely.
func lineWarning(s *align.Stack, i int, warn func(path, format string, args ...any)) {
	z, base := map[string]float64{}, 0.0
	for k := range s.Parts {
		p := &s.Parts[k]
		if k > 0 && p.Front != nil {
			base -= float64(p.Front.Z)
		}
		for _, b := range p.Bores {
			z[p.Name+"/"+b.Name] = base + float64(b.Centre.Z)
		}
		if p.Rear != nil {
			base += float64(p.Rear.Z)
			if t := p.Rear.Thickness; t != nil && len(t.Values) > 0 && len(t.Values[0]) > 0 {
				base += float64(t.Values[0][0])
			}
		}
	}
	if len(s.Shafts[i].Supports) < 2 {
		return
	}
	lo, hi := z[s.Shafts[i].Supports[0].Bore], z[s.Shafts[i].Supports[0].Bore]
	for _, q := range s.Shafts[i].Supports {
		lo, hi = min(lo, z[q.Bore]), max(hi, z[q.Bore])
	}
	if d := hi - lo; d < shortLine || d > longLine {
		warn(fmt.Sprintf("/shafts/%d", i), "a shaft line %v long between its outer supports: is the unit right?", tolerance.Length(d))
	}
}
