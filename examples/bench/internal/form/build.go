package form

import (
	"fmt"
	"html"
	"strconv"
	"strings"

	"example.com/borestack/examples/bench/internal/draft"
)

// builder writes the form as HTML.
type builder struct {
	strings.Builder
	d     *draft.Draft
	notes map[string]bool // pointers that have a note
	shape bool            // leave out what was typed: two forms of one shape read alike
	parts []string
	bores []string // "part/bore", of the parts that are measured in place
}

// build writes the form. Every field has the id "f" and its pointer, and a note beside it "n" and its pointer.
func build(d *draft.Draft, shape bool) *builder {
	b := &builder{d: d, shape: shape, notes: map[string]bool{}}
	for i := range d.Count("/parts") {
		at := fmt.Sprintf("/parts/%d", i)
		b.parts = append(b.parts, d.Text(at+"/name"))
		for k := range d.Count(at + "/bores") {
			b.bores = append(b.bores, d.Text(at+"/name")+"/"+d.Text(fmt.Sprintf("%s/bores/%d/name", at, k)))
		}
	}
	b.about()
	b.allParts()
	b.allJoints()
	b.allShafts()
	b.allLimits()
	b.allCandidates()
	b.kept()
	return b
}

// write adds formatted HTML; texts among the arguments are escaped.
func (b *builder) write(format string, args ...any) {
	for i, a := range args {
		if s, ok := a.(string); ok {
			args[i] = html.EscapeString(s)
		}
	}
	fmt.Fprintf(b, format, args...)
}

// section begins a section; its end is a plain "</section>".
func (b *builder) section(id, title, says string) {
	b.write("<section id=\"%s\" aria-labelledby=\"%[1]s-h\"><h2 id=\"%[1]s-h\">%s</h2>\n", id, title)
	if says != "" {
		b.write("<p class=\"says\">%s</p>\n", says)
	}
}

// group begins a group of fields under a heading with buttons; its end is endGroup.
func (b *builder) group(at, title string, level int, buttons ...func()) {
	b.write("<div class=\"group l%d\" role=\"group\" aria-labelledby=\"h%s\"><div class=\"head\"><h%d id=\"h%s\">%s</h%d>", level, at, level, at, title, level)
	for _, add := range buttons {
		add()
	}
	b.WriteString("</div>\n")
	b.note(at)
}

func (b *builder) endGroup() { b.WriteString("</div>\n") }

// fields begins a row of fields; its end is a plain "</div>".
func (b *builder) fields() { b.WriteString("<div class=\"fields\">") }

// note is where things are said of what is at a pointer.
func (b *builder) note(at string) {
	b.notes[at] = true
	b.write("<p class=\"note\" id=\"n%s\"></p>\n", at)
}

// button does something to the draft; name says it whole where the label is short.
func (b *builder) button(verb, at, arg, label, name string) {
	if name == "" {
		name = label
	}
	b.write("<button type=\"button\" id=\"b%s%s\" data-do=\"%s\" data-at=\"%s\" data-arg=\"%s\" aria-label=\"%s\">%s</button>\n", verb, at, verb, at, arg, name, label)
}

func (b *builder) removes(at, what string) func() {
	return func() { b.button("remove", at, "", "Remove", "Remove "+what) }
}

// value is what stands in a field; nothing in a shape.
func (b *builder) value(at string) string {
	if b.shape {
		return ""
	}
	return b.d.Text(at)
}

// field is a field for a number or text. Units stand in the label.
func (b *builder) field(at, label string) {
	mode, class := "decimal", "field"
	switch b.d.KindOf(at) {
	case draft.Words:
		mode, class = "text", "field words"
	case draft.Plain:
	default:
		label += ", " + unitWord(b.d.UnitOf(at))
	}
	b.write("<div class=\"%s\"><label for=\"f%s\">%s</label><input id=\"f%[2]s\" data-at=\"%[2]s\" type=\"text\" inputmode=\"%[4]s\" autocomplete=\"off\" spellcheck=\"false\" aria-describedby=\"n%[2]s\" value=\"%[5]s\">", class, at, label, mode, b.value(at))
	b.note(at)
	b.WriteString("</div>\n")
}

// unitWord is a unit as a label says it.
func unitWord(unit string) string {
	switch unit {
	case "um":
		return "µm"
	case "":
		return "mm"
	}
	return unit
}

// option is one value of a choice; its word where that differs.
type option struct{ value, word string }

func options(values ...string) (out []option) {
	for _, v := range values {
		if v != "" {
			out = append(out, option{v, v})
		}
	}
	return out
}

// choice is a field of a few values. The first is what an absent key means, and is written as none.
func (b *builder) choice(at, label string, list []option) {
	b.selector(at, "f"+at, fmt.Sprintf("data-at=\"%s\"", html.EscapeString(at)), label, b.d.Text(at), list)
}

// selector is a choice that acts as its attribute says. A value that is not on the list is added to it, so that nothing is lost.
func (b *builder) selector(at, id, attribute, label, now string, list []option) {
	b.write("<div class=\"field\"><label for=\"%s\">%s</label><select id=\"%[1]s\" ", id, label)
	b.WriteString(attribute)
	b.write(" aria-describedby=\"n%s\">", at)
	found := false
	for _, o := range list {
		chosen := ""
		if o.value == now {
			found = true
			if !b.shape {
				chosen = " selected"
			}
		}
		b.write("<option value=\"%s\"", o.value)
		b.WriteString(chosen)
		b.write(">%s</option>", o.word)
	}
	if !found && now != "" {
		b.write("<option value=\"%s\" selected>%[1]s</option>", now)
	}
	b.WriteString("</select>")
	if id == "f"+at {
		b.note(at)
	}
	b.WriteString("</div>\n")
}

// way is the choice of how a face, pilot or bore is known.
func (b *builder) way(at, label string, list []option) {
	if b.d.Way(at) == draft.Points {
		list = append(list, option{draft.Points, "measured points, from the file"})
	}
	b.selector(at, "w"+at, fmt.Sprintf("data-way=\"%s\"", html.EscapeString(at)), label, b.d.Way(at), list)
}

// more folds away what is rarely needed; it is open where something is in it.
func (b *builder) more(at, title string, open bool, fields func()) {
	b.write("<details id=\"m%s\"", at)
	if open && !b.shape {
		b.WriteString(" open")
	}
	b.write("><summary>%s</summary><div class=\"fields\">", title)
	fields()
	b.WriteString("</div></details>\n")
}

// has reports whether any of these keys is there.
func (b *builder) has(at string, keys ...string) bool {
	for _, k := range keys {
		if b.d.Has(at + "/" + k) {
			return true
		}
	}
	return false
}

// named is a thing by its name, or by its number where it has none yet.
func (b *builder) named(what string, i int, at string) string {
	if name := b.d.Text(at + "/name"); name != "" {
		return what + " " + strconv.Itoa(i+1) + ", " + name
	}
	return what + " " + strconv.Itoa(i+1)
}
