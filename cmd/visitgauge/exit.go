package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strings"
	"syscall"

	"github.com/visitgauge/visitgauge/engine/stream"
)

// The exit codes besides 0, which says that every visit was judged and passed.
const (
	exitFailed   = 1 // a visit is not accepted, or is what --fail-on names
	exitUsage    = 2 // wrong usage; nothing was judged
	exitUnjudged = 3 // something could not be judged
)

// exitCodes is the part of a command's help that lists them.
const exitCodes = `Exit codes:
  0  every visit was judged and is accepted
  1  a visit is not accepted, or the machine is as --fail-on says
  2  wrong usage; nothing was judged
  3  something could not be judged: a record or saved verdict was refused, no
     release was in force, the rules are at fault, the run was interrupted, or
     the output could not be written
Of 1 and 3 the greater one is given.`

// exitError ends the program with a code. An error that is none of these ends it
// with exitUnjudged.
type exitError struct {
	code int
	err  error // nil where all was said in the report
}

func (e *exitError) Error() string {
	if e.err == nil {
		return fmt.Sprintf("exit code %d", e.code)
	}
	return e.err.Error()
}

func (e *exitError) Unwrap() error { return e.err }

// usage is an error of wrong usage.
func usage(format string, args ...any) error {
	return &exitError{code: exitUsage, err: fmt.Errorf(format, args...)}
}

// exitCode is the code for an error, which it tells of where it was not told yet.
func exitCode(err error, stderr io.Writer) int {
	if err == nil {
		return 0
	}
	code := exitUnjudged
	told := errors.Is(err, syscall.EPIPE) // nobody is there to be told
	var exit *exitError
	if errors.As(err, &exit) {
		code = exit.code
		told = told || exit.err == nil
	}
	if told {
		return code
	}
	text := err.Error()
	if errors.Is(err, context.Canceled) {
		text = strings.ReplaceAll(text, context.Canceled.Error(), stream.ErrInterrupted.Error())
	}
	if _, err := fmt.Fprintf(stderr, "visitgauge: %s\n", text); err != nil {
		return exitUnjudged
	}
	return code
}
