module example.com/borestack/testdata/reach

go 1.26

require golang.org/x/tools v0.36.0

require (
	golang.org/x/mod v0.27.0 // indirect
	golang.org/x/sync v0.16.0 // indirect
)
