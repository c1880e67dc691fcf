package main

import (
	"os"

	"golang.org/x/term"
)

// isTerminal tells whether a stream is a terminal.
func isTerminal(stream any) bool {
	f, ok := stream.(*os.File)
	return ok && term.IsTerminal(int(f.Fd()))
}

// wantsColor tells whether colour may be written to a stream: it is a terminal
// that knows any, and NO_COLOR is not set.
func wantsColor(stream any) bool {
	return isTerminal(stream) && os.Getenv("NO_COLOR") == "" && os.Getenv("TERM") != "dumb"
}
