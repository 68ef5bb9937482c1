package draw_test

import (
	"io"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"example.com/borestack/align/draw"
)

// Boxes at the edge of what can be drawn: every picture of them is lawful, and says what is the matter.
func TestPictures_edges(t *testing.T) {
	perfect := strings.NewReplacer(`"centre":[0.03,-0.01,-100]`, `"centre":[0,0,-100]`, `"centre":[-0.03,0.05,50]`, `"centre":[0,0,50]`, `"slope":[0.0004,0]`, `"slope":[0,0]`)
	none := strings.NewReplacer(`"clearance":0.12,"runout":0.02`, `"clearance":0`, `"clearance":0.1`, `"clearance":0`, `"clearance":0.2`, `"clearance":0`)
	peg := `"pins":[{"dowel":"peg","diameter":8,"pressed":"front"}]`
	for name, tt := range map[string]struct{ record, says string }{
		"no line at all":       {none.Replace(threeBores), "no straight line passes"},
		"perfect":              {perfect.Replace(threeBores), "0 % of every clearance"},
		"perfect, no room":     {none.Replace(perfect.Replace(threeBores)), "straight shafts"},
		"no room by far":       {strings.Replace(threeBores, `"centre":[0,0,100]`, `"centre":[9,0,100]`, 1), "no room"},
		"does not assemble":    {strings.Replace(loose(peg), `"centre":[80,0],"diameter":8.01`, `"centre":[80.5,0],"diameter":8.01`, 1), "does not assemble"},
		"measured float":       {loose(`"float":{"x":0.01,"y":0,"turn":0}`), "straight shafts"},
		"hanging":              {loose(`"lies":"hang"`), "straight shafts"},
		"anywhere":             {loose(peg), "as they are pushed"},
		"gasket, press fit":    {strings.Replace(loose(`"gasket":{"thickness":0.5}`), `"diameter":149.96`, `"diameter":150.02`, 1), "straight shafts"},
		"pilot leads":          {strings.Replace(threeBores, `"kind":"spigot","centre":[0,0],"diameter":150`, `"kind":"spigot","centre":[0,0],"diameter":149.99,"slope":[0.003,0]`, 1), "straight shafts"},
		"a metre across, tiny": {strings.ReplaceAll(threeBores, `"length":"mm"`, `"length":"um"`), "straight shafts"},
		"the demonstration":    {demonstration(t), "straight shafts have room"},
	} {
		t.Run(name, func(t *testing.T) {
			text := tt.record
			if name == "pilot leads" {
				text = strings.Replace(text, `{"lies":"rest"}`, `{"lies":"rest","rules":"pilot","engagement":8}`, 1)
			}
			_, a := decoded(t, text)
			every(t, a, rand.New(rand.NewPCG(1, 1)), draw.Options{})
			n := picture(t, func(w io.Writer) error { return draw.ShaftLine(w, a, draw.Options{}) })
			if d := strings.ToLower(n.child("desc").Text); !strings.Contains(d, strings.ToLower(tt.says)) {
				t.Errorf("does not say %q: %s", tt.says, d)
			}
			if d := n.child("desc").Text; name == "does not assemble" && strings.Contains(strings.ToLower(d), "straight shafts") {
				t.Errorf("speaks of room in a box that does not assemble: %s", d)
			}
			if name == "pilot leads" && a.Joints[0].Gap.Greatest == 0 {
				t.Error("the pilot does not lead")
			}
		})
	}
}

// In every state the parts of the sketch meet where the results put them: one part ends where the next begins, but for a gasket.
func TestStack_partsMeetWarm(t *testing.T) {
	s, _ := decoded(t, demonstration(t))
	warm, err := s.InState("warm")
	if err != nil {
		t.Fatal(err)
	}
	a, err := warm.Solve()
	if err != nil {
		t.Fatal(err)
	}
	n := picture(t, func(w io.Writer) error { return draw.Stack(w, a, draw.Options{}) })
	edges := func(part string) (from, to float64) {
		p := n.groups("part", part)[0].child("path").points(t)
		return p[0][0], p[1][0]
	}
	_, rear := edges("plate")
	if front, _ := edges("tail"); math.Abs(rear-front) > printed {
		t.Errorf("the plate ends at %g, the tail begins at %g", rear, front)
	}
	// Source: hand calculation: 180 mm of cast aluminium (A356, 21.5e-6/K) 45 K warmer are 180.174 mm, told to a hundredth
	if d := n.child("desc").Text; !strings.Contains(d, "part case from z 0 to 180.17") {
		t.Errorf("the case is as at 20 °C: %s", d)
	}
}
