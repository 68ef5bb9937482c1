// Package draw makes pictures of results as SVG: one function a picture, one self-contained file each, from the standard library alone.
//
//   - [ShaftLine] and [Rows]: the shaft line in side and top view, and how much of its room it uses in characters (shaftline.go, panel.go)
//   - [Target]: one support as seen from the tail, with the reach of the float (target.go)
//   - [Thickness]: a plate's thickness round the clock, amplified (thickness.go)
//   - [Joint]: a joint as seen from the tail: register, pins, bolts, contacts, gap, float (joint.go)
//   - [Stack]: the stack as understood from the record, to scale (stack.go)
//   - [Histogram] and [Shares]: a distribution with its limits, and what contributes (histogram.go)
//
// # Conventions
//
// Clock positions are as seen from the tail, 12 o'clock up. The nose is left and the tail right in side and top views. Lengths are printed in [Options.Unit] as the report prints them, from the same results; an offset is centre to centre and a total indicator reading twice that; clearances are diametral, margins and rooms radial.
//
// # Scale
//
// A picture says how much larger crosswise lengths are drawn than lengthwise ones, a number that stays true however large the picture is shown, and carries a scale bar for each direction.
//
// # Reading by everyone
//
// Every picture has a title and a description for screen readers. Shape, dash and label carry the meaning and colour only repeats it, so that a black and white print says the same. The picture brings its own paper, dark where the reader prefers dark and light on paper. Texts never overlap: their extents are reckoned from the widths of the widest usual typeface (layout.go), or, for scripts without such a table, enforced by the SVG itself. No picture refers to anything outside itself; every id and class starts with [Options.ID], so that several fit in one page.
//
// # Rooms
//
// canvas.go writes elements, layout.go places labels, rows and columns, scale.go picks round scales and spells numbers, scene.go reads where everything is from the results. The package does not know how results are computed.
package draw
