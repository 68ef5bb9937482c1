package draft_test

import (
	"strings"
	"testing"

	"example.com/borestack/align/record"
	"example.com/borestack/examples/bench/internal/draft"
)

func TestRead(t *testing.T) {
	// Source: hand calculation: an inch is 25.4 mm, a thou 0.0254 mm; 5/64 = 0.078125.
	for _, c := range []struct{ typed, unit, want, said string }{
		{"14.048", "mm", "14.048", ""},
		{"14,048", "mm", "14.048", "14,048 is read as 14.048 mm"},
		{"  .5 ", "mm", "0.5", ".5 is read as 0.5 mm"},
		{"-0,02", "mm", "-0.02", "-0,02 is read as -0.02 mm"},
		{"\u22123", "thou", "-3", ""},
		{"+1.5", "thou", "1.5", ""},
		{"007.10", "mm", "7.10", "007.10 is read as 7.10 mm"},
		{"0", "mm", "0", ""},
		{"5/64", "in", "0.078125", "5/64 is read as 0.078125 in"},
		{"1 3/8", "in", "1.375", "1 3/8 is read as 1.375 in"},
		{"1-3/8", "in", "1.375", "1-3/8 is read as 1.375 in"},
		{"-1/128", "in", "-0.0078125", "-1/128 is read as -0.0078125 in"},
		{"3/8 in", "mm", "9.525", "3/8 in is read as 9.525 mm"},
		{`1"`, "mm", "25.4", `1" is read as 25.4 mm`},
		{"2 thou", "in", "0.002", "2 thou is read as 0.002 in"},
		{"15 µm", "mm", "0.015", "15 µm is read as 0.015 mm"},
		{"2.54mm", "in", "0.1", "2.54mm is read as 0.1 in"},
		{"1 mm", "in", "0.0393700787", "1 mm is read as 0.0393700787 in"},
	} {
		got, said, err := draft.Read(c.typed, c.unit)
		if err != nil || got != c.want || said != c.said {
			t.Errorf("%q in %s: %q, %q, %v; want %q, %q", c.typed, c.unit, got, said, err, c.want, c.said)
		}
	}
	for _, c := range []struct{ typed, unit string }{
		{"", "mm"},
		{"-", "mm"},
		{",", "mm"},
		{"1.234,5", "mm"},
		{"1,234.5", "mm"},
		{"1,2,3", "mm"},
		{"14.0o", "mm"},
		{"1e3", "mm"},
		{"0x10", "mm"},
		{"3/8", "mm"},
		{"1/3", "in"},
		{"8/3", "in"},
		{"3/0", "in"},
		{"1/2/3", "in"},
		{"1 mm", ""},
		{"1 furlong", "mm"},
		{"NaN", "mm"},
		{"Inf", "mm"},
		{strings.Repeat("9", 41), "mm"},
	} {
		if got, _, err := draft.Read(c.typed, c.unit); err == nil {
			t.Errorf("%q in %q is read as %s", c.typed, c.unit, got)
		}
	}
}

func TestSkeletons(t *testing.T) {
	for _, s := range draft.Starts() {
		d, err := draft.Skeleton(s.Name)
		if err != nil {
			t.Fatal(err)
		}
		rec, err := record.Decode(strings.NewReader(string(d.JSON())))
		if s.Name == "empty" {
			if err == nil || strings.Count(err.Error(), "\n") > 0 || !strings.Contains(err.Error(), "at least one part") {
				t.Errorf("empty: %v", err)
			}
			continue
		}
		if err != nil {
			t.Errorf("%s: %v", s.Name, err)
			continue
		}
		if len(rec.Doubts())+len(rec.Warnings()) > 0 {
			t.Errorf("%s: %v %v", s.Name, rec.Doubts(), rec.Warnings())
		}
		if !strings.Contains(rec.Title, "invented") {
			t.Errorf("%s: the title %q does not say that it is invented", s.Name, rec.Title)
		}
	}
	if _, err := draft.Skeleton("none"); err == nil {
		t.Error("a skeleton of no name")
	}
}

// set edits fields; do changes structure.
func set(d *draft.Draft, fields ...string) {
	for i := 0; i < len(fields); i += 2 {
		d.Set(fields[i], fields[i+1])
	}
}

func do(t *testing.T, d *draft.Draft, verb, at, arg, focus string) {
	t.Helper()
	got, err := d.Do(verb, at, arg)
	if err != nil || got != focus {
		t.Fatalf("%s %s %s: %q, %v; want %q", verb, at, arg, got, err, focus)
	}
}

