package record

import (
	"fmt"
	"slices"
	"strconv"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/quantity"
	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// Bounds on the study's lists.
const (
	maxVary   = 2000
	maxAccept = 500
)

// studyFaults checks what accept and vary refer to, and bores that give their centre twice or not at all.
func (r *Record) studyFaults(s *align.Stack) []error {
	var out []error
	wrong := func(path, value string, class error, want string) {
		out = append(out, &fault.FieldError{Path: path, Value: value, Want: want, Err: class})
	}
	if len(r.Vary) > maxVary {
		wrong("/vary", fmt.Sprintf("%d", len(r.Vary)), fault.ErrTooMany, fmt.Sprintf("at most %d", maxVary))
		return out
	}
	if len(r.Accept) > maxAccept {
		wrong("/accept", fmt.Sprintf("%d", len(r.Accept)), fault.ErrTooMany, fmt.Sprintf("at most %d", maxAccept))
		return out
	}
	joints := make([]string, len(s.Joints))
	for i := range s.Joints {
		joints[i] = s.JointName(i)
	}
	names := map[string]bool{}
	for i := range r.Vary {
		r.varyFaults(&r.Vary[i], "/vary/"+strconv.Itoa(i), joints, names, wrong)
	}
	for i := range r.Accept {
		r.acceptFaults(&r.Accept[i], "/accept/"+strconv.Itoa(i), s, wrong)
	}
	r.shopFaults(s, wrong)
	return out
}

func (r *Record) varyFaults(v *Vary, at string, joints []string, names map[string]bool, wrong func(path, value string, class error, want string)) {
	if v.Float != "" {
		if !slices.Contains(joints, v.Float) {
			wrong(at+"/float", strconv.Quote(v.Float), fault.ErrUnknownName, wantName("joint", v.Float, joints))
		}
		if v.Law.Word == "" {
			wrong(at+"/law", v.Law.Kind, fault.ErrConflict, "uniform, rim, hang, rest or any, as text")
		}
		return
	}
	if v.Name == "" {
		wrong(at+"/name", "", fault.ErrMissing, "this key")
	} else if names[v.Name] {
		wrong(at+"/name", strconv.Quote(v.Name), fault.ErrRepeated, "each name once")
	}
	names[v.Name] = true
	pairs := len(v.At.List) == 2
	r.pointerFaults(&v.At, at+"/at", wrong)
	switch {
	case v.At.IsZero():
		wrong(at+"/at", "", fault.ErrMissing, "a pointer to a number, or a pair of them")
	case v.Law.Word != "":
		wrong(at+"/law", strconv.Quote(v.Law.Word), fault.ErrConflict, "a law such as {\"normal\": 0.01}")
	default:
		lawFaults(&v.Law, at+"/law", pairs, v.Limits != nil, wrong)
	}
	if v.Limits != nil && v.Limits[0].Value > v.Limits[1].Value {
		wrong(at+"/limits", v.Limits[0].Text+" above "+v.Limits[1].Text, fault.ErrConflict, "[lowest, highest]")
	}
	for k := range v.Also {
		r.pointerFaults(&v.Also[k].At, fmt.Sprintf("%s/also/%d/at", at, k), wrong)
		if len(v.Also[k].At.List) != len(v.At.List) {
			wrong(fmt.Sprintf("%s/also/%d/at", at, k), "", fault.ErrConflict, "as many pointers as in at")
		}
	}
}

// pointerFaults checks that pointers lead to numbers of the record.
func (r *Record) pointerFaults(p *Pointers, at string, wrong func(path, value string, class error, want string)) {
	for i, to := range p.List {
		path := at
		if len(p.List) > 1 {
			path += "/" + strconv.Itoa(i)
		}
		_, fit := r.find(to).(*Fit)
		if n, ok := r.tree.find(to); !r.isGiven(to) && (!ok || n.kind != isNumber && !fit) {
			wrong(path, strconv.Quote(to), fault.ErrUnknownName, "a JSON Pointer (RFC 6901) to a number of this record")
		}
	}
}

func (r *Record) acceptFaults(a *Accept, at string, s *align.Stack, wrong func(path, value string, class error, want string)) {
	if a.Least != nil && a.Greatest != nil && a.Least.Value > a.Greatest.Value {
		wrong(at, a.Least.Text+" above "+a.Greatest.Text, fault.ErrConflict, "least at most greatest")
	}
	o := &a.Output
	kind := strconv.Quote(o.Kind)
	e, known := quantity.ByWord(o.Kind)
	switch {
	case !known: // a fault of its own
	case e.Thing == quantity.Line:
		if len(s.Shafts) == 0 {
			wrong(at+"/output/kind", kind, fault.ErrMissing, "a record with shafts")
		}
	case o.Of == "" && e.Measure == quantity.YesNo: // of every joint
	case o.Of == "":
		wrong(at+"/output/of", "", fault.ErrMissing, "the name of a "+e.Thing.String())
	default:
		if known := namesOf(s, e.Thing); !slices.Contains(known, o.Of) {
			wrong(at+"/output/of", strconv.Quote(o.Of), fault.ErrUnknownName, wantName(e.Thing.String(), o.Of, known))
		}
	}
	var refs, states []string
	for _, q := range s.References {
		refs = append(refs, q.Name)
	}
	for _, q := range s.States {
		states = append(states, q.Name)
	}
	if e.Thing == quantity.Bore && len(refs) == 0 && len(s.Shafts) == 0 {
		wrong(at+"/output/kind", kind, fault.ErrMissing, "a reference to measure it from")
	}
	if o.From != "" && !slices.Contains(refs, o.From) {
		wrong(at+"/output/from", strconv.Quote(o.From), fault.ErrUnknownName, wantName("reference", o.From, refs))
	}
	if o.State != "" && !slices.Contains(states, o.State) {
		wrong(at+"/output/state", strconv.Quote(o.State), fault.ErrUnknownName, wantName("state", o.State, states))
	}
}

// namesOf are the names that an output of such a thing may have.
func namesOf(s *align.Stack, t quantity.Thing) (out []string) {
	switch t {
	case quantity.Joint:
		for i := range s.Joints {
			out = append(out, s.JointName(i))
		}
	case quantity.Part, quantity.Bore:
		for _, p := range s.Parts {
			if t == quantity.Part && p.Rear != nil && p.Rear.Thickness != nil {
				out = append(out, p.Name)
			}
			for _, b := range p.Bores {
				if t == quantity.Bore {
					out = append(out, p.Name+"/"+b.Name)
				}
			}
		}
	case quantity.Mesh:
		for _, m := range s.Meshes {
			out = append(out, m.Name)
		}
	case quantity.Chain:
		for _, c := range s.Chains {
			out = append(out, c.Name)
		}
	case quantity.Support, quantity.SupportOrPocket:
		for _, q := range s.Shafts {
			for _, b := range q.Supports {
				out = append(out, b.Bore)
			}
		}
		for _, q := range s.Pockets {
			if t == quantity.SupportOrPocket {
				out = append(out, q.Name)
			}
		}
	}
	return out
}

func wantName(kind, got string, known []string) string {
	if near, ok := tolerance.Nearest(got, known); ok {
		return fmt.Sprintf("the name of a %s: perhaps %q", kind, near)
	}
	return "the name of a " + kind
}
