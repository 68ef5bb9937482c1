package main

import (
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
)

// change is one deliberate break.
type change struct {
	line      int      // of the list, where it begins
	what      string   // which formula, and how it is broken
	under     string   // folder, from the module's root, in whose files the fragment stands once
	find, put string   // the fragment, and what takes its place
	tests     []string // packages whose tests must notice
	first     string   // regular expression of tests that are tried first; empty: all at once
}

// parse reads the list: blocks of "key: value", one blank line or more between them.
func parse(text string) ([]*change, error) {
	var out []*change
	var b *change
	end := func() error {
		if b == nil {
			return nil
		}
		for key, v := range map[string]string{"break": b.what, "under": b.under, "find": b.find, "tests": strings.Join(b.tests, " ")} {
			if v == "" {
				return fmt.Errorf("line %d: no %q", b.line, key)
			}
		}
		if b.find == b.put {
			return fmt.Errorf("line %d: find and put are the same", b.line)
		}
		if _, err := regexp.Compile(b.first); err != nil {
			return fmt.Errorf("line %d: %w", b.line, err)
		}
		out, b = append(out, b), nil
		return nil
	}
	for i, line := range strings.Split(text, "\n") {
		line = strings.TrimSpace(line)
		if line == "" {
			if err := end(); err != nil {
				return nil, err
			}
			continue
		}
		if strings.HasPrefix(line, "#") {
			continue
		}
		if b == nil {
			b = &change{line: i + 1}
		}
		key, value, _ := strings.Cut(line, ":")
		if err := b.set(key, strings.TrimSpace(value)); err != nil {
			return nil, fmt.Errorf("line %d: %w", i+1, err)
		}
	}
	return out, end()
}

func (b *change) set(key, value string) error {
	switch key {
	case "break":
		b.what = value
	case "under":
		b.under = value
	case "find":
		b.find = value
	case "put":
		b.put = value
	case "tests":
		b.tests = strings.Fields(value)
	case "first":
		b.first = value
	default:
		return fmt.Errorf("%q: want break, under, find, put, tests or first", key)
	}
	return nil
}

// matching are the breaks that an expression picks; an empty one picks all.
func matching(breaks []*change, only string) ([]*change, error) {
	pick, err := regexp.Compile(only)
	if err != nil {
		return nil, err
	}
	var out []*change
	for _, b := range breaks {
		if pick.MatchString(b.what + " " + b.under + " " + strings.Join(b.tests, " ")) {
			out = append(out, b)
		}
	}
	if len(out) == 0 {
		return nil, fmt.Errorf("no break matches %q", only)
	}
	return out, nil
}

// apply finds the one file under the folder that holds the fragment, once, and breaks its text.
func (b *change) apply(root string) (file, broken string, err error) {
	times := 0
	err = filepath.WalkDir(filepath.Join(root, b.under), func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() && d.Name() == "testdata" {
			return fs.SkipDir
		}
		if d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return nil
		}
		text, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		if n := strings.Count(string(text), b.find); n > 0 {
			times += n
			file, broken = path, strings.Replace(string(text), b.find, b.put, 1)
		}
		return nil
	})
	if err == nil && times != 1 {
		err = fmt.Errorf("line %d of the list: under %s the fragment\n%s\nis found %d times: want once. The formula moved or was written anew: give the break its new text", b.line, b.under, b.find, times)
	}
	return file, broken, err
}
