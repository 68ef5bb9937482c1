package report

import (
	"fmt"
	"reflect"
	"strings"

	"example.com/borestack/align/internal/spell"
	"example.com/borestack/align/record"
	"example.com/borestack/align/study"
)

// viewer gathers the chapters of a report from what the text report says, and the numbers from what the JSON report holds.
type viewer struct {
	*teller
	doc document
	at  pointers
}

// newViewer refuses results that are not of the record or have a number that is not finite, as [JSON] does.
func newViewer(rec *record.Record, res *study.Result) (*viewer, error) {
	if err := res.MadeOf(rec); err != nil {
		return nil, err
	}
	p := printerOf(rec)
	v := &viewer{&teller{page: &page{}, p: p, rec: rec, res: res}, writer{p, rec}.document(res), pointersOf(rec)}
	if err := finite(reflect.ValueOf(v.doc), ""); err != nil {
		return nil, err
	}
	return v, nil
}

// lead is the verdict in words, and what else the first lines say.
func (v *viewer) lead() (verdict string, more []string) {
	paragraphs := v.collect(v.headline)[0]
	var all []string
	for _, p := range paragraphs.Passages {
		if p.Text != "" {
			all = append(all, p.Text)
		}
		for _, e := range p.List {
			all = append(all, e.Text)
		}
	}
	if spell.Clean(v.rec.Title) != "" { // the last line; it has a place of its own
		all = all[:len(all)-1]
	}
	return upperFirst(strings.TrimPrefix(all[0], strings.ToUpper(v.res.Word.String())+": ")), all[1:]
}

// title names what the report is about.
func (v *viewer) title() string {
	if t := strings.Join(strings.Fields(spell.Clean(v.rec.Title)), " "); t != "" {
		return t
	}
	return "Shaft line report"
}

// chapters are all sections, in the order of the text report.
func (v *viewer) chapters() []chapter {
	var out []chapter
	add := func(id string, list []chapter) {
		for i := range list {
			if list[i].ID == "" {
				list[i].ID = id
				if i > 0 {
					list[i].ID += fmt.Sprintf("-%d", i+1)
				}
			}
			out = append(out, list[i])
		}
	}
	add("doubts", v.sourced(v.inDoubt, func(i int) []string { return of(doubts(v.res)[i].Path) }))
	add("conditions", v.collect(v.conditions))
	add("limits", []chapter{v.limitChapter()})
	add("push", v.sourced(v.push, func(i int) []string {
		if l := v.res.Assembly.Line; i < len(l.OverFloat.Push) {
			return of(v.at.named["joint/"+l.OverFloat.Push[i].Joint])
		}
		return nil
	}))
	add("stack", []chapter{v.stackChapter()})
	add("supports", v.supportChapter())
	add("joints", v.sourced(v.joints, func(i int) []string { return of(fmt.Sprintf("/joints/%d", i)) }))
	add("parts", v.sourced(v.parts, func(i int) []string { return of(v.at.named["part/"+v.res.Assembly.Parts[i].Name]) }))
	add("readings", v.readingChapter())
	add("states", v.stateChapter())
	add("loads", v.loadChapter())
	add("meshes", v.sourced(v.meshes, func(i int) []string {
		if i/2 < len(v.res.Assembly.Meshes) {
			return of(v.at.named["mesh/"+v.res.Assembly.Meshes[i/2].Name])
		}
		return nil
	}))
	add("chains", v.sourced(v.chains, func(i int) []string { return of(v.at.named["chain/"+v.res.Assembly.Chains[i].Name]) }))
	add("wear", v.collect(v.wear))
	add("candidates", v.candidateChapters())
	add("variation", v.variationChapters())
	add("note", v.sourced(v.note, nil))
	add("conventions", v.collect(v.conventions))
	add("cautions", v.collect(v.cautions))
	return out
}

// sourced collects chapters whose list items come from somewhere in the record.
func (v *viewer) sourced(say func(), at func(i int) []string) []chapter {
	list := v.collect(say)
	for i := range list {
		if at != nil {
			list[i].itemsFrom(at)
		}
	}
	return list
}

// stackChapter is where every part ended up.
func (v *viewer) stackChapter() chapter {
	s := &sheet{Head: []string{"part", "x", "y", "z"}, Right: []bool{false, true, true, true}}
	for i, q := range v.res.Assembly.Placed {
		o, d := q.BaseFromPart.Origin(), &v.doc.Poses[i].Origin
		s.Rows = append(s.Rows, sheetRow{
			Cells: []cell{{Text: spell.Name(q.Part)}, {Text: v.p.plain(o.X), Value: &d[0]}, {Text: v.p.plain(o.Y), Value: &d[1]}, {Text: v.p.plain(o.Z), Value: &d[2]}},
			At:    of(v.at.named["part/"+q.Part]),
		})
	}
	text := fmt.Sprintf("Where the origin of every part's frame came to lie in the frame of the first part (%s), each joint where it lies.", v.p.unit)
	return chapter{ID: "stack", Title: "The stack, as understood", Passages: []passage{{Table: s}, {Text: text}}}
}

