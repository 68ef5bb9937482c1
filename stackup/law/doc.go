// Package law says how one source of deviation varies: distributions of one ([Law]) and of several deviations together ([Joint]), and the random numbers that they are drawn with ([Stream]). It knows nothing of models, and of no units: values are in that of the deviation.
//
// Every law gives its distribution function, a survival function that stays accurate in the far tail, quantiles for either tail, moments, support, draws, and values for given normal numbers ([FromNormals]). A standard deviation, scale or half-width of 0 is legal and means a constant. Laws are immutable and may be shared by goroutines; a stream may not.
//
// Laws come from their parameters (NewNormal and so on), from limits with an assumed capability ([FromCpk]), or are measured values as they are ([NewSample]). [Truncate] puts limits to any of them.
//
//	law.go           what every law answers; faults of parameters
//	distribution.go  what all laws on a line share, and those that are described from their ends
//	bounded.go       uniform, triangular, trapezoidal, arcsine; inexact limits; beta
//	normal.go        normal and lognormal, the normal quantile, values for normal numbers
//	weibull.go, student.go      laws with a formula
//	discrete.go      laws made of values
//	mixture.go       laws made of others, or between limits; moments.go what they need
//	size.go          the size of a plane normal vector: Rayleigh, Rice, Hoyt and all between
//	plane.go         pairs: disc, ring, ellipse, correlated normal
//	independent.go   several laws side by side
//	shared.go        deviations that vary together: by common sources, or by a covariance
//	stream.go        the numbers of one input in one block of samples; ziggurat.go the table behind normal numbers
//	solve.go         quantiles by iteration, adaptive quadrature
package law
