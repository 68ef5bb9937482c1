package form

import "fmt"

// allJoints are the joints between the parts.
func (b *builder) allJoints() {
	if b.d.Count("/parts") < 2 {
		return
	}
	b.section("joints", "Joints", "What is between two parts, and what holds them in place before the bolts do.")
	b.note("/joints")
	for k := range b.d.Count("/joints") {
		at := fmt.Sprintf("/joints/%d", k)
		front, rear := b.d.Text(fmt.Sprintf("/parts/%d/name", k)), b.d.Text(fmt.Sprintf("/parts/%d/name", k+1))
		b.group(at, fmt.Sprintf("Joint %d, %s to %s", k+1, front, rear), 3)
		b.fields()
		b.field(at+"/gasket/thickness", "Gasket or shim, thickness")
		b.choice(at+"/lies", "Before tightening the rear part lies", []option{{"", "anywhere, nobody knows"}, {"rest", "in the middle"}, {"hang", "as low as it goes"}})
		b.WriteString("</div>\n")
		b.note(at + "/gasket")
		b.more(at, "Engagement, what leads, clock, name", b.has(at, "engagement", "rules", "clock", "name", "register_ring", "bolt_clearance"), func() {
			b.field(at+"/engagement", "Length of the register")
			b.choice(at+"/rules", "Where faces and pilot disagree", []option{{"", "the faces close; a strained pilot is tried as well"}, {"flush", "the faces close"}, {"pilot", "the pilot leads"}})
			b.field(at+"/clock", "Rear part turned by, degrees")
			b.field(at+"/register_ring/diameter", "Ring that spans two bores, diameter")
			b.field(at+"/name", "Name")
			if b.d.Has(at + "/bolts") {
				b.field(at+"/bolt_clearance", "Clearance of the bolts in their holes")
			}
		})
		for n := range b.d.Count(at + "/pins") {
			b.pin(fmt.Sprintf("%s/pins/%d", at, n), k, n)
		}
		b.button("add", at+"/pins", "", "Add a dowel pin", fmt.Sprintf("Add a dowel pin to joint %d", k+1))
		b.endGroup()
	}
	b.WriteString("</section>\n")
}

// pin is a dowel pin; its hole is one of the front part's rear face.
func (b *builder) pin(at string, joint, n int) {
	b.group(at, fmt.Sprintf("Dowel pin %d", n+1), 5, b.removes(at, fmt.Sprintf("dowel pin %d of joint %d", n+1, joint+1)))
	holes := []option{{"", "choose"}}
	face := fmt.Sprintf("/parts/%d/rear/dowels", joint)
	for k := range b.d.Count(face) {
		name := b.d.Text(fmt.Sprintf("%s/%d/name", face, k))
		holes = append(holes, option{name, name})
	}
	b.fields()
	b.choice(at+"/dowel", "In the hole", holes)
	b.field(at+"/diameter", "Diameter")
	b.choice(at+"/pressed", "Pressed into the part", []option{{"front", "in front"}, {"rear", "behind"}, {"neither", "neither"}})
	b.WriteString("</div>\n")
	b.endGroup()
}
