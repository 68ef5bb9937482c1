package report_test

import (
	"bytes"
	"strings"
	"testing"

	"example.com/borestack/align/report"
)

func check(t testing.TB, record string) string {
	t.Helper()
	var b bytes.Buffer
	if err := report.Check(&b, decode(t, record)); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// plate is one plate with these keys in its thickness block, radius 90.
func plate(keys string) string {
	return `{"format":"borestack-record/1","units":{"length":"mm"},"parts":[{"name":"plate","front":{},"rear":{"thickness":{"radius":90,` + keys + `}}}],"joints":[]}`
}

func TestCheck_plateInWords(t *testing.T) {
	// Source: hand calculation: t = 12 + 0.04 cos(θ - 120°) at 0°, 60°, ...: 11.98, 12.02, 12.04, 12.02, 11.98, 11.96; rise 0.08 across 180.
	s := flow(check(t, plate(`"readings":[11.98,12.02,12.04,12.02,11.98,11.96]`)))
	if want := "plate, the base: 12 mm thick at its axis, thickest at 4 o'clock seen from the tail, by 0.08 mm across 180"; !strings.Contains(s, want) {
		t.Errorf("lacks %q:\n%s", want, s)
	}
	// Source: hand calculation: the same readings taken in the order seen from the nose are mirrored, 4 o'clock to 8 o'clock.
	s = flow(check(t, plate(`"readings":[11.98,12.02,12.04,12.02,11.98,11.96],"seen_from":"nose"`)))
	if !strings.Contains(s, "thickest at 8 o'clock seen from the tail") || !strings.Contains(s, "seen from the nose") {
		t.Errorf("readings from the nose do not mirror:\n%s", s)
	}
	for _, word := range []string{"PASS", "FAIL", "have room", "governed"} {
		if strings.Contains(s, word) {
			t.Errorf("a check says %q, which is a verdict", word)
		}
	}
}

func TestCheck_sweptBoreInWords(t *testing.T) {
	// Source: Dodge Ram 2500 service information 2002, clutch housing bore runout (station order inferred); first harmonic 5.83 thou at 43.6°, so the bore's centre is at 223.6°.
	const v1 = `{"format":"borestack-record/1","units":{"length":"in"},"parts":[{"name":"case","bores":[{"name":"swept","z":12,"sweep":{"unit":"thou","readings":[0,2,4,-1,-7,-10,-5,1]KEYS}}]}],"joints":[]}`
	for keys, want := range map[string]string{
		``:                    "its centre is off by 0.0058 in towards half past 7 (TIR 0.0117)",
		`,"positive":"out"`:   "its centre is off by 0.0058 in towards half past 1 (TIR 0.0117)",
		`,"seen_from":"nose"`: "its centre is off by 0.0058 in towards half past 4 (TIR 0.0117)",
		// Source: hand calculation: (-4.018, -4.225) thou lowered by 1 + 2: (-4.018, -7.225), 8.267 thou at 209.1°.
		`,"droop":1,"lift":2`: "its centre is off by 0.0083 in towards 7 o'clock (TIR 0.0165)",
	} {
		if s := flow(check(t, strings.Replace(v1, "KEYS", keys, 1))); !strings.Contains(s, want) {
			t.Errorf("%s: lacks %q:\n%s", keys, want, s)
		}
	}
}

// A face that a dial swept, or that was probed, is said as it was understood: which way it rises rearward, and how steeply.
func TestCheck_measuredFacesInWords(t *testing.T) {
	const face = `{"format":"borestack-record/1","units":{"length":"mm"},"parts":[{"name":"case","SIDE":{KEYS}}],"joints":[]}`
	const dial = `"z":10,"sweep":{"radius":50,"readings":[-0.01,0,0.01,0]MORE}`
	for _, c := range []struct{ side, keys, more, want string }{
		// Source: hand calculation: pushed in most at 6 o'clock, by 0.02 across 100: metal stands out there, rearward on a rear face, forward on a front face.
		{"rear", dial, ``, "so it rises towards 6 o'clock by 0.20 mm/m"},
		{"front", dial, ``, "so it rises towards 12 o'clock by 0.20 mm/m"},
		{"rear", dial, `,"positive":"out"`, "so it rises towards 12 o'clock by 0.20 mm/m"},
		{"rear", strings.Replace(dial, "-0.01,0,0.01", "0,0,0", 1), ``, "so it is square"},
		// Source: hand calculation: z grows by 0.03 over 100 towards x.
		{"rear", `"points":[[0,0,10],[100,0,10.03],[0,100,10],[100,100,10.03]]`, ``, "4 measured points; so it rises towards 3 o'clock by 0.30 mm/m"},
	} {
		s := flow(check(t, strings.NewReplacer("SIDE", c.side, "KEYS", strings.Replace(c.keys, "MORE", c.more, 1)).Replace(face)))
		if !strings.Contains(s, c.want) {
			t.Errorf("%+v: lacks %q:\n%s", c, c.want, s)
		}
	}
}

// With "in" positive a spigot reads most where its centre is, a bore opposite.
func TestCheck_sweptPilotInWords(t *testing.T) {
	// Source: hand calculation: 0.03 sin θ at 0°, 90°, 180°, 270°: greatest at 3 o'clock.
	const pilot = `{"format":"borestack-record/1","units":{"length":"mm"},"parts":[{"name":"case","rear":{"pilot":{"kind":"KIND","diameter":100,"sweep":{"readings":[0,0.03,0,-0.03]}}}}],"joints":[]}`
	for kind, want := range map[string]string{
		"spigot": "spigot of 100; dial at 4 stations",
		"bore":   "pilot bore of 100; dial at 4 stations",
	} {
		s := flow(check(t, strings.Replace(pilot, "KIND", kind, 1)))
		side := map[string]string{"spigot": "off by 0.030 mm towards 3 o'clock (TIR 0.060)", "bore": "off by 0.030 mm towards 9 o'clock (TIR 0.060)"}[kind]
		if !strings.Contains(s, want) || !strings.Contains(s, side) {
			t.Errorf("%s: lacks %q or %q:\n%s", kind, want, side, s)
		}
	}
}

// The words of a check put a swept bore where the solver puts it.
func TestCheck_agreesWithTheSolver(t *testing.T) {
	for _, keys := range []string{``, `,"positive":"out"`, `,"seen_from":"nose","first":30`, `,"droop":0.02`} {
		record := `{"format":"borestack-record/1","units":{"length":"mm"},"parts":[{"name":"case","bores":[{"name":"a","centre":[0,0,0]},{"name":"b","centre":[0,0,90]},
		 {"name":"swept","z":50,"sweep":{"readings":[0.02,0.05,0.03,-0.01,-0.03,-0.02]` + keys + `}}]}],"joints":[],
		 "references":[{"name":"axis","through":["case/a","case/b"]}],"shafts":[{"name":"s","supports":[{"bore":"case/a","clearance":1},{"bore":"case/swept","clearance":1}]}]}`
		_, res := evaluated(t, record)
		o := res.Assembly.Supports[1].Offset
		want := o.X.String() + " " + o.Y.String()
		// the words give size and clock to three figures: turn the solver's offset into the same words
		s := flow(check(t, record))
		words := "off by " + offsetWords(float64(o.X), float64(o.Y))
		if !strings.Contains(s, words) {
			t.Errorf("%s: the solver says %s, so the words should be %q:\n%s", keys, want, words, s)
		}
	}
}

func TestCheck_everyKey(t *testing.T) {
	s := flow(check(t, demonstration(t)))
	for _, want := range []string{
		"plate C: ", "micrometer at 8 stations, clockwise from 12 o'clock seen from the nose", "dial on a mandrel in the bearing seat", "it droops by 0.006",
		"no pilot; pin left of 12.004 mm pressed in the front part", "a gasket or shim 0.25 mm thick", "spigot of the rear part in bore of the front part, 159.99 in 160.012 mm: 0.022 mm of clearance",
		"a bush 45 mm wide", "may tilt 2.00 mm/m", "main runs in the end of input at z 55", "reference box line: through case/front bearing and plate/main bearing",
		"bearing width 16 mm times -1", "warm: crank carrier at 65 °C", "margin of the shaft line (radial) at least 0 mm", "gap of chain main bearing end play from 0.030 mm to 0.150 mm",
	} {
		if !strings.Contains(s, want) {
			t.Errorf("lacks %q", want)
		}
	}
}

// What varies is written back.
func TestCheck_varies(t *testing.T) {
	record := strings.TrimSuffix(twoPart(0.06, 0, ``, ``), "}") + `,"vary":[{"name":"bush","at":"/parts/1/bores/0/centre/0","law":{"normal":0.01}},{"float":"case|tail","law":"uniform"}]}`
	s := flow(check(t, record))
	for _, want := range []string{"bush: normal 0.01 at /parts/1/bores/0/centre/0", "joint case|tail lies: uniform"} {
		if !strings.Contains(s, want) {
			t.Errorf("lacks %q:\n%s", want, s)
		}
	}
}

// A turn that is too small to print is not said without its amount.
func TestCheck_turnTooSmallToPrint(t *testing.T) {
	text := func(clock string) string {
		return flow(check(t, `{"format":"borestack-record/1","units":{"length":"mm"},"parts":[{"name":"case","rear":{}},{"name":"tail","front":{}}],"joints":[{"clock":`+clock+`,"bolts":[[50,0],[-50,0]],"bolt_clearance":0}]}`))
	}
	if s := text("1e-5"); strings.Contains(s, "mounted turned by") {
		t.Errorf("%s", s)
	}
	if s := text("30"); !strings.Contains(s, "mounted turned by 30.000° clockwise") {
		t.Errorf("%s", s)
	}
}
