package form

import (
	"context"
	"fmt"
	"strings"

	"example.com/borestack/align"
	"example.com/borestack/align/draw"
	"example.com/borestack/align/record"
	"example.com/borestack/align/report"
	"example.com/borestack/align/study"
	"example.com/borestack/tolerance"
)

// Verdict is how the box stands.
type Verdict struct {
	Word    string   `json:"word"`    // "open" while entries are missing or wrong, "rest holds", "rest fails", "rest doubt" as the parts rest; in full that of the report: "pass", "fail", ...
	Title   string   `json:"title"`   // in a few words
	Lines   []string `json:"lines"`   // more of it
	Links   []Note   `json:"links"`   // places to go to
	Pending bool     `json:"pending"` // the verdict in full is still to come
}

// mostLinks is how many places an open draft points to.
const mostLinks = 4

// open is the verdict while there is no record yet.
func (p *Page) open(notes []Note) Verdict {
	missing, faulty := 0, 0
	v := Verdict{Word: "open"}
	for _, n := range notes {
		switch n.Kind {
		case Missing:
			missing++
		case Faulty:
			faulty++
		default:
			continue
		}
		if len(v.Links) < mostLinks {
			v.Links = append(v.Links, n)
		}
	}
	if p.Draft.Count("/parts") == 0 {
		v.Title = "No parts yet: add the first, at the front of the machine"
		v.Links = nil
		return v
	}
	var say []string
	if faulty > 0 {
		say = append(say, count(faulty, "entry is wrong", "entries are wrong"))
	}
	if missing > 0 {
		say = append(say, count(missing, "is missing", "are missing"))
	}
	v.Title = "No verdict yet: " + strings.Join(say, ", ")
	return v
}

func count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// atRest is how a whole record's box stands where its parts rest, the gauge taken at its word: what can be said at once.
func atRest(rec *record.Record, doubts []record.Doubt) Verdict {
	v := Verdict{Pending: true}
	stack, err := rec.Stack()
	if err != nil {
		return Verdict{Word: "open", Title: "No verdict: " + err.Error()}
	}
	stack.Candidates, stack.States = nil, nil
	for i := range stack.Joints {
		if stack.Joints[i].Lies == align.LiesAny {
			stack.Joints[i].Lies = align.LiesRest
		}
	}
	var limits []record.Limit
	for _, l := range rec.Limits() {
		if l.State == "" {
			limits = append(limits, l)
		}
	}
	var wanted []align.Output
	for i := range limits {
		wanted = append(wanted, limits[i].Output)
	}
	if len(stack.Shafts) > 0 {
		wanted = append(wanted, align.Output{What: align.Margin})
	}
	unit, _ := tolerance.ParseUnit(rec.Units.Length)
	ranges, assembles, err := stack.Ranges(wanted)
	switch {
	case err != nil:
		return Verdict{Word: "open", Title: "No verdict: " + err.Error(), Pending: true}
	case !assembles:
		v.Word, v.Title = "rest fails", "It does not go together as measured"
		return v
	}
	outside := 0
	for i := range limits {
		if s, out := standing(&limits[i], ranges[i].Rest, unit); s != "" {
			v.Lines = append(v.Lines, s)
			if out {
				outside++
			}
		}
	}
	room := ""
	if len(stack.Shafts) > 0 {
		room = roomWords(ranges[len(ranges)-1].Rest, unit)
	}
	v.Word, v.Title = restWords(len(limits), outside, room, len(doubts))
	return v
}

// restWords are the word and the title of a box at rest.
func restWords(limits, outside int, room string, doubts int) (word, title string) {
	switch {
	case outside > 0:
		word, title = "rest fails", fmt.Sprintf("Where the parts rest %s", count(outside, "limit does not hold", "limits do not hold"))
	case limits > 0:
		word, title = "rest holds", "Where the parts rest every limit holds"
	default:
		word, title = "rest open", "No limit is given, so nothing passes or fails"
	}
	if doubts > 0 {
		word, title = "rest doubt", fmt.Sprintf("In doubt (%s); %s", count(doubts, "place", "places"), strings.ToLower(title[:1])+title[1:])
	}
	if room != "" {
		title += ": " + room
	}
	return word, title
}

// roomWords say what room straight shafts have at rest.
func roomWords(margin tolerance.Optional[float64], unit tolerance.Unit) string {
	m, said := margin.Get()
	switch {
	case !said:
		return "no straight line can be said"
	case m < 0:
		return "straight shafts lack " + tolerance.Length(-m).Format(unit) + " on radius"
	}
	return "straight shafts have " + tolerance.Length(m).Format(unit) + " left on radius"
}

// standing says how one limit stands at rest, and whether it is outside.
func standing(l *record.Limit, value tolerance.Optional[float64], unit tolerance.Unit) (text string, outside bool) {
	v, said := value.Get()
	if !said {
		return "", false
	}
	kind := record.OutputKind(l.Output.What)
	name := strings.ReplaceAll(kind, "_", " ")
	if l.Output.Of != "" {
		name += " of " + l.Output.Of
	}
	r, limited := l.Room(v)
	if !limited {
		return "", false
	}
	side, by := "inside", r
	if r < 0 {
		side, by = "outside", -r
	}
	switch kind {
	case "use", "tilt", "turn":
		return fmt.Sprintf("%s is %.4g: %s by %.4g", name, v, side, by), r < 0
	case "assembles":
		return "", r < 0
	case "side_load":
		return fmt.Sprintf("%s is %.4g N: %s by %.4g N", name, v, side, by), r < 0
	}
	return fmt.Sprintf("%s is %s: %s by %s", name, tolerance.Length(v).Format(unit), side, tolerance.Length(by).Format(unit)), r < 0
}

// Full is the verdict in full, over the float and with the gauge's uncertainty: what the command says of the record.
type Full struct {
	Verdict Verdict  `json:"verdict"`
	Text    string   `json:"text"` // the whole report
	SVG     []string `json:"svg"`  // the box as understood, and its shaft line where it has shafts
}

// InFull works out a record in full. What varies in it is left to the command.
func InFull(ctx context.Context, text string) (Full, error) {
	rec, err := record.Decode(strings.NewReader(text))
	if err != nil {
		return Full{}, err
	}
	res, err := study.Run(ctx, rec)
	if err != nil {
		return Full{}, err
	}
	var b strings.Builder
	if err := report.Text(&b, rec, res); err != nil {
		return Full{}, err
	}
	brief, err := report.BriefOf(rec, res)
	if err != nil {
		return Full{}, err
	}
	f := Full{Text: b.String(), Verdict: Verdict{Word: res.Word.String(), Title: brief.Verdict, Lines: brief.More}}
	for _, s := range brief.Do {
		f.Verdict.Lines = append(f.Verdict.Lines, "To do: "+s)
	}
	unit, _ := tolerance.ParseUnit(rec.Units.Length)
	for i, picture := range []func(o draw.Options) error{
		func(o draw.Options) error { b.Reset(); return draw.Stack(&b, res.Assembly, o) },
		func(o draw.Options) error { b.Reset(); return draw.ShaftLine(&b, res.Assembly, o) },
	} {
		if err := picture(draw.Options{ID: fmt.Sprintf("full%d", i), Unit: unit}); err == nil {
			f.SVG = append(f.SVG, b.String())
		}
	}
	return f, nil
}
