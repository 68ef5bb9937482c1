package advise

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"example.com/borestack/align"
	"example.com/borestack/align/study"
	"example.com/borestack/tolerance"
)

// Whatever the verdicts and margins, the sentences follow the table: what comes first comes first there, by a number above nothing, or by its verdict and says so.
func TestComparison_sentencesFollowTheOrder(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 9))
	by := regexp.MustCompile(`by (-?[0-9.]+)`)
	said := map[string]int{}
	for range 200 {
		c := &Comparison{Places: []string{"plate"}, Of: align.Output{What: align.Margin}}
		for n := range 2 + r.IntN(6) {
			m := 0.03 * float64(r.IntN(7)-3) / 7
			if r.IntN(3) == 0 {
				m += 1e-13 * r.Float64()
			}
			f := Fit{Picks: []Pick{{"plate", fmt.Sprintf("plate-%d", n), n}}, Result: &Judgement{
				Assembly: &align.Assembly{}, Word: tolerance.Decision(1 + r.IntN(4)), Margin: &study.Verdict{Worst: tolerance.Given(m)},
			}}
			c.stand(&f)
			f.effect = map[string]float64{"own": float64(r.IntN(2)) * 0.02 * r.Float64()}
			c.Fits = append(c.Fits, f)
		}
		slices.SortStableFunc(c.Fits, func(x, y Fit) int { return x.Standing.Compare(y.Standing) })
		c.differ()
		for i := 1; i < len(c.Fits); i++ {
			d := c.Differences[i-1]
			x, y := &c.Fits[d.Better], &c.Fits[d.Worse]
			a, b := pickNames(x.Picks), pickNames(y.Picks)
			s := c.differs(draftOf("", "", tolerance.Millimetres), &d, a, b)
			decides := x.Result.Word.Rank() != y.Result.Word.Rank()
			if !strings.HasPrefix(s, a+" ") || decides != strings.Contains(s, "by its verdict, "+x.Result.Word.String()+" against "+y.Result.Word.String()) {
				t.Fatalf("%v before %v: %s", x.Standing, y.Standing, s)
			}
			if d.By < 0 && !decides {
				t.Fatalf("%v before %v by %v", x.Standing, y.Standing, d.By)
			}
			for _, m := range by.FindAllStringSubmatch(s, -1) {
				if v, err := strconv.ParseFloat(m[1], 64); err != nil || !(v > 0) {
					t.Fatalf("%v before %v: %s", x.Standing, y.Standing, s)
				}
			}
			for _, word := range []string{"verdict", "although", "alike", "can tell", "and by", "no stated"} {
				if strings.Contains(s, word) {
					said[word]++
				}
			}
		}
		var out bytes.Buffer
		if err := c.Page(tolerance.Millimetres).Text(&out); err != nil {
			t.Fatal(err)
		}
		at := -1
		for i := range c.Fits { // the table is in the same order
			p := strings.Index(out.String(), c.Fits[i].Picks[0].Name)
			if p < at {
				t.Fatalf("%s out of order:\n%s", c.Fits[i].Picks[0].Name, out.String())
			}
			at = p
		}
	}
	if len(said) != 6 {
		t.Errorf("not every sentence was tried: %v", said)
	}
}
