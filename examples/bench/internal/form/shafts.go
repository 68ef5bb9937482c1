package form

import "fmt"

// choose is a choice among names that are in the draft, with none yet ahead of them.
func choose(names []string) []option { return append([]option{{"", "choose"}}, options(names...)...) }

// allShafts are the shafts with their supports, the pockets, and the lines that offsets are measured from.
func (b *builder) allShafts() {
	b.section("shafts", "Shafts and supports", "What runs in which bore, and with how much clearance on diameter.")
	var names []string
	for i := range b.d.Count("/shafts") {
		at := fmt.Sprintf("/shafts/%d", i)
		names = append(names, b.d.Text(at+"/name"))
		what := b.named("Shaft", i, at)
		b.group(at, what, 3, b.removes(at, what))
		b.fields()
		b.field(at+"/name", "Name")
		b.WriteString("</div>\n")
		b.more(at, "Material, temperature", b.has(at, "material", "temperature"), func() {
			b.material(at + "/material")
			b.field(at+"/temperature", "Temperature, °C")
		})
		for k := range b.d.Count(at + "/supports") {
			b.support(fmt.Sprintf("%s/supports/%d", at, k), what, k)
		}
		b.button("add", at+"/supports", "", "Add a support", "Add a support to "+what)
		b.note(at + "/supports")
		b.endGroup()
	}
	b.button("add", "/shafts", "", "Add a shaft", "")
	for i := range b.d.Count("/pockets") {
		at := fmt.Sprintf("/pockets/%d", i)
		what := b.named("Pocket", i, at)
		b.group(at, what, 3, b.removes(at, what))
		b.fields()
		b.field(at+"/name", "Name")
		b.choice(at+"/between/0", "Shaft with the pocket", choose(names))
		b.choice(at+"/between/1", "Shaft that runs in it", choose(names))
		b.field(at+"/z", "Where it is, z from the first part")
		b.field(at+"/clearance", "Clearance on diameter")
		b.WriteString("</div>\n")
		b.note(at + "/between")
		b.endGroup()
	}
	if len(names) > 1 {
		b.button("add", "/pockets", "", "Add a pocket", "Add a pocket: one shaft runs in the end of another")
	}
	for i := range b.d.Count("/references") {
		at := fmt.Sprintf("/references/%d", i)
		what := b.named("Reference line", i, at)
		b.group(at, what, 3, b.removes(at, what))
		b.fields()
		b.field(at+"/name", "Name")
		switch {
		case b.d.Has(at + "/axis"):
			b.choice(at+"/axis", "The axis of", choose(b.bores))
		case b.d.Has(at + "/best"):
			b.write("<p class=\"field\">The best line through %d bores, kept as it came.</p>", b.d.Count(at+"/best"))
		default:
			b.choice(at+"/through/0", "Through", choose(b.bores))
			b.choice(at+"/through/1", "and", choose(b.bores))
		}
		b.WriteString("</div>\n")
		b.note(at + "/through")
		b.endGroup()
	}
	b.button("add", "/references", "", "Add a reference line", "Add a reference line: offsets are measured from it")
	b.note("/shafts")
	b.WriteString("</section>\n")
}

// support is one support of a shaft.
func (b *builder) support(at, shaft string, k int) {
	title := fmt.Sprintf("Support %d", k+1)
	if bore := b.d.Text(at + "/bore"); bore != "" {
		title += ", " + bore
	}
	b.group(at, title, 4, b.removes(at, fmt.Sprintf("support %d of %s", k+1, shaft)))
	b.fields()
	b.choice(at+"/bore", "In the bore", choose(b.bores))
	if b.d.Has(at + "/fit") {
		b.field(at+"/fit", "Clearance by its classes")
	} else {
		b.field(at+"/clearance", "Clearance on diameter")
	}
	b.choice(at+"/kind", "It is a", []option{{"", "bearing"}, {"bush", "bush"}})
	if b.d.Text(at+"/kind") == "bush" || b.d.Has(at+"/width") {
		b.field(at+"/width", "Width of the bush")
	}
	b.WriteString("</div>\n")
	b.more(at, "Journal, runout, tilt it permits", b.has(at, "journal", "runout", "tilt"), func() {
		b.field(at+"/journal", "Diameter of the journal")
		b.field(at+"/runout", "Runout of the journal, TIR")
		b.field(at+"/tilt", "Tilt that it permits, ratio")
	})
	b.endGroup()
}
