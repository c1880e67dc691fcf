package main

import (
	"errors"
	"io"

	"github.com/spf13/cobra"

	"github.com/visitgauge/visitgauge/engine/history"
	"github.com/visitgauge/visitgauge/engine/judge"
	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/reports"
)

// oneCase is one record with all that it is judged with.
type oneCase struct {
	judge.Case
	decoder *record.Decoder
	tracker *history.Tracker
	// refusedEarlier tells that an earlier visit could not be read, which was said.
	refusedEarlier bool
}

// one reads the one record at path, and the earlier visits that the flags name.
func (f *caseFlags) one(cmd *cobra.Command, path string) (*oneCase, error) {
	if err := f.check([]string{path}); err != nil {
		return nil, err
	}
	out := &oneCase{}
	var err error
	if out.decoder, err = f.decoder(); err != nil {
		return nil, err
	}
	words := reports.NewJSON(io.Discard, cmd.ErrOrStderr(), reports.JSONOptions{})
	out.tracker, err = f.history(cmd.Context(), out.decoder, cmd.InOrStdin(), func(ps record.Problems) error {
		out.refusedEarlier = true
		return words.Refused(refusal(ps, true))
	})
	if err != nil {
		return nil, err
	}
	var found *record.Item
	for item := range record.NewReader([]string{path}, cmd.InOrStdin(), f.limits).All() {
		if found != nil {
			return nil, usage("%s: %s holds more than one record\nname a file of one, or hand in one line", cmd.Name(), path)
		}
		found = &item
	}
	err = found.Err
	var rec *record.Record
	if err == nil {
		rec, err = out.decoder.Decode(found.Source, found.FirstLine, found.Data)
	}
	var problems record.Problems
	if errors.As(err, &problems) {
		if err := words.Refused(refusal(problems, false)); err != nil {
			return nil, err
		}
		return nil, &exitError{code: exitUnjudged}
	}
	if err != nil {
		return nil, err
	}
	out.Case = judge.Case{Record: rec, Earlier: out.tracker.Earlier(rec), Received: f.received}
	return out, nil
}

// end is what a command ends with that showed the case: the error of showing it, else
// that an earlier visit was refused.
func (c *oneCase) end(err error) error {
	if err == nil && c.refusedEarlier {
		return &exitError{code: exitUnjudged}
	}
	return err
}
