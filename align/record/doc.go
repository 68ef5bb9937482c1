// Package record reads and writes the record: one JSON file with what was measured on one stack,
// and what may vary. Numbers stay as written and in the record's own units; [Record.Stack] maps
// them to quantities.
//
// [Decode] is strict. An unknown or repeated key, a number that is not finite or absurd, an unknown
// name, unit, law or output is an error that gives the JSON Pointer (RFC 6901), the value, and what
// would be right; all independent faults are reported together. [Record.Doubts] is for what was
// written and cannot be relied on: nothing that rests on it passes. [Record.Warnings] is for what
// is implausible, [Record.Understood] for what only an eye can check. [Record.Encode] writes the
// record again exactly.
//
// RECORD.md, at the root of the module, is the format's manual, with skeletons to copy. The field
// tags of record.go are its table: every key, and the rule that its value keeps. Lengths are in
// units.length, except in a block that carries its own unit; slopes are ratios; angles that a
// person sets are in degrees, clockwise from 12 o'clock seen from the tail; forces in N, moduli in
// N/mm², stiffness in N/mm, expansion in 1/K, temperatures in °C.
//
// # Elastic shafts
//
//	"shafts": [{..., "sections": [...], "density": 7850, "loads": [
//	   {"name": "pulley", "z": 40, "force": [0, -300]},
//	   {"name": "gear", "z": 100, "gear": {"torque": 90, "pitch_diameter": 80, "mate": 180, "pressure_angle": 20, "helix": 15}}]}]
//
// A shaft with sections bends. density (kg/m³): its own weight acts, downwards. force (N) is on the
// shaft, to the right and up. torque (N·m) is what the mate exerts about the shaft line, clockwise
// seen from the tail; mate is the clock position of the mate's axis; pressure_angle is normal (20);
// helix is right hand when positive (0).
//
//	"supports": [{..., "guide": {"offset": 0.1, "force": 400, "because": "the yard's own experience"}}]
//
// A guide is what the machine's owner goes by: reports give the ratio to it, and nothing is judged by it.
//
// # Measured faces
//
//	"joints": [{..., "seat": "points", "interpolate": true, "flatten": 0.5, "yielding": {"stiffness": 120, "area": 3000, "bolt_loads": [12000]}}]
//
// interpolate: stations need not pair; the rear part's heights are taken between its own, round the
// ring. flatten: the share of what is off a face's plane that the bolts pull flat. yielding: a
// gasket, sealant or soft face presses back by stiffness (N/mm³) over area (mm²), in balance with
// the loads of the bolts (N, one for all or one each).
//
// # Outputs
//
// Besides the others: "side_load" (N) of a bore or pocket, and "clearance" of a bore: the running
// clearance at the temperatures of its part and shaft.
//
// # Map
//
//   - tree.go: JSON with its places; decode.go, decodevalues.go: strict reading by the field tags; encode.go: writing
//   - record.go, shop.go, values.go: the format; stack.go: to quantities; limits.go: limits and units of outputs; pointer.go: what follows a number
//   - faults.go, sources.go, warnings.go: what is wrong, what is located twice or not at all, what is odd
//   - doubt*.go: slips of the hand, by rounds of readings (round.go, harmonicfit.go), places (squarely.go) and fits; understood.go: what was taken to be meant
//   - laws.go: the laws of what varies, one table of forms; fit.go: clearances by their classes
//   - csvfill.go, csvwrite.go: a table that fills a record, and the table of a record; csvplace.go: what its places are called; csvtable.go, csvcell.go: rows and numbers of spreadsheets
package record
