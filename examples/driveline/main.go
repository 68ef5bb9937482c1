// Command driveline is a stub until the demonstration is there.
package main

import (
	"fmt"
	"os"

	"example.com/borestack/align/record"
	"example.com/borestack/align/report"
	"example.com/borestack/align/study"
)

func main() {
	f, err := os.Open(os.Args[1])
	if err != nil {
		fmt.Println(err)
		os.Exit(3)
	}
	rec, err := record.Decode(f)
	if err != nil {
		fmt.Println(err)
		os.Exit(2)
	}
	res, err := study.Run(rec)
	if err != nil {
		fmt.Println(err)
		os.Exit(3)
	}
	if err := report.JSON(os.Stdout, rec, res); err != nil {
		fmt.Println(err)
		os.Exit(3)
	}
	switch res.Word {
	case study.Pass:
	default:
		os.Exit(1)
	}
}
