package report

// conventions says how to read the numbers.
func (t *teller) conventions() {
	s := t.page.Section("conventions", "Conventions")
	for _, line := range []string{
		"clock positions and turns are seen from the tail end looking forward, 12 o'clock up; z runs rearward",
		"TIR is twice the offset of the centres; clearances are on diameter; margin and room are radial",
		"margin is what is left of the radial room for straight shafts: they run free when it is not negative; clearance used is the share of every clearance that they need",
		"slopes are in mm in a metre, which is the same number as thousandths of an inch in an inch",
	} {
		s.Item("%s", line)
	}
}

// cautions are those that the trade expects.
//
// Source: common practice, no published source.
func (t *teller) cautions() {
	s := t.page.Section("cautions", "Cautions")
	for _, line := range []string{
		"This is geometry from your readings, not permission to run. The maker's manual goes before it, and where law, class or insurance ask for one, an inspector or engineer does.",
		"Torques, sealants, dowel and bolt grades come from the maker.",
		"Never draw a box home with its bolts. Never dial a shaft that can be started: isolate, lock out, block, and turn it by hand.",
		"Stands and hoists rated for the weight; eye protection when cutting; gloves for hot or frozen parts.",
	} {
		s.Item("%s", line)
	}
}
