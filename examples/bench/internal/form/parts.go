package form

import (
	"fmt"

	"example.com/borestack/examples/bench/internal/draft"
	"example.com/borestack/tolerance"
)

var lengthUnits = []option{{"mm", "millimetres"}, {"um", "micrometres"}, {"in", "inches"}, {"thou", "thou"}, {"m", "metres"}}

// about is what the record is of, and its unit.
func (b *builder) about() {
	b.section("about", "The machine", "")
	b.fields()
	b.field("/title", "Title")
	b.choice("/units/length", "Lengths are in", lengthUnits)
	b.field("/note", "Note")
	b.WriteString("</div></section>\n")
}

// allParts are the parts from front to rear.
func (b *builder) allParts() {
	b.section("parts", "Parts, from front to rear", "In their order along the shaft. Each is measured in its own frame: z rearward from its front face, clock positions seen from the tail, 12 o'clock up.")
	for i := range b.d.Count("/parts") {
		at := fmt.Sprintf("/parts/%d", i)
		what := b.named("Part", i, at)
		b.group(at, what, 3, b.moves(at, "part "+b.d.Text(at+"/name"), i, b.d.Count("/parts")), b.removes(at, what))
		b.part(at)
		b.endGroup()
	}
	b.button("add", "/parts", "", "Add a part", "")
	b.note("/parts")
	b.WriteString("</section>\n")
}

// moves are the buttons that change a thing's place in its list.
func (b *builder) moves(at, what string, i, count int) func() {
	return func() {
		if i > 0 {
			b.button("up", at, "", "Forward", "Move "+what+" forward")
		}
		if i < count-1 {
			b.button("down", at, "", "Rearward", "Move "+what+" rearward")
		}
	}
}

// part is one part, measured in place or a candidate.
func (b *builder) part(at string) {
	b.fields()
	b.field(at+"/name", "Name")
	b.WriteString("</div>\n")
	b.more(at, "Material, temperature, turned end for end", b.has(at, "material", "temperature", "measured_at", "turned"), func() {
		b.material(at + "/material")
		b.field(at+"/temperature", "Temperature in the machine, °C")
		b.field(at+"/measured_at", "Measured at, °C")
		b.choice(at+"/turned", "Mounted end for end", []option{{"", "no"}, {"true", "yes"}})
	})
	b.face(at, "front")
	b.face(at, "rear")
	for k := range b.d.Count(at + "/bores") {
		b.bore(fmt.Sprintf("%s/bores/%d", at, k), at, k)
	}
	b.button("add", at+"/bores", "", "Add a bore", "Add a bore to "+b.d.Text(at+"/name"))
}

func (b *builder) material(at string) {
	if b.d.Count(at) > 0 {
		b.write("<p class=\"field\">Material: numbers of its own, kept as they came.</p>")
		return
	}
	list := []option{{"", "not said"}}
	for _, m := range tolerance.Materials() {
		list = append(list, option{m.Name, m.Name})
	}
	b.choice(at, "Material", list)
}

