package report_test

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"regexp"
	"strings"
	"testing"

	"example.com/borestack/align/record"
	"example.com/borestack/align/report"
	"example.com/borestack/align/study"
)

// markdown is the report for a ticket.
func markdown(t testing.TB, text string) string {
	t.Helper()
	rec, res := studied(t, text)
	var b bytes.Buffer
	if err := report.Markdown(&b, rec, res); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func digest(b []byte) string {
	sum := sha256.Sum256(b)
	return hex.EncodeToString(sum[:])
}

func untyped(t *testing.T, b []byte) any {
	t.Helper()
	var v any
	if err := json.Unmarshal(b, &v); err != nil {
		t.Fatal(err)
	}
	return v
}

// cells are the fields of a row: a bar that is escaped does not end one.
func cells(line string) []string {
	line = strings.ReplaceAll(line, `\\`, "")
	return strings.Split(strings.Trim(strings.ReplaceAll(line, `\|`, ""), "|"), "|")
}

// ticket holds the Markdown form to what it must say: the verdict first, every limit, the digest, and tables whose rows are all as long as their heads.
func ticket(t *testing.T, rec *record.Record, res *study.Result) {
	t.Helper()
	var b, encoded bytes.Buffer
	if err := report.Markdown(&b, rec, res); err != nil {
		t.Fatal(err)
	}
	if err := rec.Encode(&encoded); err != nil {
		t.Fatal(err)
	}
	s := b.String()
	if want := "**" + strings.ToUpper(res.Word.String()) + "**: "; !strings.HasPrefix(s, want) {
		t.Errorf("the verdict does not come first: %.60q", s)
	}
	for _, l := range rec.Limits() {
		if !strings.Contains(s, "`"+l.Path+"`") {
			t.Errorf("the limit at %s is missing", l.Path)
		}
	}
	if !strings.Contains(s, digest(encoded.Bytes())) {
		t.Error("the record's digest is missing")
	}
	columns := 0
	for _, line := range strings.Split(s, "\n") {
		switch row := strings.HasPrefix(line, "|"); {
		case !row:
			columns = 0
		case columns == 0:
			columns = len(cells(line))
		case len(cells(line)) != columns:
			t.Errorf("%d fields below a head of %d: %s", len(cells(line)), columns, line)
		}
		for _, r := range line {
			if r < ' ' {
				t.Errorf("control character %q", r)
			}
		}
	}
}

// No text of the record makes markup, a link, a mention or a heading.
//
// Source: CommonMark 0.31.2, section 2.4: a backslash before ASCII punctuation makes it a plain character.
func TestMarkdown_hostileNamesAreText(t *testing.T) {
	s := markdown(t, hostile())
	for what, bad := range map[string]string{
		"markup":            `(^|[^\\])<[a-zA-Z/!]`,
		"a link":            `(^|[^\\])\]\(`,
		"an address":        `[a-z]://|www\.`,
		"a mention":         `@[A-Za-z0-9]`,
		"a ticket":          `#[0-9]`,
		"an entity":         `(^|[^\\])&[a-z#]`,
		"a heading":         `(?m)^# head`,
		"a list of its own": `(?m)^- (- |1\. )`,
	} {
		if at := regexp.MustCompile(bad).FindStringIndex(s); at != nil {
			t.Errorf("a name makes %s: …%s…", what, s[max(0, at[0]-30):min(len(s), at[1]+30)])
		}
	}
}

// Source: hand calculation: each text with what CommonMark would read as markup made plain.
func TestEscaped(t *testing.T) {
	for in, want := range map[string]string{
		"plate 0.012 mm":  "plate 0.012 mm",
		"case|plate":      `case\|plate`,
		"- a":             `\- a`,
		"---":             `\---`,
		"-0.5":            "-0.5",
		"1. a":            `1\. a`,
		"12) a":           `12\) a`,
		"2.5 mm":          "2.5 mm",
		"a*b_c`d`":        "a\\*b\\_c\\`d\\`",
		"<b>&amp;":        `\<b\>\&amp;`,
		"http://x":        `http\://x`,
		"www.x":           `www\.x`,
		"@team":           "\\@\u2060team",
		"a\n\nb  c":       "a b c",
		"\\":              `\\`,
		"":                "",
		"a\x1b[2J\u202eb": `a \[2J b`,
		"half past 4: ok": "half past 4: ok",
	} {
		if got := report.Escaped(in); got != want {
			t.Errorf("%q: %q, want %q", in, got, want)
		}
	}
}
