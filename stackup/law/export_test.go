package law

// POfFamily returns P of a critical value for many values.
func POfFamily(family string, a float64) float64 {
	const many = 1_000_000_000
	switch family {
	case "normal":
		return normalP(a, many)
	case "exponential":
		return exponentialP(a, many)
	case "Weibull":
		return weibullP(a, many)
	}
	return 1 - belowA(a, many)
}