// face is the front or rear face of a part; one that meets nothing may be left out.
func (b *builder) face(part, side string) {
	at := part + "/" + side
	name := map[string]string{"front": "Front face", "rear": "Rear face"}[side]
	if !b.d.Has(at) {
		b.button("add", at, "", "Add its "+side+" face", "Add the "+side+" face of "+b.d.Text(part+"/name"))
		b.note(at)
		return
	}
	b.group(at, name, 4, b.removes(at, "the "+side+" face of "+b.d.Text(part+"/name")))
	ways := []option{{draft.Square, "square to the axis, not measured"}, {draft.Swept, "a dial round it"}, {draft.Sloped, "its slope, as a ratio"}}
	if side == "rear" && b.d.Has(part+"/front") {
		ways = append([]option{{draft.Thickness, "thickness, a micrometer round the part"}}, ways...)
	}
	b.fields()
	b.way(at, "How it was measured", ways)
	if way := b.d.Way(at); way != draft.Thickness && way != draft.Points && (side == "rear" || b.d.Has(at+"/z")) {
		b.field(at+"/z", "Where it is, z")
	}
	if b.d.Way(at) == draft.Sloped {
		b.field(at+"/slope/0", "Slope to the right, ratio")
		b.field(at+"/slope/1", "Slope upwards, ratio")
	}
	b.field(at+"/diameter", "Outer diameter")
	b.WriteString("</div>\n")
	switch b.d.Way(at) {
	case draft.Thickness:
		b.round(at+"/thickness", part, "Thickness round it")
	case draft.Swept:
		b.round(at+"/sweep", part, "Dial round the face")
	}
	b.pilot(at+"/pilot", part, side)
	for k := range b.d.Count(at + "/dowels") {
		dowel := fmt.Sprintf("%s/dowels/%d", at, k)
		b.group(dowel, b.named("Dowel hole", k, dowel), 5, b.removes(dowel, "dowel hole "+b.d.Text(dowel+"/name")+" of the "+side+" face of "+b.d.Text(part+"/name")))
		b.fields()
		b.field(dowel+"/name", "Name")
		b.field(dowel+"/centre/0", "Centre, to the right")
		b.field(dowel+"/centre/1", "Centre, upwards")
		b.field(dowel+"/diameter", "Diameter")
		b.WriteString("</div>\n")
		b.note(dowel + "/centre")
		b.endGroup()
	}
	if !b.d.Has(at + "/pilot") {
		b.button("add", at+"/pilot", "", "Add a pilot", "Add a pilot to the "+side+" face of "+b.d.Text(part+"/name"))
	}
	b.button("add", at+"/dowels", "", "Add a dowel hole", "Add a dowel hole to the "+side+" face of "+b.d.Text(part+"/name"))
	b.endGroup()
}

var placeWays = []option{{draft.Placed, "where it is, as numbers"}, {draft.Swept, "a dial swept round it"}}

// pilot is the register of a face.
func (b *builder) pilot(at, part, side string) {
	if !b.d.Has(at) {
		return
	}
	b.group(at, "Pilot", 5, b.removes(at, "the pilot of the "+side+" face of "+b.d.Text(part+"/name")))
	b.fields()
	b.choice(at+"/kind", "It is a", []option{{"spigot", "spigot, it goes in"}, {"bore", "bore, it takes in"}})
	b.field(at+"/diameter", "Diameter")
	b.way(at, "How its centre was measured", placeWays)
	if b.d.Way(at) == draft.Placed {
		b.field(at+"/centre/0", "Centre, to the right")
		b.field(at+"/centre/1", "Centre, upwards")
	}
	b.WriteString("</div>\n")
	b.note(at + "/centre")
	if b.d.Way(at) == draft.Swept {
		b.round(at+"/sweep", part, "Dial round the pilot")
	}
	b.endGroup()
}

// bore is one bore of a part.
func (b *builder) bore(at, part string, k int) {
	b.group(at, b.named("Bore", k, at), 4, b.removes(at, "bore "+b.d.Text(at+"/name")+" of "+b.d.Text(part+"/name")))
	b.fields()
	b.field(at+"/name", "Name")
	b.way(at, "How its centre was measured", placeWays)
	if b.d.Way(at) == draft.Placed {
		b.field(at+"/centre/2", "Where it is, z")
		b.field(at+"/centre/0", "Centre, to the right")
		b.field(at+"/centre/1", "Centre, upwards")
	} else {
		b.field(at+"/z", "Where it is, z")
	}
	b.field(at+"/diameter", "Diameter")
	b.WriteString("</div>\n")
	b.note(at + "/centre")
	if b.d.Way(at) == draft.Swept {
		b.round(at+"/sweep", part, "Dial round the bore")
	}
	b.more(at, "Lean of its axis", b.has(at, "slope"), func() {
		b.field(at+"/slope/0", "Lean to the right, ratio")
		b.field(at+"/slope/1", "Lean upwards, ratio")
	})
	b.endGroup()
}
