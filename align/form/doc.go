// Package form fits planes, circles and cylinders to measured points, says how far the points stray
// from them, and how one feature lies to another.
//
// # Units and frames
//
// Coordinates of points and of fitted features are millimetres, in whatever right-handed frame the
// points are given; directions have length 1. Form errors and radii are [tolerance.Length]. Results
// do not depend on the frame, the unit or the order of the points, but for rounding: every fit
// centres and scales the points first, so that micrometres of form survive metres of offset. Rows
// count from 0.
//
// # Fits
//
// [FitPlane], [FitCircle] and [FitCylinder] take a [Rule]:
//
//   - least squares: the least sum of squared distances square to the feature, every point weighing one;
//   - minimum zone, ISO 1101: the narrowest pair of parallel or concentric features that holds all
//     points; its width is the form error (flatness, roundness, cylindricity), and the feature returned
//     lies midway;
//   - minimum circumscribed and maximum inscribed: the datum features of shafts and bores, ISO 5459.
//
// A fit carries its [Deviation] (form error, peak, valley); by least squares its covariance, when an
// [Uncertainty] is stated. [PlaneOver] is the regression of heights over a frame's own x and y, by
// which measured faces seat.
//
// Few points hide form: a form error from 8 points is a lower bound of that of the surface.
//
// # Relations
//
// [TangentPlane] is a datum plane by ISO 5459, the Axis of a circumscribed or inscribed
// [CylinderFit] a datum axis. Parallelism, perpendicularity, coaxiality and run-out to them follow
// ISO 1101; a diametral zone is twice an offset. A datum by least squares ignores high spots: say
// which it was.
//
// # Faults
//
// Points that are not finite, too few, all at one place, on one line, or that give one station two
// heights are refused with a fault that names the row. A row repeated whole is no fault.
//
// # Map
//
//   - points.go: checks, centring, scaling, principal axes; result.go: what fits have in common
//   - plane.go: planes; round.go, tube.go, cylinderstart.go: circles and cylinders by least squares
//   - strip.go: the linear program behind every zone; zone.go: from program to program, to round zones
//   - relate.go: datums and relations
//
// # Non-goals
//
// No filtering, no outlier removal, no files. Numbers describe the points given, not the surface
// between them.
package form
