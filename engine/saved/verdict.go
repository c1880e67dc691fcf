// Package saved reads back what an earlier run wrote: verdicts, and the records
// that they were judged from.
//
// Start at [NewDecoder], which turns one item of the input into a verdict or says
// in plain words why it is none, and at [Records], which finds the record of
// a verdict by its digest. [Sheets] lays a record out again by the release that
// judged it. The package judges nothing, and holds one verdict and the records of
// one machine at a time.
package saved

import (
	"errors"
	"regexp"
	"strings"

	"github.com/santhosh-tekuri/jsonschema/v5"

	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/engine/verdict"
	"github.com/visitgauge/visitgauge/schema"
)

// A Decoder reads saved verdicts. It may be shared between goroutines.
type Decoder struct {
	schema *jsonschema.Schema
	// words finds what is wrong with one that is none, with line and column.
	words *record.Decoder
}

// NewDecoder returns a decoder. The limits are on one verdict.
func NewDecoder(lim record.Limits) (*Decoder, error) {
	s, err := schema.Compile("verdict")
	if err != nil {
		return nil, err
	}
	return &Decoder{schema: s, words: record.NewDecoder(s, lim)}, nil
}

// Decode returns the verdict that an item holds, or an error of type
// [record.Problems] with all that is wrong with it; never both. An error of
// another type says that the schema is at fault.
func (d *Decoder) Decode(item record.Item) (*verdict.Verdict, error) {
	if item.Err != nil {
		return nil, worded(item.Err)
	}
	v, err := verdict.Decode(d.schema, item.Data)
	if err == nil {
		return v, nil
	}
	if _, why := d.words.Decode(item.Source, item.FirstLine, item.Data); why != nil {
		return nil, worded(why)
	}
	// Each part is as it should be; they do not agree with one another.
	return nil, record.Problems{{
		Source: item.Source, Line: item.FirstLine, Column: 1,
		Message: err.Error(),
		Mend:    "hand in the verdict as it was written, or judge the record again",
	}}
}

// worded speaks of verdicts where problems speak of records, whose reader and
// decoder are used for both.
func worded(err error) error {
	var ps record.Problems
	if !errors.As(err, &ps) {
		return err
	}
	out := make(record.Problems, len(ps))
	for i, p := range ps {
		p.Message, p.Mend = ofVerdicts(p.Message), ofVerdicts(p.Mend)
		out[i] = p
	}
	return out
}

var wordRecord = regexp.MustCompile(`\brecord\b`)

// ofVerdicts changes the word outside quotes alone: within them stands what was
// handed in.
func ofVerdicts(sentence string) string {
	parts := strings.Split(sentence, `"`)
	for i := 0; i < len(parts); i += 2 {
		parts[i] = wordRecord.ReplaceAllString(parts[i], "verdict")
	}
	return strings.Join(parts, `"`)
}
