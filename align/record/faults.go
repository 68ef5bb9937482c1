package record

import (
	"fmt"
	"strconv"

	"example.com/borestack/align"
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
	fault := func(path, value string, class error, want string) {
		out = append(out, &align.FieldError{Path: path, Value: value, Want: want, Err: class})
	}
	if len(r.Vary) > maxVary {
		fault("/vary", fmt.Sprintf("%d", len(r.Vary)), align.ErrTooMany, fmt.Sprintf("at most %d", maxVary))
		return out
	}
	if len(r.Accept) > maxAccept {
		fault("/accept", fmt.Sprintf("%d", len(r.Accept)), align.ErrTooMany, fmt.Sprintf("at most %d", maxAccept))
		return out
	}
	joints := make([]string, len(s.Joints))
	for i := range s.Joints {
		joints[i] = s.JointName(i)
	}
	names := map[string]bool{}
	for i := range r.Vary {
		r.varyFaults(&r.Vary[i], "/vary/"+strconv.Itoa(i), joints, names, fault)
	}
	for i := range r.Accept {
		r.acceptFaults(&r.Accept[i], "/accept/"+strconv.Itoa(i), s, fault)
	}
	return out
}

func (r *Record) varyFaults(v *Vary, at string, joints []string, names map[string]bool, fault func(path, value string, class error, want string)) {
	if v.Float != "" {
		if !contains(joints, v.Float) {
			fault(at+"/float", strconv.Quote(v.Float), align.ErrUnknownName, wantName("joint", v.Float, joints))
		}
		if v.Law.Word == "" {
			fault(at+"/law", v.Law.Kind, align.ErrConflict, "uniform, rim, hang, rest or any, as text")
		}
		return
	}
	if v.Name == "" {
		fault(at+"/name", "", align.ErrMissing, "this key")
	} else if names[v.Name] {
		fault(at+"/name", strconv.Quote(v.Name), align.ErrRepeated, "each name once")
	}
	names[v.Name] = true
	pairs := len(v.At.List) == 2
	r.pointerFaults(&v.At, at+"/at", fault)
	switch {
	case v.At.IsZero():
		fault(at+"/at", "", align.ErrMissing, "a pointer to a number, or a pair of them")
	case v.Law.Word != "":
		fault(at+"/law", strconv.Quote(v.Law.Word), align.ErrConflict, "a law such as {\"normal\": 0.01}")
	case pairs && (v.Law.Kind == "uniform" || v.Law.Kind == "triangular"):
		fault(at+"/law", v.Law.Kind, align.ErrConflict, "disc, ring or normal for a pair of pointers")
	case !pairs && (v.Law.Kind == "disc" || v.Law.Kind == "ring"):
		fault(at+"/at", strconv.Quote(v.At.List[0]), align.ErrConflict, "a pair of pointers for "+v.Law.Kind)
	case pairs && len(v.Law.Shift) == 1 || !pairs && len(v.Law.Shift) == 2:
		fault(at+"/law/shift", "", align.ErrConflict, "a number for one pointer, a pair for two")
	}
	if v.Limits != nil && v.Limits[0].Value > v.Limits[1].Value {
		fault(at+"/limits", v.Limits[0].Text+" above "+v.Limits[1].Text, align.ErrConflict, "[lowest, highest]")
	}
	for k := range v.Also {
		r.pointerFaults(&v.Also[k].At, fmt.Sprintf("%s/also/%d/at", at, k), fault)
		if len(v.Also[k].At.List) != len(v.At.List) {
			fault(fmt.Sprintf("%s/also/%d/at", at, k), "", align.ErrConflict, "as many pointers as in at")
		}
	}
}

// pointerFaults checks that pointers lead to numbers of the record.
func (r *Record) pointerFaults(p *Pointers, at string, fault func(path, value string, class error, want string)) {
	for i, to := range p.List {
		path := at
		if len(p.List) > 1 {
			path += "/" + strconv.Itoa(i)
		}
		if n, ok := r.tree.find(to); !ok || n.kind != isNumber {
			fault(path, strconv.Quote(to), align.ErrUnknownName, "a JSON Pointer (RFC 6901) to a number of this record")
		}
	}
}

func (r *Record) acceptFaults(a *Accept, at string, s *align.Stack, fault func(path, value string, class error, want string)) {
	if a.Least != nil && a.Greatest != nil && a.Least.Value > a.Greatest.Value {
		fault(at, a.Least.Text+" above "+a.Greatest.Text, align.ErrConflict, "least at most greatest")
	}
	o := &a.Output
	name := func(kind string, known []string) {
		if o.Of == "" {
			fault(at+"/output/of", "", align.ErrMissing, "the name of a "+kind)
		} else if !contains(known, o.Of) {
			fault(at+"/output/of", strconv.Quote(o.Of), align.ErrUnknownName, wantName(kind, o.Of, known))
		}
	}
	var joints, bores, parts, meshes, chains, refs, states []string
	for i := range s.Joints {
		joints = append(joints, s.JointName(i))
	}
	for _, p := range s.Parts {
		if p.Rear != nil && p.Rear.Thickness != nil {
			parts = append(parts, p.Name)
		}
		for _, b := range p.Bores {
			bores = append(bores, p.Name+"/"+b.Name)
		}
	}
	for _, m := range s.Meshes {
		meshes = append(meshes, m.Name)
	}
	for _, c := range s.Chains {
		chains = append(chains, c.Name)
	}
	for _, q := range s.References {
		refs = append(refs, q.Name)
	}
	for _, q := range s.States {
		states = append(states, q.Name)
	}
	switch o.Kind {
	case "offset", "tir", "tilt":
		name("bore", bores)
		if len(refs) == 0 && len(s.Shafts) == 0 {
			fault(at+"/output/kind", strconv.Quote(o.Kind), align.ErrMissing, "a reference to measure it from")
		}
	case "gap", "turn":
		name("joint", joints)
	case "assembles":
		if o.Of != "" {
			name("joint", joints)
		}
	case "thickness_variation":
		name("part with thickness readings", parts)
	case "in_plane", "out_of_plane":
		name("mesh", meshes)
	case "chain":
		name("chain", chains)
	case "side_load", "clearance":
		var held []string
		for _, q := range s.Shafts {
			for _, b := range q.Supports {
				held = append(held, b.Bore)
			}
		}
		for _, q := range s.Pockets {
			if o.Kind == "side_load" {
				held = append(held, q.Name)
			}
		}
		name("support or pocket", held)
	case "margin", "use":
		if len(s.Shafts) == 0 {
			fault(at+"/output/kind", strconv.Quote(o.Kind), align.ErrMissing, "a record with shafts")
		}
	}
	if o.From != "" && !contains(refs, o.From) {
		fault(at+"/output/from", strconv.Quote(o.From), align.ErrUnknownName, wantName("reference", o.From, refs))
	}
	if o.State != "" && !contains(states, o.State) {
		fault(at+"/output/state", strconv.Quote(o.State), align.ErrUnknownName, wantName("state", o.State, states))
	}
}

func contains(list []string, s string) bool {
	for _, v := range list {
		if v == s {
			return true
		}
	}
	return false
}

func wantName(kind, got string, known []string) string {
	if near, ok := tolerance.Nearest(got, known); ok {
		return fmt.Sprintf("the name of a %s: perhaps %q", kind, near)
	}
	return "the name of a " + kind
}
