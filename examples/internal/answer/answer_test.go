package answer

import (
	"bytes"
	"flag"
	"strings"
	"testing"
)

// -h names the files that a program takes, which its flags alone do not.
func TestForm_Flags_usage(t *testing.T) {
	before, usage := flag.CommandLine, flag.Usage
	defer func() { flag.CommandLine, flag.Usage = before, usage }()
	flag.CommandLine = flag.NewFlagSet("test", flag.ContinueOnError)
	var out bytes.Buffer
	flag.CommandLine.SetOutput(&out)
	new(Form).Flags("RECORD.json SIGHTS.csv")
	if flag.Usage(); !strings.Contains(out.String(), " [flags] [RECORD.json SIGHTS.csv] ") || !strings.Contains(out.String(), "-html FILE") {
		t.Error(out.String())
	}
}

// A flag behind a file is not taken for a file.
func TestFiles_flagBehind(t *testing.T) {
	before := flag.CommandLine
	defer func() { flag.CommandLine = before }()
	flag.CommandLine = flag.NewFlagSet("test", flag.ContinueOnError)
	if err := flag.CommandLine.Parse([]string{"RECORD.json", "-json"}); err != nil {
		t.Fatal(err)
	}
	if _, err := Files(nil, nil); err == nil || !strings.Contains(err.Error(), `"-json" behind a file`) {
		t.Error(err)
	}
}
