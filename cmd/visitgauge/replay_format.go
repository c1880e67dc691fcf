package main

import (
	"bytes"
	"io"
	"slices"

	"github.com/spf13/pflag"

	words "github.com/visitgauge/visitgauge/reports/replay"
	"github.com/visitgauge/visitgauge/reports/workshop"
)

// replayFormat says how a replay is written.
type replayFormat struct{ format, output string }

// The forms of a replay, and those of recorded verdicts by themselves.
var (
	replayFormats       = []string{"text", "markdown", "html", "json", "csv"}
	reproductionFormats = []string{"text", "markdown", "json"}
)

func (f *replayFormat) add(flags *pflag.FlagSet) {
	flags.StringVar(&f.format, "format", "text", "write text, markdown, html, json or csv")
	flags.StringVar(&f.output, "output", "", "write to `FILE`, which gets its name once the report is whole (default: standard output)")
}

func (f *replayFormat) check() error {
	if !slices.Contains(replayFormats, f.format) {
		return usage("--format %q: it is text, markdown, html, json or csv", f.format)
	}
	return nil
}

// open begins the output; one without a path keeps to what it is given.
func (f *replayFormat) open(stdout io.Writer) (*replayOutput, error) {
	if f.output == "" {
		return &replayOutput{Writer: stdout}, nil
	}
	o, err := newOutput(f.output)
	if err != nil {
		return nil, err
	}
	return &replayOutput{Writer: o, file: o}, nil
}

// replayOutput is where a replay is written.
type replayOutput struct {
	io.Writer
	file *output // nil on standard output
}

func (o *replayOutput) keep() error {
	if o.file == nil {
		return nil
	}
	return o.file.keep()
}

func (o *replayOutput) drop() error {
	if o.file == nil {
		return nil
	}
	return o.file.drop()
}

// write writes what was done.
func (f *replayFormat) write(to io.Writer, done replayed) error {
	var b bytes.Buffer
	var err error
	switch {
	case done.replay != nil && f.format == "html":
		err = words.HTML(&b, done.replay)
	case done.replay != nil && f.format == "csv":
		err = words.CSV(&b, done.replay)
	default:
		var result any = done.reproduction
		page := words.Reproduction{Reproduction: done.reproduction}.Page
		if done.replay != nil {
			result, page = done.replay, words.Report{Replay: done.replay}.Page
		}
		var data []byte
		data, err = workshop.Render(workshop.Format(f.format), result, page)
		b.Write(data)
	}
	if err != nil {
		return err
	}
	return emit(to, "replay", b.Bytes())
}
