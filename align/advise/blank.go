package advise

import (
	"bytes"
	"fmt"
	"math"

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
		at := fmt.Sprintf("/parts/%d", i)
		for _, f := range []struct {
			name string
			face *record.Face
		}{{"front", part.Front}, {"rear", part.Rear}} {
			if f.face == nil {
				continue
			}
			if t := f.face.Thickness; t != nil {
				p.task(Task{Take: TakeThickness, Part: part.Name, What: "thickness", At: at + "/rear/thickness"}, &t.Readings)
			}
			if s := f.face.Sweep; s != nil {
				p.task(Task{Take: TakeFace, Part: part.Name, What: "sweep of its " + f.name + " face", At: at + "/" + f.name + "/sweep", About: s.About}, &s.Readings)
			}
			if f.face.Pilot != nil && f.face.Pilot.Sweep != nil {
				s := f.face.Pilot.Sweep
				p.task(Task{Take: TakePilot, Part: part.Name, What: "sweep of its " + f.name + " pilot", At: at + "/" + f.name + "/pilot/sweep", About: s.About}, &s.Readings)
			}
		}
		for k := range part.Bores {
			if s := part.Bores[k].Sweep; s != nil {
				p.task(Task{Take: TakeBore, Part: part.Name, What: "sweep of " + part.Bores[k].Name, At: fmt.Sprintf("%s/bores/%d/sweep", at, k), About: s.About}, &s.Readings)
			}
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

// note writes the gauge's standard uncertainty where the blank says none, in the readings' unit or else the record's.
func (t *Task) note(unit string) {
	r := t.blank
	if r.Unit != "" {
		unit = r.Unit
	}
	if u, err := tolerance.ParseUnit(unit); err == nil && r.Uncertainty == nil {
		n := record.Num(math.Round(t.Gauge.U.In(u)*1e6) / 1e6)
		r.Uncertainty = &n
	}
}

// sizes lists the single sizes that stay in the record, to be measured or confirmed: diameters first, then holes, gaskets, clearances and depths.
func (p *Programme) sizes(rec *record.Record) {
	add := func(what, at string, n *record.Number) {
		if n != nil {
			p.Keep = append(p.Keep, fmt.Sprintf("%s: %s %s (%s)", what, n.Text, rec.Units.Length, at))
		}
	}
	for i := range rec.Parts {
		q := &rec.Parts[i]
		for _, f := range []struct {
			name string
			face *record.Face
		}{{"front", q.Front}, {"rear", q.Rear}} {
			if f.face == nil {
				continue
			}
			at := fmt.Sprintf("/parts/%d/%s", i, f.name)
			if f.face.Pilot != nil && f.face.Pilot.Round == nil {
				add(q.Name+", "+f.name+" pilot diameter", at+"/pilot/diameter", &f.face.Pilot.Diameter)
			}
			for k := range f.face.Dowels {
				d := &f.face.Dowels[k]
				p.Keep = append(p.Keep, fmt.Sprintf("%s, %s dowel hole %s: at (%s, %s), diameter %s %s (%s/dowels/%d)", q.Name, f.name, d.Name, d.Centre[0].Text, d.Centre[1].Text, d.Diameter.Text, rec.Units.Length, at, k))
			}
		}
	}
	for i := range rec.Joints {
		if g := rec.Joints[i].Gasket; g != nil {
			add("gasket, as crushed under its bolts", fmt.Sprintf("/joints/%d/gasket/thickness", i), &g.Thickness)
		}
	}
	for i := range rec.Shafts {
		for k := range rec.Shafts[i].Supports {
			s := &rec.Shafts[i].Supports[k]
			if s.Fit != nil {
				p.Keep = append(p.Keep, fmt.Sprintf("running clearance in %s: of a fit %s, not measured (/shafts/%d/supports/%d/fit)", s.Bore, s.Fit.Text, i, k))
				continue
			}
			add("running clearance in "+s.Bore, fmt.Sprintf("/shafts/%d/supports/%d/clearance", i, k), &s.Clearance)
		}
	}
	for i := range rec.Chains {
		for k := range rec.Chains[i].Links {
			l := &rec.Chains[i].Links[k]
			add(rec.Chains[i].Name+", "+l.Name, fmt.Sprintf("/chains/%d/links/%d/length", i, k), l.Length)
		}
	}
}
