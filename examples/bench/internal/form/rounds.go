package form

import (
	"fmt"
	"html"
	"math"
	"strconv"
	"strings"

	"example.com/borestack/examples/bench/internal/draft"
	"example.com/borestack/tolerance"
)

// stationCounts are those that may be chosen; a round from a file may have any.
var stationCounts = options("3", "4", "6", "8", "12", "16", "24", "36")

// round is a round of readings: where they are, then a field for each station in their order.
func (b *builder) round(at, part, title string) {
	sweep := strings.HasSuffix(at, "/sweep")
	face := strings.HasSuffix(at, "/front/sweep") || strings.HasSuffix(at, "/rear/sweep")
	b.group(at, title, 5)
	b.fields()
	count := strconv.Itoa(b.d.Count(at + "/readings"))
	b.selector(at+"/readings", "s"+at, fmt.Sprintf("data-stations=\"%s\"", html.EscapeString(at)), "Stations", count, stationCounts)
	b.choice(at+"/unit", "This gauge reads", append([]option{{"", "as the record, " + unitWord(b.d.Text("/units/length"))}}, lengthUnits...))
	if !sweep || face {
		b.field(at+"/radius", "At radius")
	}
	b.choice(at+"/seen_from", "Stations run clockwise seen from", []option{{"", "the tail"}, {"nose", "the nose"}})
	b.field(at+"/first", "First station at, degrees")
	if sweep {
		b.choice(at+"/positive", "The dial reads more as the plunger goes", []option{{"", "in"}, {"out", "out"}})
		about := []option{{"", "the part's z axis"}}
		name := b.d.Text(part + "/name")
		for k := range b.d.Count(part + "/bores") {
			bore := fmt.Sprintf("%s/bores/%d", part, k)
			if !strings.HasPrefix(at, bore+"/") {
				full := name + "/" + b.d.Text(bore+"/name")
				about = append(about, option{full, full})
			}
		}
		b.choice(at+"/about", "The dial turned about", about)
	}
	b.WriteString("</div>\n")
	b.write("<div class=\"round\"><div class=\"dial\" id=\"d%s\"></div><div class=\"stations\">", at)
	for k := range b.d.Count(at + "/readings") {
		b.field(fmt.Sprintf("%s/readings/%d", at, k), fmt.Sprintf("%d, %s", k+1, stationName(b.d, at, k)))
	}
	b.field(at+"/closing", "1 again, to close")
	b.WriteString("</div></div>\n")
	b.note(at + "/readings")
	b.more(at, "Uncertainty, droop, how it was mounted", b.has(at, "uncertainty", "shared_uncertainty", "droop", "lift", "mounted"), func() {
		b.field(at+"/uncertainty", "Uncertainty of one reading (k = 1)")
		b.field(at+"/shared_uncertainty", "Uncertainty common to all (k = 1)")
		if sweep {
			b.field(at+"/droop", "Droop of the dial")
			b.field(at+"/lift", "Lift of the axis in service")
			b.field(at+"/mounted", "How it was mounted")
		}
	})
	b.endGroup()
}

// stationClock is the clock angle of a station in degrees, as its round counts.
func stationClock(d *draft.Draft, round string, k int) float64 {
	if a, ok := d.Number(fmt.Sprintf("%s/at/%d", round, k)); ok {
		return a
	}
	first, _ := d.Number(round + "/first")
	return first + 360*float64(k)/float64(max(d.Count(round+"/readings"), 1))
}

// stationName is a station's clock position in words.
func stationName(d *draft.Draft, round string, k int) string {
	return (tolerance.Angle(math.Mod(stationClock(d, round, k), 360)) * tolerance.Degree).Hours()
}
