package law

import "math"

// Fit says how well a law agrees with the measured values that it was fitted to.
type Fit struct {
	Count           int     // of values
	AndersonDarling float64 // A²; sensitive in the tails
	// P is the probability that values which do follow the family of the law, fitted in the same way, agree no better. Small means that the family is wrong; below about 1e-6 its digits mean nothing, and above 0.25 that of a Weibull law is rough (some 0.1 too small).
	P float64
}

// fewest is the number of values from which on the published formulas for P hold.
const fewest = 8

// FitNormal returns the normal law with the mean and the standard deviation (divisor n − 1) of measured values. It returns a [ParameterError] unless there are at least 8 values, all finite and not all equal.
func FitNormal(values []float64) (Normal, Fit, error) {
	const name = "fit of a normal law"
	if err := checkValues(name, values, math.Inf(-1)); err != nil {
		return Normal{}, Fit{}, err
	}
	l := normalOf(values)
	a := squareOf(l, values)
	return l, Fit{len(values), a, normalP(a, len(values))}, nil
}

// normalOf returns the normal law with mean and standard deviation of a sample.
func normalOf(values []float64) Normal {
	n := float64(len(values))
	shares := make([]float64, len(values))
	for i := range shares {
		shares[i] = 1 / n
	}
	m := momentsOfPoints(values, shares)
	return Normal{m.Mean, math.Sqrt(m.Variance * n / (n - 1))}
}

// FitLogNormal returns the lognormal law above a known origin whose logarithm has the mean and the standard deviation (divisor n − 1) of the logarithms of measured values. It returns a [ParameterError] unless there are at least 8 values, all finite and above the origin, and not all equal.
func FitLogNormal(values []float64, origin float64) (LogNormal, Fit, error) {
	const name = "fit of a lognormal law"
	if err := checkValues(name, values, origin); err != nil {
		return LogNormal{}, Fit{}, err
	}
	logs := logsOf(values, origin)
	normal := normalOf(logs)
	l, err := NewLogNormal(origin, normal.mean, normal.sd)
	if err != nil {
		return LogNormal{}, Fit{}, err
	}
	a := squareOf(normal, logs)
	return l, Fit{len(values), a, normalP(a, len(values))}, nil
}

// logsOf returns the logarithms of values above an origin.
func logsOf(values []float64, origin float64) []float64 {
	logs := make([]float64, len(values))
	for i, v := range values {
		logs[i] = math.Log(v - origin)
	}
	return logs
}

// FitWeibull returns the Weibull law above a known origin that makes measured values likeliest. It returns a [ParameterError] unless there are at least 8 values, all finite and above the origin, and not all equal.
//
// Source: the likelihood equations, e.g. Thoman, Bain and Antle, Inferences on the parameters of the Weibull distribution, Technometrics 11 (1969).
func FitWeibull(values []float64, origin float64) (Weibull, Fit, error) {
	const name = "fit of a Weibull law"
	if err := checkValues(name, values, origin); err != nil {
		return Weibull{}, Fit{}, err
	}
	logs := logsOf(values, origin)
	spread := normalOf(logs)
	for i := range logs {
		logs[i] -= spread.mean
	}
	// f(k) = Σ y e^(ky) / Σ e^(ky) − 1/k grows with k, y being the centred logarithms
	k, low, high := math.Pi/math.Sqrt(6)/spread.sd, 0.0, math.Inf(1)
	var sum float64
	for range 200 {
		var first, second float64
		top := 0.0 // keeps the powers finite
		for _, y := range logs {
			top = max(top, k*y)
		}
		sum = 0
		for _, y := range logs {
			e := math.Exp(k*y - top)
			sum += e
			first += y * e
			second += y * y * e
		}
		mean := first / sum
		f, slope := mean-1/k, second/sum-mean*mean+1/(k*k)
		if f > 0 {
			high = k
		} else {
			low = k
		}
		next := k - f/slope
		if !(next > low && next < high) {
			next = min(2*k, (low+high)/2)
		}
		sum = math.Log(sum/float64(len(logs))) + top
		if math.Abs(next-k) <= 1e-15*k {
			break
		}
		k = next
	}
	l, err := NewWeibull(origin, math.Exp(spread.mean+sum/k), k)
	if err != nil {
		return Weibull{}, Fit{}, err
	}
	a := squareOf(l, values)
	return l, Fit{len(values), a, weibullP(a, len(values))}, nil
}

// FitRayleigh returns the Rayleigh law that makes measured sizes likeliest: twice its variance per axis is their mean square. It returns a [ParameterError] unless there are at least 8 values, all finite and above 0, and not all equal.
func FitRayleigh(values []float64) (Weibull, Fit, error) {
	const name = "fit of a Rayleigh law"
	if err := checkValues(name, values, 0); err != nil {
		return Weibull{}, Fit{}, err
	}
	var sum float64
	for _, v := range values {
		sum += v * v
	}
	l, err := NewRayleigh(math.Sqrt(sum / float64(len(values)) / 2))
	if err != nil {
		return Weibull{}, Fit{}, err
	}
	a := squareOf(l, values)
	return l, Fit{len(values), a, exponentialP(a, len(values))}, nil
}

// checkValues checks values to be fitted, which must lie above a limit.
func checkValues(law string, values []float64, above float64) error {
	if len(values) < fewest {
		return &ParameterError{law, "number of values", float64(len(values)), "at least 8"}
	}
	if math.IsNaN(above) || math.IsInf(above, 1) {
		return &ParameterError{law, "origin", above, "a finite number"}
	}
	same := true
	for _, v := range values {
		if err := finite(law, []string{"value"}, v); err != nil {
			return err
		}
		if v <= above {
			return &ParameterError{law, "value", v, "more than the origin"}
		}
		same = same && v == values[0]
	}
	if same {
		return &ParameterError{law, "every value", values[0], "values that are not all equal"}
	}
	return nil
}
