package reports

import (
	"fmt"
	"io"

	"github.com/visitgauge/visitgauge/engine/verdict"
	"github.com/visitgauge/visitgauge/reports/internal/lines"
)

// JSONOptions say how verdicts are written. The zero value writes them in
// canonical form.
type JSONOptions struct {
	// Terminal writes as \uXXXX what a terminal would obey: canonical JSON leaves
	// some of that as it is. A line is then the same verdict, and not canonical.
	Terminal bool
}

// JSON writes one verdict a line, as canonical JSON (RFC 8785), and nothing else.
// What is no verdict is told in words to another writer: a reader of the lines
// need not tell the two apart.
type JSON struct {
	out   io.Writer
	words words
	opt   JSONOptions
}

var _ Report = (*JSON)(nil)

// NewJSON returns a report that writes verdicts to out, and in words the problems
// of what was refused and the summary to aside.
func NewJSON(out, aside io.Writer, opt JSONOptions) *JSON {
	return &JSON{out: out, words: words{aside}, opt: opt}
}

// Visit writes the verdict and a line feed.
func (j *JSON) Visit(v Visit) error {
	line, err := verdict.Encode(v.Verdict)
	if err != nil {
		return err
	}
	if j.opt.Terminal {
		line = []byte(lines.Plain(string(line))) // whose escapes are those of JSON
	}
	if _, err := j.out.Write(append(line, '\n')); err != nil {
		return fmt.Errorf("writing verdict of visit %q: %w", v.Verdict.Visit.ID, err)
	}
	return nil
}

// Refused writes the problems in words.
func (j *JSON) Refused(r Refusal) error { return j.words.refused(r) }

// End writes the summary in words.
func (j *JSON) End(s Summary) error { return j.words.end(s) }
