package record

// Classes of faults in cells of a table.
var (
	ErrAmbiguous = errAmbiguous
	ErrNotNumber = errNotNumber
)

// LawKinds are the names of laws, for tests.
func LawKinds() []string { return lawKinds() }

// LawWords are all keys of laws.
func LawWords() []string {
	out := append(lawKinds(), "shift")
	for _, f := range lawForms() {
		for _, k := range f.more {
			out = append(out, k.key)
		}
	}
	return out
}
