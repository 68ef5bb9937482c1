package report_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"example.com/borestack/align"
	"example.com/borestack/align/report"
	"example.com/borestack/tolerance"
)

func offsetWords(x, y float64) string {
	return report.Fixed(math.Hypot(x, y), 3, 1) + " mm towards " + tolerance.Clock(x, y).Hours()
}

func TestSentences_everyKindOfNote(t *testing.T) {
	rec := decode(t, shop)
	seen := map[string]align.NoteKind{}
	for kind := align.NoteSquarePilot; kind <= align.NoteTiltAboveGuide; kind++ {
		s := report.Sentences(rec, []align.Note{{Kind: kind, Of: "the place", Size: 0.5, Count: 4}})
		if len(s) != 1 || strings.Contains(s[0], fmt.Sprintf("note %d", kind)) || strings.Contains(s[0], "%") && !strings.Contains(s[0], "50 %") {
			t.Errorf("kind %d: no sentence of its own: %q", kind, s)
			continue
		}
		if kind != align.NoteRigidShafts && kind != align.NoteUnloaded && !strings.Contains(s[0], "the place") {
			t.Errorf("kind %d does not name its place: %s", kind, s[0])
		}
		if other, twice := seen[s[0]]; twice {
			t.Errorf("kinds %d and %d say the same: %s", kind, other, s[0])
		}
		seen[s[0]] = kind
	}
}

func TestSentences_placesInWords(t *testing.T) {
	rec := decode(t, shop)
	s := report.Sentences(rec, []align.Note{
		{Kind: align.NoteFewStations, Of: "/parts/1/rear/thickness", Count: 4},
		{Kind: align.NoteFewStations, Of: "/parts/1/bores/0/sweep", Count: 3},
		{Kind: align.NoteFewStations, Of: "/parts/9/rear/thickness", Count: 3},
		{Kind: align.NoteSquarePilot, Of: "case/rear"},
		{Kind: align.NoteSquarePilot, Of: "plate/front"},
		{Kind: align.NoteSecondHarmonic, Of: "/parts/2/front/pilot/sweep", Size: math.MaxFloat64},
	})
	for i, want := range []string{
		"plate, thickness (/parts/1/rear/thickness): 4 stations", "plate/bearing, sweep (/parts/1/bores/0/sweep): 3 stations", "/parts/9/rear/thickness: 3 stations",
		"case/rear and plate/front", "tail, sweep of its front pilot (/parts/2/front/pilot/sweep): the second harmonic outweighs the first",
	} {
		if i >= len(s) || !strings.Contains(s[i], want) {
			t.Errorf("sentence %d of %q lacks %q", i, s, want)
		}
	}
}

func TestFixed(t *testing.T) {
	for _, c := range []struct {
		v    float64
		n    int
		more int
		want string
	}{
		// Source: hand calculation: rounding.
		{0.0123, 3, 1, "0.012"},
		{0.0042, 3, 1, "0.0042"},
		{-0.0042, 3, 1, "-0.0042"},
		{0.00004, 3, 1, "0"},
		{-0.00004, 3, 1, "0"},
		{0.00006, 3, 1, "0.0001"},
		{0.1, 3, 1, "0.100"},
		{0, 3, 1, "0"},
		{123.4567, 3, 1, "123.457"},
		{0.4, 0, 1, "0.4"},
		{12.4, 0, 1, "12"},
	} {
		if got := report.Fixed(c.v, c.n, c.more); got != c.want {
			t.Errorf("spell.Fixed(%v, %d, %d) = %q, want %q", c.v, c.n, c.more, got, c.want)
		}
	}
}

// A limit missed by less than can be printed must not read as met.
func TestTelling(t *testing.T) {
	for _, c := range []struct {
		unit tolerance.Unit
		l    tolerance.Length
		want string
	}{
		// Source: hand calculation: rounding.
		{tolerance.Millimetres, 0.00002, "under 0.0001 mm"},
		{tolerance.Millimetres, -0.00002, "between -0.0001 mm and 0"},
		{tolerance.Millimetres, 1e-12, "0 mm"},
		{tolerance.Millimetres, 0.0042, "0.0042 mm"},
		{tolerance.Inches, 0.0001, "under 0.00001 in"},
	} {
		if got := report.Telling(c.unit, c.l); got != c.want {
			t.Errorf("telling(%v, %v) = %q, want %q", c.unit, float64(c.l), got, c.want)
		}
	}
}

func TestWords(t *testing.T) {
	for _, c := range []struct{ got, want string }{
		// Source: hand calculation: 15° is half an hour.
		{report.Hand(0), "12:00"},
		{report.Hand(15 * tolerance.Degree), "12:30"},
		{report.Hand(135 * tolerance.Degree), "4:30"},
		{report.Hand(359 * tolerance.Degree), "12:00"},
		{report.Hand(-90 * tolerance.Degree), "9:00"},
		{report.Spoken("plate/bearing"), "the plate bearing"},
		{report.Spoken("tail/tail bush"), "the tail bush"},
		{report.Spoken("pocket"), "the pocket"},
		{report.Listed([]string{"a"}, 3), "a"},
		{report.Listed([]string{"a", "b", "c"}, 3), "a, b and c"},
		{report.Listed([]string{"a", "b", "c", "d"}, 3), "a, b, c and 1 more"},
	} {
		if c.got != c.want {
			t.Errorf("%q, want %q", c.got, c.want)
		}
	}
}

// A pointer is said in words where it leads to something that has a name, and stays as it is where it does not.
func TestPlaceOf(t *testing.T) {
	rec := decode(t, demonstration(t))
	for pointer, want := range map[string]string{
		"/parts/2/rear/thickness/closing":     "plate, thickness",
		"/parts/2/front/pilot":                "plate, its front pilot",
		"/parts/2/front/pilot/sweep/readings": "plate, sweep of its front pilot",
		"/parts/2/rear/z":                     "plate, its rear face",
		"/parts/3/bores/0/centre":             "tail/tail bush",
		"/parts/1":                            "case",
		"/candidates/plate/2/rear/thickness":  "candidate plate C, thickness",
		"/candidates/plate/9/rear":            "",
		"/joints/1/pins/0/diameter":           "joint case|plate, pin " + rec.Joints[1].Pins[0].Dowel,
		"/joints/0":                           "joint carrier to case",
		"/shafts/1/supports/1/clearance":      "shaft main at tail/tail bush",
		"/shafts/1/supports/9":                "shaft main",
		"/states/0":                           "state " + rec.States[0].Name,
		"/chains/0/least":                     "chain " + rec.Chains[0].Name,
		"/accept/0":                           "",
		"/parts/77/rear":                      "",
		"/parts/x":                            "",
		"/units/length":                       "",
		"case|plate":                          "",
		"":                                    "",
	} {
		if want != "" {
			want += " (" + pointer + ")"
		} else {
			want = pointer
		}
		if got := report.PlaceOf(rec, pointer); got != want {
			t.Errorf("%s is said %q, want %q", pointer, got, want)
		}
	}
}
