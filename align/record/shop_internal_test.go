package record

import (
	"errors"
	"regexp"
	"strings"
	"testing"

	"example.com/borestack/fault"
)

// shopped is the page's first skeleton with a shop.
func shopped(t *testing.T, shop string) (*Record, error) {
	t.Helper()
	skeleton := strings.TrimSpace(skeletons.FindStringSubmatch(readPage(t))[1])
	return Decode(strings.NewReader(strings.TrimSuffix(skeleton, "}") + ", " + shop + "}"))
}

// The page's shop is one that the page's first skeleton takes, written again as it was read.
func TestShop_page(t *testing.T) {
	shop := regexp.MustCompile("(?s)```json\n(\"shop\".*?)```").FindStringSubmatch(readPage(t))
	if shop == nil {
		t.Fatal("RECORD.md shows no shop")
	}
	r, err := shopped(t, shop[1])
	if err != nil {
		t.Fatal(err)
	}
	var b strings.Builder
	if err := r.Encode(&b); err != nil {
		t.Fatal(err)
	}
	again := decoded(t, b.String())
	if got := again.Shop; got.Skims[0].Least.Text != "13.75" || !*got.Skims[0].Wedge || got.Push != nil || got.Dowels[0].Steps[2].Text != "0.533" {
		t.Errorf("%+v", got)
	}
}

func TestShop_faults(t *testing.T) {
	for shop, c := range map[string]struct {
		at, want string
		class    error
	}{
		`{"skim": []}`:            {"/skim", "skims", errUnknownKey},
		`{"push": 1}`:             {"/push", "true or false", errWrongType},
		`{"turn_over": ["plat"]}`: {"/turn_over/0", `perhaps "plate"`, fault.ErrUnknownName},
		`{"reclock": [{"part": "plate", "holes": 1}]}`:              {"/reclock/0/holes", "2 to 360", fault.ErrOutOfRange},
		`{"reclock": [{"part": "plate", "holes": 2.5}]}`:            {"/reclock/0/holes", "2 to 360", fault.ErrOutOfRange},
		`{"offset_dowels": [{"joint": "x|y", "steps": [1]}]}`:       {"/offset_dowels/0/joint", "a joint", fault.ErrUnknownName},
		`{"offset_dowels": [{"joint": "case|plate"}]}`:              {"/offset_dowels/0/steps", "this key", fault.ErrMissing},
		`{"shims": [{"joint": "tail|case"}]}`:                       {"/shims/0/joint", "a joint", fault.ErrUnknownName},
		`{"skims": [{"face": "plate/bore", "stock": 1}]}`:           {"/skims/0/face", "a face", fault.ErrUnknownName},
		`{"skims": [{"face": "tail/rear", "stock": 1}]}`:            {"/skims/0/face", "a face", fault.ErrUnknownName},
		`{"skims": [{"face": "plate/rear", "stock": 0}]}`:           {"/skims/0/stock", "more than 0", fault.ErrOutOfRange},
		`{"redowel": [{"joint": "case|plate", "most": 1e9}]}`:       {"/redowel/0/most", "100 m", fault.ErrOutOfRange},
		`{"bores": [{"bore": "bush", "most": 1}]}`:                  {"/bores/0/bore", "a bore", fault.ErrUnknownName},
		`{"keep": ["plate/middle"]}`:                                {"/keep/0", "part, face or bore", fault.ErrUnknownName},
		`{"pairs": 21}`:                                             {"/pairs", "0 to 20", fault.ErrOutOfRange},
		`{"clock_step": 0.05}`:                                      {"/clock_step", "0.1 to 90", fault.ErrOutOfRange},
		`{"clock_step": 91}`:                                        {"/clock_step", "0.1 to 90", fault.ErrOutOfRange},
		`{"within": -1}`:                                            {"/within", "0 or more", fault.ErrOutOfRange},
		`{"bores": [{"bore": "tail/bush", "offsets": [0.1, "a"]}]}`: {"/bores/0/offsets/1", "a number", errWrongType},
	} {
		_, err := shopped(t, `"shop": `+shop)
		var f *fault.FieldError
		if !errors.As(err, &f) || f.Path != "/shop"+c.at || !strings.Contains(f.Want, c.want) || !errors.Is(err, c.class) {
			t.Errorf("%s: %v", shop, err)
		}
	}
}
