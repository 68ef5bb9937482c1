package report_test

import (
	"bytes"
	"fmt"
	"os"
	"strings"
	"testing"

	"example.com/borestack/align/record"
	"example.com/borestack/align/report"
	"example.com/borestack/align/study"
)

// decode reads a record that must be right.
func decode(t testing.TB, text string) *record.Record {
	t.Helper()
	rec, err := record.Decode(strings.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	return rec
}

// evaluated is a record and its result.
func evaluated(t testing.TB, text string) (*record.Record, *study.Result) {
	t.Helper()
	rec := decode(t, text)
	res, err := study.Run(t.Context(), rec)
	if err != nil {
		t.Fatal(err)
	}
	return rec, res
}

// text is the report as text.
func text(t testing.TB, record string) string {
	t.Helper()
	rec, res := evaluated(t, record)
	var b bytes.Buffer
	if err := report.Text(&b, rec, res); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// flow is text with its line breaks taken out, so that phrases can be looked for.
func flow(s string) string { return strings.Join(strings.Fields(s), " ") }

// demonstration is the record that the driveline example carries.
func demonstration(t testing.TB) string {
	t.Helper()
	b, err := os.ReadFile("../../examples/driveline/harbour-launch.json")
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// twoPart is a case and a tail with a pilot of that clearance, three supports of 0.1 diametral at -120, 25 and 130, the pilot bore off by off to the right, and whatever else the joint and the record say.
func twoPart(clearance, off float64, joint, more string) string {
	return fmt.Sprintf(`{"format":"borestack-record/1","units":{"length":"mm"},"parts":[
	 {"name":"case","rear":{"z":30,"diameter":190,"pilot":{"kind":"bore","centre":[%g,0],"diameter":%g}},"bores":[{"name":"front","centre":[0,0,-120]},{"name":"rear","centre":[0,0,25]}]},
	 {"name":"tail","front":{"z":0,"diameter":190,"pilot":{"kind":"spigot","centre":[0,0],"diameter":150}},"bores":[{"name":"tail bush","centre":[0,0,100]}]}],
	 "joints":[{%s}],"references":[{"name":"line","through":["case/front","case/rear"]}],
	 "shafts":[{"name":"main","supports":[{"bore":"case/front","clearance":0.1},{"bore":"case/rear","clearance":0.1},{"bore":"tail/tail bush","clearance":0.1}]}]%s}`,
		off, 150+clearance, joint, more)
}

// shop is the shop's plate in inches: supports at 0, 8 and 18 in, 0.005 in of diametral clearance, a plate that rises by 0.003 in round a 7 in face, the thick side at 4 o'clock.
const shop = `{"format":"borestack-record/1","units":{"length":"in"},"parts":[
 {"name":"case","rear":{"z":7.4995,"pilot":{"kind":"bore","centre":[0,0],"diameter":5.25}},"bores":[{"name":"front","centre":[0,0,0]},{"name":"middle","centre":[0,0,4]}]},
 {"name":"plate","front":{"pilot":{"kind":"spigot","centre":[0,0],"diameter":5.25}},
  "rear":{"thickness":{"radius":3.5,"readings":[0.502,0.501799,0.50125,0.5005,0.49975,0.499201,0.499,0.499201,0.49975,0.5005,0.50125,0.501799],"first":120},"pilot":{"kind":"spigot","centre":[0,0],"diameter":4}},
  "bores":[{"name":"bearing","centre":[0,0,0.5005]}]},
 {"name":"tail","front":{"z":0,"pilot":{"kind":"bore","centre":[0,0],"diameter":4}},"bores":[{"name":"bush","centre":[0,0,10]}]}],
 "joints":[{},{}],"references":[{"name":"line","through":["case/front","case/middle"]}],
 "shafts":[{"name":"main","supports":[{"bore":"case/front","clearance":0.005},{"bore":"plate/bearing","clearance":0.005},{"bore":"tail/bush","clearance":0.005}]}],
 "accept":[{"output":{"kind":"margin"},"least":0,"because":"straight shafts must have room"}]}`
