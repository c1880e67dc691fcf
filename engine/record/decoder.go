package record

import (
	"cmp"
	"errors"
	"fmt"
	"slices"

	"github.com/santhosh-tekuri/jsonschema/v5"
)

// A Decoder turns bytes into records. It may be shared between goroutines.
type Decoder struct {
	visit *jsonschema.Schema
	lim   Limits
}

// NewDecoder returns a decoder of records of the schema given, one that package
// schema compiled.
func NewDecoder(visit *jsonschema.Schema, lim Limits) *Decoder {
	return &Decoder{visit: visit, lim: lim.filled()}
}

// Decode returns the record that the bytes are, or an error of type [Problems]
// with all that is wrong with them; never both. Source is what they were read
// from and firstLine, from 1, the line of it that they start on, both for the
// problems only. The record keeps the bytes, which must not be changed after.
//
// A flaw of syntax hides what comes after it; everything else is reported
// together. A problem that only follows from another is left out: a field that
// is required because another has a certain value is not asked for while that
// value is itself in question. An error of another type says that the schema is
// at fault, not the record.
func (d *Decoder) Decode(source string, firstLine int, data []byte) (*Record, error) {
	if int64(len(data)) > d.lim.Bytes {
		return nil, Problems{tooLarge(source, firstLine, d.lim.Bytes)}
	}
	v, flaws := scan(data, d.lim)
	object, isObject := v.(map[string]any)
	switch {
	case v == nil && len(flaws) > 0:
		// nothing to hold against the schema
	case !isObject:
		flaws = append(flaws, flaw{
			offset:  tokenStart(data, newTokens(data)),
			message: "a record is a JSON object, and this is " + shown(v),
			mend:    "hand in one visit as one object; several go one a line into a file whose name ends in .jsonl",
		})
	default:
		found, err := d.validate(object, firstLine, data, flaws)
		if err != nil {
			return nil, err
		}
		flaws = append(flaws, found...)
	}
	if len(flaws) > 0 {
		return nil, problems(source, firstLine, data, flaws)
	}
	return newRecord(object, data, firstLine), nil
}

// validate holds the record against the schema. What lies at or below a flaw
// already known is not reported again.
func (d *Decoder) validate(object map[string]any, firstLine int, data []byte, known []flaw) ([]flaw, error) {
	err := d.visit.Validate(object)
	if err == nil {
		return nil, nil
	}
	var invalid *jsonschema.ValidationError
	if !errors.As(err, &invalid) {
		return nil, fmt.Errorf("holding the record against its schema: %w", err)
	}
	x := &explainer{root: d.visit, record: object, at: locate(data), lineOf: func(offset int) int {
		line, _ := lineColumn(data, firstLine, offset)
		return line
	}}
	return x.explain(invalid, known), nil
}

// problems puts flaws into the order of the document and gives each its line
// and column.
func problems(source string, firstLine int, data []byte, flaws []flaw) Problems {
	slices.SortStableFunc(flaws, func(a, b flaw) int {
		return cmp.Or(cmp.Compare(a.offset, b.offset), slices.Compare(a.path, b.path), cmp.Compare(a.message, b.message))
	})
	ps := make(Problems, 0, min(len(flaws), MaxProblems+1))
	for i, f := range flaws {
		line, column := lineColumn(data, firstLine, f.offset)
		if i == MaxProblems {
			ps = append(ps, Problem{
				Source: source, Line: line, Column: column,
				Message: fmt.Sprintf("%d more problems from here on are not listed", len(flaws)-i),
				Mend:    "mend those listed, and hand the record in again",
			})
			break
		}
		ps = append(ps, Problem{
			Source: source, Line: line, Column: column,
			Pointer: f.path.pointer(), Message: f.message, Mend: f.mend,
		})
	}
	return ps
}

func tooLarge(source string, firstLine int, limit int64) Problem {
	return Problem{
		Source: source, Line: firstLine, Column: 1,
		Message: fmt.Sprintf("the record has more than %d bytes", limit),
		Mend:    "hand in the record of one visit, without pictures, or raise the limit",
	}
}
