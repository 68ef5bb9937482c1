package align

import (
	"testing"

	"example.com/borestack/align/internal/shaftline"
)

// The worst margin over the float of three joints, as every sample of a study with joints that lie anywhere asks for it.
func BenchmarkOver_worst(b *testing.B) {
	s := bedWithJoints()
	s.Shafts[0].Supports[3].Kind, s.Shafts[0].Supports[3].Width = Bush, 30
	for i := range s.Joints {
		s.Joints[i].Engagement.Given, s.Joints[i].Engagement.Value = true, 8
	}
	k := newKernel(s, newLayout(&s))
	if err := k.solve(); err != nil {
		b.Fatal(err)
	}
	o := k.newOver()
	for b.Loop() {
		if _, err := o.worst(shaftline.ByMargin, -1); err != nil {
			b.Fatal(err)
		}
	}
}
