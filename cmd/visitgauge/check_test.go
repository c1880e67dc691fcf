package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"github.com/visitgauge/visitgauge/engine/stream"
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

// What an output names is left as it was if the run is interrupted, for not all
// formats can say so themselves.
func TestInterruptedLeavesOutput(t *testing.T) {
	for _, folder := range []bool{false, true} {
		dir := t.TempDir()
		path := filepath.Join(dir, "report")
		begin := newOutput
		if folder {
			begin = newFolder
		}
		for _, ended := range []error{stream.ErrInterrupted, errors.New("faulty rule x"), fmt.Errorf("writing: %w", syscall.EPIPE)} {
			out, err := begin(path)
			if err != nil {
				t.Fatal(err)
			}
			var words bytes.Buffer
			told := &teller{report: leftAlone{}, output: out, aside: &words, bar: newProgress(io.Discard)}
			_ = told.end(ended)
			if left, err := os.ReadDir(dir); err != nil || len(left) > 0 {
				t.Errorf("ended by %v: left behind are %v, %v", ended, left, err)
			}
		}
		out, err := begin(path)
		if err != nil {
			t.Fatal(err)
		}
		if err := out.keep(); err != nil {
			t.Fatal(err)
		}
		if left, err := os.ReadDir(dir); err != nil || len(left) != 1 || left[0].Name() != "report" || left[0].IsDir() != folder {
			t.Errorf("kept are %v, %v", left, err)
		}
	}
}