// A box from nothing, as the form's buttons and fields make it, is the record that a person would write.
func TestDraft_fromEmpty(t *testing.T) {
	d, err := draft.Skeleton("empty")
	if err != nil {
		t.Fatal(err)
	}
	do(t, d, "add", "/parts", "", "/parts/0")
	set(d, "/title", "two parts", "/parts/0/name", "case", "/parts/0/rear/z", "180", "/parts/0/rear/diameter", "200,5")
	do(t, d, "add", "/parts/0/rear/pilot", "", "/parts/0/rear/pilot")
	set(d, "/parts/0/rear/pilot/diameter", "150", "/parts/0/rear/pilot/centre/0", "0.02")
	do(t, d, "add", "/parts/0/bores", "", "/parts/0/bores/0")
	set(d, "/parts/0/bores/0/name", "bearing", "/parts/0/bores/0/centre/2", "20")
	do(t, d, "add", "/parts", "", "/parts/1")
	set(d, "/parts/1/name", "tail")
	do(t, d, "add", "/parts/1/front/pilot", "", "/parts/1/front/pilot")
	set(d, "/parts/1/front/pilot/diameter", "150.02")
	do(t, d, "add", "/parts/1/bores", "", "/parts/1/bores/0")
	do(t, d, "way", "/parts/1/bores/0", draft.Swept, "/parts/1/bores/0")
	do(t, d, "stations", "/parts/1/bores/0/sweep", "4", "/parts/1/bores/0/sweep")
	set(d, "/parts/1/bores/0/name", "bush", "/parts/1/bores/0/z", "230", "/parts/1/bores/0/sweep/unit", "thou",
		"/parts/1/bores/0/sweep/readings/0", "0", "/parts/1/bores/0/sweep/readings/1", "1,5 1.6", "/parts/1/bores/0/sweep/readings/3", "-1")
	set(d, "/joints/0/gasket/thickness", "0.25")
	do(t, d, "add", "/shafts", "", "/shafts/0")
	set(d, "/shafts/0/name", "main")
	for i, bore := range []string{"case/bearing", "tail/bush"} {
		at := "/shafts/0/supports/" + string(rune('0'+i))
		do(t, d, "add", "/shafts/0/supports", "", at)
		set(d, at+"/bore", bore, at+"/clearance", "0.08")
	}
	do(t, d, "add", "/accept", "", "/accept/0")
	set(d, "/accept/0/because", "a rule")
	rec, err := record.Decode(strings.NewReader(string(d.JSON())))
	if err != nil {
		t.Fatalf("%v\n%s", err, d.JSON())
	}
	var got strings.Builder
	if err := rec.Encode(&got); err != nil {
		t.Fatal(err)
	}
	want, err := record.Decode(strings.NewReader(`{"format": "borestack-record/1", "title": "two parts", "units": {"length": "mm"}, "parts": [
		{"name": "case", "rear": {"z": 180, "diameter": 200.5, "pilot": {"kind": "spigot", "centre": [0.02, 0], "diameter": 150}}, "bores": [{"name": "bearing", "centre": [0, 0, 20]}]},
		{"name": "tail", "front": {"pilot": {"kind": "bore", "centre": [0, 0], "diameter": 150.02}}, "bores": [{"name": "bush", "z": 230, "sweep": {"readings": [0, [1.5, 1.6], null, -1], "unit": "thou"}}]}],
		"joints": [{"gasket": {"thickness": 0.25}}],
		"shafts": [{"name": "main", "supports": [{"bore": "case/bearing", "clearance": 0.08}, {"bore": "tail/bush", "clearance": 0.08}]}],
		"accept": [{"output": {"kind": "margin"}, "least": 0, "because": "a rule"}]}`))
	if err != nil {
		t.Fatal(err)
	}
	var b strings.Builder
	if err := want.Encode(&b); err != nil || got.String() != b.String() {
		t.Errorf("%v: got\n%s\nwant\n%s", err, got.String(), b.String())
	}
}

// What is typed and not understood is kept, said, and refused by the decoder at its place; typing on mends it.
func TestDraft_notUnderstood(t *testing.T) {
	d, _ := draft.Skeleton("three")
	const at = "/parts/1/rear/thickness/readings/2"
	d.Set(at, "14.0l1")
	if d.Text(at) != "14.0l1" || len(d.Unread()) != 1 || d.Unread()[0][0] != at {
		t.Fatalf("%q %v", d.Text(at), d.Unread())
	}
	if _, err := record.Decode(strings.NewReader(string(d.JSON()))); err == nil || !strings.Contains(err.Error(), at) {
		t.Errorf("the decoder says %v", err)
	}
	again, err := draft.Open(strings.NewReader(string(d.JSON())))
	if err != nil || again.Text(at) != "14.0l1" || len(again.Unread()) != 1 {
		t.Errorf("opened again it is %q, %v, %v", again.Text(at), again.Unread(), err)
	}
	d.Set(at, "14,011")
	if _, err := record.Decode(strings.NewReader(string(d.JSON()))); err != nil || len(d.Unread()) > 0 || d.At(at).Said == "" {
		t.Errorf("%v %v", err, d.Unread())
	}
	d.Set(at, "")
	if !strings.Contains(string(d.JSON()), "null") {
		t.Error("an empty reading is not null")
	}
}

