package reports

import (
	"strings"

	"github.com/visitgauge/visitgauge/engine/verdict"
)

// The escape sequences of ECMA-48, select graphic rendition.
const (
	bold  = "\x1b[1m"
	red   = "\x1b[31m"
	reset = "\x1b[0m"
)

// bold marks a heading.
func (t *Text) bold(s string) string {
	if !t.opt.Color {
		return s
	}
	text := strings.TrimRight(s, "\n")
	return bold + text + reset + s[len(text):]
}

// red marks the word of a line that begins at from.
func (t *Text) red(line string, from int) string {
	if !t.opt.Color {
		return line
	}
	n := strings.IndexAny(line[from:], ": \n")
	if n <= 0 {
		return line
	}
	return line[:from] + red + line[from:from+n] + reset + line[from+n:]
}

// severity is the word for a severity, in capitals where it must not be missed.
func severity(s verdict.Severity) string {
	if s == verdict.Critical {
		return "CRITICAL"
	}
	return string(s)
}
