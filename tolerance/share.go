package tolerance

// Share is what one named thing has of a whole: a source of a variance, a support of what governs.
// The zero value is nothing of nothing.
type Share struct {
	Name  string
	Share float64 // 0 to 1 of the whole
}
