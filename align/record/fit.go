package record

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"strings"
	"unicode"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
	"example.com/borestack/tolerance/fits"
)

// Fit is a size given by its class, "150 g6", or a clearance by two, "35 H7/g6", with the nominal size
// in millimetres, where none was measured: the middle of what the classes leave. The zero value is no fit.
type Fit struct {
	Text   string
	Middle Number // of the diameter, or of the diametral clearance, in the record's unit
}

// MarshalJSON writes the classes.
func (f Fit) MarshalJSON() ([]byte, error) { return json.Marshal(f.Text) }

// text is how the fit is written; empty for none.
func (f *Fit) text() string {
	if f == nil {
		return ""
	}
	return f.Text
}

// How a fit is written, which is the rule of its key: two classes leave a clearance, one class is a
// diameter, of a hole or of what goes into one.
const (
	ofClearance = "clearance"
	ofHole      = "hole"
	ofShaft     = "shaft"
	ofDiameter  = "diameter" // of either
)

// fitForms say what each of them looks like; the empty one is any.
func fitForms() map[string]string {
	return map[string]string{
		"":          `a size in mm and two classes, the hole first, such as "35 H7/g6"`,
		ofClearance: `a size in mm and two classes, the hole first, such as "35 H7/g6"`,
		ofHole:      `a size in mm and a class of holes, such as "10 H7"`,
		ofShaft:     `a size in mm and a class of shafts, such as "10 m6"`,
		ofDiameter:  `a size in mm and a class, such as "150 H7" of a hole or "150 g6" of a spigot`,
	}
}

// fitted is what classes leave: the ends of a diameter or of a clearance, and the tolerance of each
// class, in millimetres.
type fitted struct {
	least, greatest tolerance.Length
	widths          []tolerance.Length
	rule            string // ofClearance, ofHole or ofShaft
}

// parseFit reads one class or two.
func parseFit(text string) (fitted, error) {
	whole, rule := text, ofClearance
	if !strings.Contains(text, "/") { // one class: another, which says nothing, makes it a pair to read
		size := strings.TrimRightFunc(strings.TrimRight(text, "0123456789"), unicode.IsLetter)
		class := text[len(size):]
		if whole, rule = size+class+"/h6", ofHole; strings.IndexFunc(class, unicode.IsLower) == 0 {
			whole, rule = size+"H7/"+class, ofShaft
		}
	}
	f, err := fits.ParseFit(whole)
	if err != nil {
		return fitted{}, err
	}
	m, err := f.Limits()
	if err != nil {
		return fitted{}, err
	}
	switch rule {
	case ofHole:
		return fitted{f.Size + m.Hole.Lower, f.Size + m.Hole.Upper, []tolerance.Length{m.Hole.Width()}, rule}, nil
	case ofShaft:
		return fitted{f.Size + m.Shaft.Lower, f.Size + m.Shaft.Upper, []tolerance.Length{m.Shaft.Width()}, rule}, nil
	}
	return fitted{m.Clearance.Least.Length(), m.Clearance.Greatest.Length(), []tolerance.Length{m.Hole.Width(), m.Shaft.Width()}, rule}, nil
}

// decodeNode reads classes that leave a size above 0.
func (f *Fit) decodeNode(d *decoder, n *node, path, rule string) {
	f.Middle = Num(0)
	is, ok := d.fit(n, path, rule)
	if !ok {
		return
	}
	f.Text = n.text
	const perMM = 1e6 // classes are in halves of a micrometre: a nanometre holds their middle whole
	middle := tolerance.Length(math.Round(float64(is.least+is.greatest)/2*perMM) / perMM)
	if !(middle > 0) {
		d.fault(path, n, fault.ErrOutOfRange, fmt.Sprintf("a fit that leaves room in the middle of its classes, not %v", middle))
		return
	}
	f.Middle = Num(float64(middle / d.lengthUnit))
}

// fit reads classes as a rule asks for them; any for an empty rule.
func (d *decoder) fit(n *node, path, rule string) (fitted, bool) {
	want := fitForms()[rule]
	if n.kind != isString {
		d.fault(path, n, errWrongType, want+", in double quotes")
		return fitted{}, false
	}
	is, err := parseFit(n.text)
	switch fits := rule == "" || rule == is.rule || rule == ofDiameter && is.rule != ofClearance; {
	case err == nil && fits:
		return is, true
	case err == nil:
		d.fault(path, n, fault.ErrConflict, want)
		return fitted{}, false
	}
	class := fault.ErrSyntax
	var q *fault.FieldError
	if errors.As(err, &q) {
		if class = q.Err; class != fault.ErrSyntax {
			want = q.Want
		}
	}
	d.fault(path, n, class, want)
	return fitted{}, false
}

// sized is a size that may be given by its class: its key, beside which fit may stand.
type sized struct {
	at, key, what string
	number        *Number
	fit           **Fit
}

// eachSize calls do for every size that may be given by its class: parts first, then candidates, joints,
// shafts and pockets.
func (r *Record) eachSize(do func(sized)) {
	part := func(p *Part, _ *align.Part, at string) {
		for _, side := range p.sides() {
			at := at + "/" + side.name
			if q := side.face.Pilot; q != nil && q.Round == nil {
				do(sized{at + "/pilot", "diameter", "diameter of the " + side.name + " pilot of " + spell.Name(p.Name), &q.Diameter, &q.Fit})
			}
			for i := range side.face.Dowels {
				q := &side.face.Dowels[i]
				do(sized{fmt.Sprintf("%s/dowels/%d", at, i), "diameter", "diameter of dowel hole " + spell.Name(q.Name) + " of " + spell.Name(p.Name), &q.Diameter, &q.Fit})
			}
		}
	}
	r.eachPart(nil, part)
	for k := range r.Joints {
		for i := range r.Joints[k].Pins {
			q := &r.Joints[k].Pins[i]
			do(sized{fmt.Sprintf("/joints/%d/pins/%d", k, i), "diameter", "diameter of pin " + spell.Name(q.Dowel), &q.Diameter, &q.Fit})
		}
	}
	for k := range r.Shafts {
		for i := range r.Shafts[k].Supports {
			q := &r.Shafts[k].Supports[i]
			do(sized{fmt.Sprintf("/shafts/%d/supports/%d", k, i), "clearance", "clearance of " + spell.Name(q.Bore), &q.Clearance, &q.Fit})
		}
	}
	for i := range r.Pockets {
		q := &r.Pockets[i]
		do(sized{fmt.Sprintf("/pockets/%d", i), "clearance", "clearance of " + spell.Name(q.Name), &q.Clearance, &q.Fit})
	}
}

// restsOn is the pointer to a number, or to the class of fit that stands in its place.
func (r *Record) restsOn(pointer string) string {
	i := strings.LastIndexByte(pointer, '/')
	at, key := pointer[:max(i, 0)], pointer[i+1:]
	if _, fit := r.find(at + "/fit").(*Fit); fit && (key == "diameter" || key == "clearance") {
		return at + "/fit"
	}
	return pointer
}

// Fits says in words every size that rests on a class of fit, with its place.
func (r *Record) Fits() []Remark {
	var out []Remark
	r.eachSize(func(s sized) {
		if f := *s.fit; f != nil {
			out = append(out, Remark{s.at + "/fit", fmt.Sprintf("the %s is the middle of its fit %s, %s %s", s.what, f.Text, f.Middle.Text, r.Units.Length)})
		}
	})
	return out
}
