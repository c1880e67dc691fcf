package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"strings"
	"syscall"
	"testing"

	"github.com/visitgauge/visitgauge/reports"
)

// leftAlone is a report whose reader has left.
type leftAlone struct{}

func (leftAlone) Visit(reports.Visit) error     { return nil }
func (leftAlone) Refused(reports.Refusal) error { return nil }
func (leftAlone) End(reports.Summary) error     { return fmt.Errorf("writing summary: %w", syscall.EPIPE) }

// What ended a run is told even if the reader of the report has left meanwhile.
func TestClosedPipeHushesNoFault(t *testing.T) {
	for name, test := range map[string]struct {
		err  error
		says string // on standard error; "" where nothing may be said
	}{
		"faulty rules": {errors.New("faulty rule x"), "faulty rule x"},
		"none":         {nil, ""},
		"reader left":  {fmt.Errorf("writing report: %w", syscall.EPIPE), ""},
	} {
		teller := &teller{report: leftAlone{}, bar: newProgress(io.Discard)}
		var stderr bytes.Buffer
		if code := exitCode(teller.end(test.err), &stderr); code != exitUnjudged {
			t.Errorf("%s: code %d, want %d", name, code, exitUnjudged)
		}
		if got := stderr.String(); !strings.Contains(got, test.says) || test.says == "" && got != "" {
			t.Errorf("%s: standard error is %q, want %q in it", name, got, test.says)
		}
	}
}