// stateChapter is the box in each of its states.
func (v *viewer) stateChapter() []chapter {
	list := v.collect(v.states)
	for i := range list {
		list[i].rowsFrom(func(k int) []string {
			if k == 0 {
				return nil
			}
			return of(v.at.named["state/"+v.res.States[k-1].Name])
		})
		values := func(row int, use, margin *float64) {
			cells := list[i].table().Rows[row].Cells
			cells[1].Value, cells[2].Value = margin, use
		}
		if l := v.doc.Line; l != nil && assembles(v.res.Assembly) {
			values(0, l.Use, &l.Margin)
		}
		for k := range v.doc.States {
			if !assembles(v.res.States[k].Assembly) {
				continue
			}
			values(k+1, v.doc.States[k].Use, v.doc.States[k].Margin)
		}
	}
	return list
}

// loadChapter is what the supports feel, and how far the shafts bend.
func (v *viewer) loadChapter() []chapter {
	list := v.collect(v.sideLoads)
	supports := v.at.supports()
	for i := range list {
		c := &list[i]
		loads := v.res.Assembly.Loads
		c.rowsFrom(func(k int) []string {
			if l := &loads.At[k]; l.Pocket {
				return of(v.at.named["pocket/"+l.Name])
			}
			if k < len(supports) {
				return supports[k]
			}
			return nil
		})
		for k := range v.doc.SideLoads {
			d, cells := &v.doc.SideLoads[k], c.table().Rows[k].Cells
			cells[2].Value, cells[4].Value, cells[5].Value = &d.Size, known(d.Tilt.Size*1000), d.TiltRatio
		}
		c.itemsFrom(func(k int) []string { return of(v.at.named["shaft/"+loads.Shafts[k].Name]) })
	}
	return list
}

// candidateChapters rank the candidates, a chapter for each place.
func (v *viewer) candidateChapters() []chapter {
	list := v.collect(v.candidates)
	for i, place := range v.places() {
		c, ranked := &list[i], v.res.Ranked(place)
		c.rowsFrom(func(k int) []string { return v.at.candidate(place, ranked[k].Name) })
		c.table().Head[0], c.table().Key = "rank", 1
		for k := range ranked {
			cells := c.table().Rows[k].Cells
			cells[2].Word = ranked[k].Word.String()
			if a := ranked[k].Assembly; a.Line != nil && assembles(a) {
				w := writer{v.p, v.rec}
				use, margin, _ := w.summary(a)
				cells[3].Value, cells[4].Value, cells[5].Value = margin, known(w.length(leastMargin(a))), use
			}
		}
	}
	return list
}

// variationChapters say how the outputs vary, and list what varies.
func (v *viewer) variationChapters() []chapter {
	list := v.collect(v.variation)
	for i, q := range v.res.Variations {
		c := &list[i]
		c.rowsFrom(func(k int) []string {
			return v.at.limit(q.Outputs[k].Limit)
		})
		s := &sheet{Head: []string{"what varies", "law", "moves"}, Right: make([]bool, 3), Caption: "What varies. A law's number is in the unit of the number that it moves."}
		for _, k := range v.at.vary(q.Because) {
			source := &v.rec.Vary[k]
			row := sheetRow{At: of(fmt.Sprintf("/vary/%d", k))}
			if source.Float != "" {
				row.Cells = []cell{{Text: "joint " + spell.Name(source.Float)}, {Text: "lies: " + spell.Clean(source.Law.Word)}, {Text: "its float"}}
				row.At = append(row.At, of(v.at.named["joint/"+source.Float])...)
			} else {
				row.Cells = []cell{{Text: spell.Name(source.Name)}, {Text: spell.Clean(source.Law.String())}, {Text: moved(source)}}
				row.At = append(row.At, source.At.List...)
				for _, also := range source.Also {
					row.At = append(row.At, also.At.List...)
				}
			}
			s.Rows = append(s.Rows, row)
		}
		if len(s.Rows) > 0 {
			c.Passages = append(c.Passages, passage{Table: s})
		}
	}
	return list
}

// moved says how many numbers a source of variation moves.
func moved(v *record.Vary) string {
	n := len(v.At.List)
	for _, also := range v.Also {
		n += len(also.At.List)
	}
	if n == 1 {
		return "one number"
	}
	return fmt.Sprintf("%d numbers together", n)
}
