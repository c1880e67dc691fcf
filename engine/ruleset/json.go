package ruleset

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"unicode/utf8"
)

// parseJSON reads a JSON file: numbers keep their text, every value has its
// place, a repeated member name is refused.
func parseJSON(file string, data []byte) (*document, Problems) {
	if p, ok := textProblem(file, data); !ok {
		return nil, Problems{p}
	}
	r := jsonReader{doc: newDocument(file), data: data, dec: json.NewDecoder(bytes.NewReader(data))}
	r.dec.UseNumber()
	r.line, r.lineStart = 1, 0
	value, err := r.value("", 0)
	if err == nil {
		if _, err = r.dec.Token(); errors.Is(err, io.EOF) {
			err = nil
		} else if err == nil {
			err = errors.New("more follows after the end of the document")
		}
	}
	if err != nil {
		at := r.place(r.dec.InputOffset())
		var syntax *json.SyntaxError
		if errors.As(err, &syntax) {
			at = r.place(max(syntax.Offset-1, 0))
		}
		if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
			err = errors.New("the document breaks off")
		}
		r.problems = append(r.problems, Problem{File: file, Line: at.line, Column: at.column, Message: err.Error(), Mend: "correct the JSON here or just before"})
	}
	if len(r.problems) > 0 {
		return nil, r.problems
	}
	r.doc.value = value
	return r.doc, nil
}

type jsonReader struct {
	doc      *document
	data     []byte
	dec      *json.Decoder
	problems Problems

	scanned   int64 // up to here lines are counted
	line      int
	lineStart int64
}

// place turns a byte offset into line and column. Offsets mostly grow, so
// lines are counted on from the last one.
func (r *jsonReader) place(offset int64) place {
	if offset < r.scanned {
		r.scanned, r.line, r.lineStart = 0, 1, 0
	}
	offset = min(offset, int64(len(r.data)))
	for ; r.scanned < offset; r.scanned++ {
		if r.data[r.scanned] == '\n' {
			r.line++
			r.lineStart = r.scanned + 1
		}
	}
	return place{r.line, utf8.RuneCount(r.data[r.lineStart:offset]) + 1}
}

// next is the place of the token that comes next.
func (r *jsonReader) next() place {
	i := r.dec.InputOffset()
	for i < int64(len(r.data)) && bytes.IndexByte([]byte(" \t\r\n,:"), r.data[i]) >= 0 {
		i++
	}
	return r.place(i)
}

func (r *jsonReader) value(pointer string, depth int) (any, error) {
	if depth > maxDepth {
		return nil, fmt.Errorf("nested more than %d deep", maxDepth)
	}
	at := r.next()
	r.doc.at[pointer] = at
	token, err := r.dec.Token()
	if err != nil {
		return nil, err
	}
	switch t := token.(type) {
	case json.Delim:
		if t == '{' {
			return r.object(pointer, depth)
		}
		list := []any{}
		for r.dec.More() {
			v, err := r.value(childPointer(pointer, len(list)), depth+1)
			if err != nil {
				return nil, err
			}
			list = append(list, v)
		}
		_, err := r.dec.Token()
		return list, err
	case json.Number:
		if fault := plainNumber(t.String()); fault != "" {
			r.problems = append(r.problems, Problem{File: r.doc.file, Line: at.line, Column: at.column, Message: fault, Mend: "write 0.001 rather than 1e-3"})
		}
	}
	return token, nil
}

func (r *jsonReader) object(pointer string, depth int) (any, error) {
	object := map[string]any{}
	for r.dec.More() {
		at := r.next()
		token, err := r.dec.Token()
		if err != nil {
			return nil, err
		}
		name, _ := token.(string)
		child := childPointer(pointer, name)
		if first, ok := r.doc.keys[child]; ok {
			r.problems = append(r.problems, Problem{
				File: r.doc.file, Line: at.line, Column: at.column,
				Message: fmt.Sprintf("the member %q stands here a second time, the first is on line %d", name, first.line),
				Mend:    "keep one of the two",
			})
		}
		r.doc.keys[child] = at
		v, err := r.value(child, depth+1)
		if err != nil {
			return nil, err
		}
		object[name] = v
	}
	_, err := r.dec.Token()
	return object, err
}
