// Package specify turns limits at the supports of a shaft line into what a drawing has to call out, and
// back: from callouts to the worst case, with the box that attains it, and to the yield.
//
// A callout is a tolerance zone of ISO 1101: flatness of the face that a part is held to, parallelism of
// the other, coaxiality and perpendicularity of its pilots, position and perpendicularity of its bores,
// position of its dowel holes, at maximum material if so wished. What a zone allows is a deviation in a
// disc: an offset of half a diametral zone, a slope of the zone over what it is given across. [Callouts]
// lists those that matter to a stack, each without a size. A pilot is square to its face but for its
// perpendicularity, which is called out where a register has an engagement and clearance: over the
// engagement the lean of both its pilots takes of the clearance, and of more than that it is strained. A
// squeezed one is strained by any: pilots are taken as square there.
//
// [Ask.Specify] finds sizes that hold every limit at least cost, where a callout's cost is its weight over
// its zone. By worst case no box within the zones leaves a limit; by yield that share of boxes holds them
// all, deviations normal with a third of the zone's radius as standard deviation and none outside. A box
// whose joints do not go together, or strain a register, holds none: that they do is a limit wherever
// there are pins or pilots lean. What is left over is a convex function of the deviations to first order,
// so the worst is at the rim of every zone: it is climbed to from where any few callouts are far out, and
// every top gives a plane that the sizes have to stay under. Tops are remembered for other sizes, and the
// last sizes are searched afresh. For a yield the same boxes are drawn whatever the sizes: in the search
// those that planes and earlier sizes leave in doubt are evaluated, the likeliest to fail first, and at
// the end all of them. Sizes are rounded down to preferred numbers (ISO 3, series R10), never above
// general tolerances (ISO 2768-2, class H): a perpendicularity or coaxiality as wide as those needs no
// callout.
//
// The worst is found by search, not proved: [Ask.Check] draws boxes besides.
//
// Source: ISO 1101:2017, 17 (zones), ISO 2692 (maximum material), ISO 3:1973, table 1, ISO 2768-2:1989,
// tables 1, 2 and 4 (all from memory); J. E. Kelley, Journal of the SIAM 8 (1960), for the cutting planes.
//
//   - callouts.go: what can be called out on a stack; lean.go: of pilots that lean
//   - response.go: what is left of every limit, and how deviations move it
//   - worst.go: the worst box within zones
//   - check.go: boxes drawn within zones
//   - search.go: zones at least cost that hold; round.go: preferred numbers
//   - specify.go: the two questions; sizes.go: callouts as a text; page.go: the answer as a page
package specify
