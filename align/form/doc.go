// Package form fits planes, lines, circles and cylinders to measured points, says how far the points stray from them, and how one feature lies to another.
//
// # Units and frames
//
// Coordinates of points and of fitted features are millimetres, in whatever right-handed frame the points are given; directions have length 1. Form errors and radii are [tolerance.Length]. Results do not depend on the frame, the unit or the order of the points, but for rounding: every fit centres and scales the points first, so that micrometres of form survive metres of offset. Rows count from 0.
//
// # Fits
//
//   - Least squares ([LeastSquaresPlane], [LeastSquaresLine], [LeastSquaresAxis], [LeastSquaresCircle], [LeastSquaresCylinder]): least sum of squared distances square to the feature, every point weighing one. In linear time.
//   - Minimum zone, ISO 1101 ([MinimumZonePlane], [MinimumZoneLine], [MinimumZoneCircle], [MinimumZoneCylinder]): the narrowest pair of parallel or concentric features that holds all points; its width is the form error, and the feature returned lies midway.
//   - Minimum circumscribed and maximum inscribed circle and cylinder: datum features of shafts and bores.
//
// A fit carries its [Deviation] (form error, peak, valley, contacts), its covariance when an [Uncertainty] is stated, and, where it minimises a greatest distance, a [Proof].
//
// Few points hide form: a form error from 8 points is a lower bound of that of the surface.
//
// # Proofs
//
// The weights of the contacts show that no small movement helps: their directions cancel ([Proof.Unbalance]). Beyond that, planes, lines and circles are searched until all other features are proved worse: Reach is Everyone and Gap the little that is not excluded. Cylinders are proved best among the axes within [Proof.Within], usually much more than the form error; elsewhere they are local optima.
//
// # Relations
//
// A [Datum] is a plane or an axis with the rule that associated it: by ISO 5459 ([TangentPlane], [DatumCylinder], [SecondaryAxis]) or by least squares, which ignores high spots. Every [Relation] and [Runout] repeats that rule. Parallelism, perpendicularity, coaxiality, position and run-out follow ISO 1101; a diametral zone is twice an offset.
//
// # Registers
//
// [Register] says how a spigot with oval or lobed form sits in its bore: clearance across every direction, room, and how far it can be shaken. [Lean] takes the angle between them from circles measured at several depths.
//
// # Faults
//
// Points that are not finite, too few, all at one place, on one line, or that give one station two heights are refused with a [PointError] that names the row. A row repeated whole is no fault.
//
// # Map
//
//   - points.go: checks, centring, scaling; scatter.go: principal axes; result.go: what fits have in common; errors.go
//   - plane.go, line.go, circle.go, cylinder.go, cylinderstart.go, newton.go: least squares
//   - strip.go, price.go: the linear program behind every zone; growth.go: what its contacts tell; descend.go: from program to program; search.go: proof by quartering
//   - zoneplane.go, proveplane.go, zoneline.go, zonecircle.go, onesidecircle.go, zonecylinder.go, provecylinder.go: zones
//   - datum.go, relate.go: relations; register.go: registers
//
// # Non-goals
//
// No filtering, no outlier removal, no files. Numbers describe the points given, not the surface between them.
package form
