// Package align works out where everything in a stack of bolted parts sits, and whether straight
// shafts have room to run.
//
// A [Stack] is plain data: what was measured. [Stack.Solve] makes an [Assembly] of it: the pose of
// every part, how every joint closed, where every bore ended up, the shaft line with its margin,
// what governs, and the range of all that over the float of the joints. [Stack.Compile] makes a
// [Plan] to evaluate the same many times.
//
// # Frames and signs
//
// The stack frame S is the frame of the first part. +z runs rearward along the shaft line, +y is
// up, +x is to the right seen from the tail looking forward; right-handed. A clock angle is
// clockwise from 12 o'clock seen from the tail: the direction (sin θ, cos θ). A pose aFromB carries
// coordinates in B to A; poses compose by adjacency.
//
// A slope is dz/dx, dz/dy of a face, or dx/dz, dy/dz of an axis; an axis square to a face of slope
// s has slope -s. A part mounted end for end maps (x, y, z) to (-x, y, -z) and exchanges its faces.
// Lengths are at 20 °C (ISO 1); a part at T scales by 1 + α(T - 20) about its frame origin, and
// what was measured at another temperature is first brought to 20 °C. Pins and register rings do
// not grow.
//
// # Joints
//
// Part B seats on part A's meeting plane: A's rear face plus the gasket. The rotation is the least
// that makes the faces meet, then the clocking about the plane's normal. Registration is at the
// pilot centres where a spigot meets a bore (or a ring spans two bores), and at the frame origins
// otherwise. The float f = (fx, fy) and the turn move B from there (joint and seat: seat.go).
//
// Pilots, pins, flatted pins and bolts in holes bound the float: a convex set in (fx, fy, γ), γ =
// -turn, to first order in γ (internal/floatset). Empty: the joint does not assemble, and the
// interference is twice the least amount that every radius lacks. The joint rests at the point of
// the set nearest the target: half-way along the pilots' lean, and the turn of least Σ|r|² over the
// pins.
//
// Bolted faces close: flush is the rule, and a wedge never disappears because a register is short
// and tight. When the register is too tight for the lean, flush strains it; the seat where the
// pilot leads and the faces gap is worked out beside it, and the combination with the smaller
// margin governs.
//
// # Shaft line
//
// Shafts are straight and rigid. Support i gives a circle of radial room r about p at z (a bush,
// one at each mouth; a pocket, between two shafts). The use of clearance is the least λ for which
// lines exist with |p - ℓ(z)| ≤ λ r at every circle; the margin is the greatest room -s with |p -
// ℓ(z)| ≤ r + s. Straight shafts have room exactly when the use is at most 1, and when the margin
// is at least 0.
//
// By duality, λ is the greatest Σ y·p over multipliers y with Σ y ℓ = 0 for every line and Σ |y| r
// ≤ 1; where only one sum of centres w is free of the lines, λ = |Σ w p| / Σ |w| r. Every answer
// carries a certificate; the multipliers of λ say what governs, those of the margin what caps it
// (internal/shaftline).
//
// # Side loads, meshes
//
// A shaft with sections is also elastic (internal/bend). Where straight shafts have no room, or
// loads act, it bends: of all forces in equilibrium the ones that act make least ∫ M²/2EI − Σ F·p +
// Σ r|F| + Σ F²/2k; M by statics, p the bores' centres, r their rooms, k the supports' stiffness.
// Forces are those of the housing on the shaft. Two gear axes lie to each other by the plane of the
// one with the longer span (mesh.go).
//
// Over the float, places follow the floats to first order, each joint turning and shifting what is
// behind it as one body (twist.go); every value given is worked out again in full at the floats
// found. A sum of few centres that no line changes, a circuit, is over the floats a convex set in
// the plane, its shadow: its longest vector gives the worst that this circuit comes to, its
// shortest the best (shadow.go, circuits.go). The worst is a maximum of a convex function; mostly
// it is a circuit's, and climbs along the lines' own multipliers go on from there (overworst.go).
// Beside it stands a bound, by lines that follow the floats by a fixed rule (overbound.go). The
// best is a circuit's where the lines at its floats come to no more (overbest.go), and otherwise
// one convex program in lines and floats together (overline.go).
//
// What differs from nothing by rounding is nothing: a lean of pilots square to their faces
// (seat.go), a room that a runout uses up (internal/shaftline), a float thinner than a picometre
// (internal/floatset).
//
// # Map
//
// Files, each using those above it:
//
//   - stack.go, output.go, assembly.go: the data, what may be asked, the result; shape.go, clone.go,
//     number.go: what there is to look at in a type, copies, and numbers that sources move
//   - pose.go, rigid.go, axis.go: rotations, kept to the last digit and quick; lines and offsets
//   - readings.go, mount.go, located.go: harmonics of readings; a part's features as mounted
//   - layout.go: names to indices
//   - seat.go, jointfloat.go, onpoints.go: one joint: its seat (on measured heights from
//     internal/seat) and its float (internal/floatset)
//   - kernel.go, circles.go, place.go: one evaluation; shafts.go: the shaft line, from
//     internal/shaftline; mesh.go, loads.go: gears, and side loads from internal/bend
//   - asked.go, value.go: the table of quantities, outputs resolved, and worked out where the joints
//     lie and over the float
//   - twist.go, shadow.go, circuits.go: how places follow the floats, and sums of them; over.go,
//     overworst.go, overbound.go, overbest.go, overline.go, oversize.go: over the float
//   - check.go, checkvalues.go, change.go, validate_part.go, validate_joint.go, validate_shaft.go,
//     validate.go: every rule that a stack keeps; candidates and states
//   - notes.go, solve.go, spread.go, travel.go: one box
//   - columnbuild.go, columnjoint.go, columnseat.go, columnfloat.go, columns.go, columnplace.go,
//     columnout.go: many plain boxes side by side; plan.go: many of any kind
//
// # Non-goals
//
// No files, no text, no sampling; housings and plates are rigid. Numbers are estimates from the
// readings given, not permission to run.
package align
