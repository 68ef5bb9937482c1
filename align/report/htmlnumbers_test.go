package report_test

import (
	"bytes"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"example.com/borestack/align"
	"example.com/borestack/align/record"
	"example.com/borestack/align/report"
	"example.com/borestack/align/study"
)

// rests holds the numbers of a page to those of the JSON report, and its words to those of the text report.
func rests(t *testing.T, root *element, rec *record.Record, res *study.Result) {
	t.Helper()
	var b bytes.Buffer
	if err := report.JSON(&b, rec, res); err != nil {
		t.Fatal(err)
	}
	v := untyped(t, b.Bytes())
	b.Reset()
	if err := report.Text(&b, rec, res); err != nil {
		t.Fatal(err)
	}
	words := flow(b.String())

	head := root.all("header", nil)[0]
	if badge := head.all("span", nil)[0]; badge.text != at(t, v, "verdict") || !strings.HasPrefix(strings.TrimSpace(head.text), badge.text) {
		t.Errorf("the page begins with %q, and the verdict is %v", badge.text, at(t, v, "verdict"))
	}
	if first := flow(strings.ToLower(head.all("p", nil)[0].text)); !strings.Contains(strings.ToLower(words), first) {
		t.Errorf("the verdict's words %q are not those of the text", first)
	}

	limits := root.within(t, "limits").all("tr", func(e *element) bool { return len(e.all("td", nil)) > 0 })
	if len(limits) != len(rec.Limits()) {
		t.Fatalf("%d limits in the page, %d in the record", len(limits), len(rec.Limits()))
	}
	for i, row := range limits {
		l := rec.Limits()[i]
		if !strings.Contains(row.text, l.Path) {
			t.Errorf("limit %d does not say that it is at %s", i, l.Path)
		}
		if l.Because == "" && !strings.Contains(row.text, "origin is not stated") {
			t.Errorf("limit %d does not say that its origin is not stated", i)
		}
		if got := row.all("span", nil)[0].text; got != at(t, v, "verdicts", i, "verdict") {
			t.Errorf("limit %d: %q, want %v", i, got, at(t, v, "verdicts", i, "verdict"))
		}
		data := row.all("data", nil)
		want := []any{}
		for _, key := range []string{"value", "room"} {
			x := at(t, v, "verdicts", i, key)
			if x != nil && (key == "value" || l.Output.What != align.Assembles) {
				want = append(want, x)
			}
		}
		sameNumbers(t, "limit "+l.Path, data, want)
		for _, d := range data {
			if !strings.Contains(words, d.text) {
				t.Errorf("limit %d: the text does not say %q", i, d.text)
			}
		}
	}
	var origins []any
	for i := range rec.Parts {
		origins = append(origins, at(t, v, "poses", i, "origin").([]any)...)
	}
	sameNumbers(t, "stack", root.within(t, "stack").all("data", nil), origins)
	if len(res.Assembly.Supports) > 0 {
		var want []any
		for i := range res.Assembly.Supports {
			s := at(t, v, "supports", i)
			want = append(want, at(t, s, "z"), at(t, s, "offset", "size"), at(t, s, "tir"), at(t, s, "tilt", "size").(float64)*1000, at(t, s, "clearance"))
			if room, there := s.(map[string]any)["room"]; there {
				want = append(want, room)
			}
		}
		table := root.within(t, "supports").all("table", nil)[0]
		sameNumbers(t, "supports", table.all("data", nil), want)
		if n := strings.Count(table.text, "/supports/"); n != len(res.Assembly.Supports) {
			t.Errorf("%d supports say where they stand in the record, of %d", n, len(res.Assembly.Supports))
		}
	}
	for i := range res.Assembly.Readings {
		row := root.within(t, "readings").all("tr", nil)[i+1]
		if path := res.Assembly.Readings[i].Path; !strings.Contains(row.text, path) {
			t.Errorf("readings %d do not say that they are at %s", i, path)
		}
		near(t, "mean", number(t, row.all("data", nil)[1]), at(t, v, "sweeps", i, "mean").(float64), 0)
	}
	studiedNumbers(t, root, res, v)
	for i := range res.Assembly.Meshes {
		if !strings.Contains(root.within(t, "meshes").text, "/meshes/"+strconv.Itoa(i)) {
			t.Errorf("mesh %d does not say where it stands", i)
		}
	}
	if res.Assembly.Loads != nil {
		var want []any
		for i := range res.Assembly.Loads.At {
			l := at(t, v, "side_loads", i)
			want = append(want, at(t, l, "size"), at(t, l, "tilt", "size").(float64)*1000)
			if share, there := l.(map[string]any)["tilt_ratio"]; there {
				want = append(want, share)
			}
		}
		sameNumbers(t, "side loads", root.within(t, "loads").all("table", nil)[0].all("data", nil), want)
	}
}

// A study's table holds the numbers of the JSON report, as far as they can be said; of bad ends the JSON report has the high ones alone.
func studiedNumbers(t *testing.T, root *element, res *study.Result, doc any) {
	t.Helper()
	for n := range res.Variations {
		key, id := "study", "variation"
		if n > 0 {
			key, id = "this_box", "variation-2"
		}
		rows := root.within(t, id).all("table", nil)[0].all("tr", nil)[1:]
		for i := range res.Variations[n].Outputs {
			o := at(t, doc, key, "outputs", i).(map[string]any)
			numbers := rows[i].all("data", nil)
			for _, k := range []string{"nominal", "mean", "sd", "yield"} {
				want, said := o[k].(float64)
				if res.Variations[n].Outputs[i].Limit.Output.What == align.Assembles && (k == "mean" || k == "sd") {
					said = false
				}
				if said && !slices.ContainsFunc(numbers, func(d *element) bool { return math.Abs(number(t, d).(float64)-want) <= 1e-12*math.Abs(want) }) {
					t.Errorf("%s, output %d: no field holds the %s, %v", key, i, k, want)
				}
			}
		}
	}
}

func number(t *testing.T, e *element) any {
	t.Helper()
	v, err := strconv.ParseFloat(e.attr["value"], 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func sameNumbers(t *testing.T, what string, data []*element, want []any) {
	t.Helper()
	if len(data) != len(want) {
		t.Fatalf("%s: %d numbers, want %d", what, len(data), len(want))
	}
	for i, d := range data {
		near(t, what, number(t, d), want[i].(float64), 1e-15*math.Abs(want[i].(float64)))
	}
}
