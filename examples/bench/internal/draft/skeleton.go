package draft

import (
	"bytes"
	"embed"
	"fmt"
)

//go:embed skeletons
var skeletons embed.FS

// Start is a skeleton to start from.
type Start struct{ Name, Title, file string }

// Starts are the skeletons, the empty one last. Every number in them is invented.
func Starts() []Start {
	return []Start{
		{"three", "Three supports in case, plate and tail", "three.json"},
		{"crank", "A housing on a crank", "crank.json"},
		{"shield", "The end shields of a motor or pump", "shield.json"},
		{"empty", "Empty", "empty.json"},
	}
}

// Skeleton is the draft of a start's name.
func Skeleton(name string) (*Draft, error) {
	for _, s := range Starts() {
		if s.Name != name {
			continue
		}
		text, err := skeletons.ReadFile("skeletons/" + s.file)
		if err != nil {
			return nil, fmt.Errorf("draft: %w", err)
		}
		return Open(bytes.NewReader(text))
	}
	return nil, fmt.Errorf("draft: no skeleton is named %q", name)
}