// An optional field that is emptied leaves the record as it was; so does what is added and removed.
func TestDraft_thereAndBack(t *testing.T) {
	for _, s := range draft.Starts() {
		d, _ := draft.Skeleton(s.Name)
		before := string(d.JSON())
		back := func(what string) {
			t.Helper()
			if now := string(d.JSON()); now != before {
				t.Fatalf("%s: %s: %s", s.Name, what, now)
			}
		}
		if s.Name != "empty" {
			for _, at := range []string{"/note", "/joints/0/gasket/thickness", "/joints/0/engagement", "/parts/0/material", "/parts/0/bores/0/slope/1", "/parts/0/turned", "/joints/0/register_ring/diameter"} {
				typed := "0.5"
				if at == "/parts/0/turned" {
					typed = "true"
				}
				set(d, at, typed)
				if string(d.JSON()) == before {
					t.Errorf("%s: nothing is at %s", s.Name, at)
				}
				set(d, at, "")
				back(at)
			}
			do(t, d, "down", "/parts/0", "", "/parts/1")
			do(t, d, "up", "/parts/1", "", "/parts/0")
			back("moved")
		}
		for _, list := range []string{"/pockets", "/candidates/plate", "/parts/1/rear/dowels"} {
			if s.Name == "three" {
				do(t, d, "add", list, "", list+"/0")
				do(t, d, "remove", list+"/0", "", "")
				back(list)
			}
		}
	}
	d, _ := draft.Skeleton("three")
	do(t, d, "remove", "/parts/1", "", "")
	if d.Count("/parts") != 2 || d.Count("/joints") != 1 {
		t.Errorf("%d parts, %d joints", d.Count("/parts"), d.Count("/joints"))
	}
	for _, c := range [][3]string{
		{"add", "/nothing", ""},
		{"add", "", ""},
		{"add", "/candidates/none", ""},
		{"remove", "/parts/9", ""},
		{"up", "/parts/0", ""},
		{"down", "/parts/1", ""},
		{"way", "/parts/9/rear", draft.Swept},
		{"way", "/parts/0/rear", "guess"},
		{"stations", "/parts/0/rear", "8"},
		{"stations", "/parts/1/bores/0/sweep", "1e9"},
		{"dance", "/parts/0", ""},
		{"add", "/title/x", ""},
	} {
		if _, err := d.Do(c[0], c[1], c[2]); err == nil {
			t.Errorf("%v is done", c)
		}
	}
}

// A candidate is a copy under its own name, whose dial turned about its own bore, with its readings still to be taken.
func TestDraft_candidate(t *testing.T) {
	d, err := draft.Open(strings.NewReader(`{"units": {"length": "mm"}, "parts": [{"name": "a"}, {"name": "the plate", "rear": {"thickness": {"radius": 9, "readings": [1, 2], "closing": 1}, "pilot": {"sweep": {"about": "the plate/seat", "readings": [0]}}}}]}`))
	if err != nil {
		t.Fatal(err)
	}
	do(t, d, "add", "/candidates/the plate", "", "/candidates/the plate/0")
	want := `{"name":"the plate A","rear":{"thickness":{"radius":9,"readings":[null,null]},"pilot":{"sweep":{"about":"the plate A/seat","readings":[null]}}}}`
	if got := strings.ReplaceAll(string(d.JSONAt("/candidates/the plate/0")), "\n", ""); got != want {
		t.Errorf("%s", got)
	}
	if d.Text("/parts/1/rear/pilot/sweep/about") != "the plate/seat" || d.Text("/parts/1/rear/thickness/readings/1") != "2" {
		t.Error("the part itself is changed")
	}
}

func TestOpen_faults(t *testing.T) {
	for _, text := range []string{"", "[]", "{", `{"a": 1, "a": 2}`, "{} {}", `"x"`, strings.Repeat(`{"a":`, 60) + "1" + strings.Repeat("}", 60)} {
		if _, err := draft.Open(strings.NewReader(text)); err == nil {
			t.Errorf("%.20q is opened", text)
		}
	}
}

// FuzzSet types into any field of a skeleton: whatever comes is kept, or the field is empty, and the draft stays JSON that opens as it was.
func FuzzSet(f *testing.F) {
	f.Add("/parts/1/rear/thickness/readings/0", "14,0 14.1")
	f.Add("/parts/0/name", "\"\\<é")
	f.Add("/parts/0/bores/0/centre/7", "1")
	f.Add("/joints/0/gasket/thickness", "1 3/8 in")
	f.Fuzz(func(t *testing.T, at, typed string) {
		d, err := draft.Skeleton("three")
		if err != nil {
			t.Fatal(err)
		}
		d.Set(at, typed)
		again, err := draft.Open(strings.NewReader(string(d.JSON())))
		if err != nil {
			t.Fatalf("%s at %s: %v\n%s", typed, at, err, d.JSON())
		}
		if string(again.JSON()) != string(d.JSON()) {
			t.Errorf("%q at %q changes when opened again", typed, at)
		}
	})
}
