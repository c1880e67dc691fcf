package main

import (
	"bytes"
	"io"
	"slices"

	"github.com/spf13/pflag"

	"github.com/visitgauge/visitgauge/reports/workshop"
)

// replayFormat says how a replay is written.
type replayFormat struct{ format, output string }

// replayFormats are the forms of a replay; those of recorded verdicts alone are text,
// markdown and json.
var replayFormats = []string{"text", "markdown", "html", "json", "csv"}

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
	var result any = done.replay
	if done.replay == nil {
		result = done.reproduction
	}
	data, err := workshop.Render(workshop.JSON, result, nil)
	if err != nil {
		return err
	}
	b.Write(data)
	return emit(to, "replay", b.Bytes())
}
