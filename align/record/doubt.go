package record

// Doubt is something that the record says and that cannot be relied on: a slip of the hand, judged from the record alone. While it stands, nothing that rests on it passes.
type Doubt struct {
	Path    string   // JSON Pointer to what is in doubt
	Why     string   // in words, with the numbers
	Numbers []string // JSON Pointers to the numbers in doubt; what follows from any of them cannot be relied on
}

// String says where and why.
func (d Doubt) String() string { return d.Path + ": " + d.Why }

// Doubts lists what cannot be relied on, in the order of the record, candidates included.
func (r *Record) Doubts() []Doubt { return nil }
