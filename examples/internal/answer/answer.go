// Package answer reads what a program is asked about and writes what it has found, as its user asks for
// it: text, Markdown or JSON, one page of the web, and pictures into a folder.
package answer

import (
	"bytes"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"example.com/borestack/align/record"
	"example.com/borestack/align/sheet"
	"example.com/borestack/tolerance"
)

// Form is how an answer is wanted. The zero value is text alone.
type Form struct {
	Markdown, JSON bool
	HTML           string // file for a page of the web; empty: none
	Folder         string // for pictures; empty: none
}

// Flags adds the flags of a form to those of the program, and what -h says: which files it takes.
func (f *Form) Flags(files string) {
	flag.Usage = func() {
		fmt.Fprintf(flag.CommandLine.Output(), "usage: %s [flags] [%s]   (none: invented data that the program carries)\n", filepath.Base(os.Args[0]), files)
		flag.PrintDefaults()
	}
	flag.BoolVar(&f.Markdown, "markdown", false, "print Markdown")
	flag.BoolVar(&f.JSON, "json", false, "print JSON")
	flag.StringVar(&f.HTML, "html", "", "write one page with its pictures into this `FILE`")
	flag.StringVar(&f.Folder, "svg", "", "write pictures into this `DIR`ectory, made where it is not there")
}

// Write writes a page: the files that are wanted, and text.
func (f Form) Write(out io.Writer, page *sheet.Page) error {
	if f.JSON && f.Markdown {
		return errors.New("-json or -markdown, not both")
	}
	if err := f.save(page); err != nil {
		return err
	}
	switch {
	case f.JSON:
		return page.JSON(out)
	case f.Markdown:
		return page.Markdown(out)
	}
	return page.Text(out)
}

// save writes the files that are wanted.
func (f Form) save(page *sheet.Page) error {
	if f.HTML != "" {
		var b bytes.Buffer
		if err := page.HTML(&b); err != nil {
			return err
		}
		if err := os.WriteFile(f.HTML, b.Bytes(), 0o644); err != nil {
			return err
		}
	}
	if f.Folder == "" {
		return nil
	}
	drawn, err := page.Pictures()
	if err == nil && len(drawn) == 0 {
		return errors.New("-svg: this answer has no pictures")
	}
	if err == nil {
		err = os.MkdirAll(f.Folder, 0o755)
	}
	if err != nil {
		return err
	}
	for name, text := range drawn {
		err = errors.Join(err, os.WriteFile(filepath.Join(f.Folder, name+".svg"), text, 0o644))
	}
	return err
}

// Files reads the files that the program was given, or takes what it carries where it was given none.
func Files(carried ...[]byte) ([][]byte, error) {
	for _, name := range flag.Args() {
		if len(name) > 1 && name[0] == '-' {
			return nil, fmt.Errorf("%q behind a file: flags stand before the files", name)
		}
	}
	switch flag.NArg() {
	case 0:
		return carried, nil
	case len(carried):
	default:
		return nil, fmt.Errorf("%d files: want %d, or none for what the program carries; -h names them", flag.NArg(), len(carried))
	}
	out := make([][]byte, len(carried))
	var err error
	for i := range out {
		if out[i], err = os.ReadFile(flag.Arg(i)); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// Record reads a record, and the unit of its lengths.
func Record(text []byte) (*record.Record, tolerance.Unit, error) {
	rec, err := record.Decode(bytes.NewReader(text))
	if err != nil {
		return nil, 0, err
	}
	unit, err := tolerance.ParseUnit(rec.Units.Length)
	return rec, unit, err
}

// End ends a program: with what went wrong and status 2, where something did.
func End(program string, err error) {
	if err != nil {
		fmt.Fprintf(os.Stderr, "%s: %v\n", program, err)
		os.Exit(2)
	}
}
