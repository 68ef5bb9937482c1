package advise

import (
	"bytes"
	"fmt"

	"example.com/borestack/align/record"
	"example.com/borestack/tolerance"
)

// blank copies the record without its readings, and lists their tasks in the order of the parts.
func (p *Programme) blank(rec *record.Record) error {
	var text bytes.Buffer
	if err := rec.Encode(&text); err != nil {
		return err
	}
	var err error
	if p.Blank, err = record.Decode(&text); err != nil {
		return err
	}
	for i := range p.Blank.Parts {
		part := &p.Blank.Parts[i]
		swept := func(t take, what, at string, s *record.Sweep) {
			if s != nil {
				p.task(Task{take: t, Part: part.Name, What: "sweep of " + what, At: at + "/sweep", About: s.About}, &s.Readings)
			}
		}
		eachFace(part, i, func(name, at string, f *record.Face) {
			if t := f.Thickness; t != nil {
				p.task(Task{take: takeThickness, Part: part.Name, What: "thickness", At: at + "/thickness"}, &t.Readings)
			}
			swept(takeFace, "its "+name+" face", at, f.Sweep)
			if f.Pilot != nil {
				swept(takeSweep, "its "+name+" pilot", at+"/pilot", f.Pilot.Sweep)
			}
		})
		for k := range part.Bores {
			swept(takeSweep, part.Bores[k].Name, fmt.Sprintf("/parts/%d/bores/%d", i, k), part.Bores[k].Sweep)
		}
	}
	p.Blank.Candidates = nil
	p.Blank.Note = "blank: write each reading in place of null, repeats as a list; \"closing\" is the first station read again"
	return nil
}

// usualStations is how many stations a sweep has: four cannot tell warp from reading error.
const usualStations = 8

// task adds a task and empties its readings in the blank.
func (p *Programme) task(t Task, r *record.Readings) {
	n := len(r.Readings)
	if r.At == nil {
		n = max(n, usualStations)
	}
	t.FromNose = r.SeenFrom == "nose"
	for k := range n {
		deg := 360 * float64(k) / float64(n)
		switch {
		case r.At != nil:
			deg = r.At[k].Value
		case r.First != nil:
			deg += r.First.Value
		}
		t.Stations = append(t.Stations, (tolerance.Angle(deg) * tolerance.Degree).Normalized())
	}
	r.Readings, r.Closing = make([]record.Reading, n), nil
	t.blank = r
	p.Tasks = append(p.Tasks, t)
}

// sizes lists the single sizes that stay in the record, to be measured or confirmed: diameters first, then holes, gaskets, clearances and depths.
func (p *Programme) sizes(rec *record.Record) {
	keep := func(format string, args ...any) { p.Keep = append(p.Keep, fmt.Sprintf(format, args...)) }
	unit := rec.Units.Length
	add := func(what, at string, n *record.Number) {
		if n != nil && n.Text != "" { // else a class of fit stands in its place
			keep("%s: %s %s (%s)", what, n.Text, unit, at)
		}
	}
	for i := range rec.Parts {
		q := &rec.Parts[i]
		eachFace(q, i, func(name, at string, f *record.Face) {
			if f.Pilot != nil && f.Pilot.Round == nil {
				add(q.Name+", "+name+" pilot diameter", at+"/pilot/diameter", &f.Pilot.Diameter)
			}
			for k := range f.Dowels {
				if d := &f.Dowels[k]; d.Fit == nil {
					keep("%s, %s dowel hole %s: at (%s, %s), diameter %s %s (%s/dowels/%d)", q.Name, name, d.Name, d.Centre[0].Text, d.Centre[1].Text, d.Diameter.Text, unit, at, k)
				}
			}
		})
	}
	for i := range rec.Joints {
		if g := rec.Joints[i].Gasket; g != nil {
			add("gasket, as crushed under its bolts", fmt.Sprintf("/joints/%d/gasket/thickness", i), &g.Thickness)
		}
	}
	for i := range rec.Shafts {
		for k := range rec.Shafts[i].Supports {
			s := &rec.Shafts[i].Supports[k]
			add("running clearance in "+s.Bore, fmt.Sprintf("/shafts/%d/supports/%d/clearance", i, k), &s.Clearance)
		}
	}
	for _, f := range rec.Fits() {
		keep("not measured: %s (%s)", f.Text, f.Path)
	}
	for i := range rec.Chains {
		for k := range rec.Chains[i].Links {
			l := &rec.Chains[i].Links[k]
			add(rec.Chains[i].Name+", "+l.Name, fmt.Sprintf("/chains/%d/links/%d/length", i, k), l.Length)
		}
	}
}

// eachFace calls do for the faces of part i of a record, with their pointers.
func eachFace(p *record.Part, i int, do func(name, at string, f *record.Face)) {
	if p.Front != nil {
		do("front", fmt.Sprintf("/parts/%d/front", i), p.Front)
	}
	if p.Rear != nil {
		do("rear", fmt.Sprintf("/parts/%d/rear", i), p.Rear)
	}
}
