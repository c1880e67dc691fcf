package reports

import (
	"fmt"
	"io"

	"github.com/visitgauge/visitgauge/engine/verdict"
)

// JSON writes one verdict a line, as canonical JSON (RFC 8785), and nothing else.
// What is no verdict is told in words to another writer: a reader of the lines
// need not tell the two apart.
type JSON struct {
	out, words io.Writer
}

var _ Report = (*JSON)(nil)

// NewJSON returns a report that writes verdicts to out, and in words the problems
// of refused records and the summary to words.
func NewJSON(out, words io.Writer) *JSON { return &JSON{out: out, words: words} }

// Visit writes the verdict and a line feed.
func (j *JSON) Visit(v Visit) error {
	line, err := verdict.Encode(v.Verdict)
	if err != nil {
		return err
	}
	if _, err := j.out.Write(append(line, '\n')); err != nil {
		return fmt.Errorf("writing verdict of visit %q: %w", v.Verdict.Visit.ID, err)
	}
	return nil
}

// Refused writes the problems in words.
func (j *JSON) Refused(r Refusal) error {
	return write(j.words, "problems", refusal(r))
}

// End writes the summary in words.
func (j *JSON) End(s Summary) error {
	return write(j.words, "summary", summary(s))
}

// write writes one piece of a report.
func write(to io.Writer, what, text string) error {
	if _, err := io.WriteString(to, text); err != nil {
		return fmt.Errorf("writing %s: %w", what, err)
	}
	return nil
}
