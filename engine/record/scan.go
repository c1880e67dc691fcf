package record

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strconv"
	"unicode/utf8"

	"github.com/go-json-experiment/json/jsontext"
)

// A flaw is a problem that does not know its source yet, with its place in
// bytes from the start of the record.
type flaw struct {
	offset        int
	path          path
	message, mend string
	closing       bool // nothing else about the value is worth saying
}

// errStopped says that a flaw was noted after which the rest cannot be read.
var errStopped = errors.New("reading stopped")

// A scanner builds the value of a record from its tokens, and notes what is
// wrong with how it is written.
type scanner struct {
	data  []byte
	dec   *jsontext.Decoder
	lim   Limits
	path  path
	flaws []flaw
}

// scan returns the value of the record, and all flaws in how it is written. The
// value is nil if the rest could not be read after one of them. Where a value
// is flawed, something harmless stands in its place.
func scan(data []byte, lim Limits) (any, []flaw) {
	if f, bad := unreadable(data); bad {
		return nil, []flaw{f}
	}
	s := &scanner{data: data, dec: newTokens(data), lim: lim}
	v, err := s.value()
	if err == nil {
		err = s.end()
	}
	if err != nil {
		return nil, s.flaws
	}
	return v, s.flaws
}

// value reads one value whole.
func (s *scanner) value() (any, error) {
	start := tokenStart(s.data, s.dec)
	tok, err := s.dec.ReadToken()
	if err != nil {
		return nil, s.syntax(err)
	}
	switch tok.Kind() {
	case '{':
		return s.object(start)
	case '[':
		return s.array(start)
	case '"':
		text := tok.String()
		s.length(start, text)
		return text, nil
	case '0':
		text := tok.String()
		if message, mend := numberFlaw(text); message != "" {
			s.note(start, message, mend)
			return json.Number("0"), nil
		}
		return json.Number(text), nil
	case 't':
		return true, nil
	case 'f':
		return false, nil
	default:
		return nil, nil
	}
}

func (s *scanner) object(start int) (any, error) {
	if err := s.depth(start); err != nil {
		return nil, err
	}
	object := make(map[string]any)
	for n := 1; s.dec.PeekKind() != '}'; n++ {
		at := tokenStart(s.data, s.dec)
		tok, err := s.dec.ReadToken()
		if err != nil {
			return nil, s.syntax(err)
		}
		name := tok.String()
		s.path = append(s.path, name)
		if n > s.lim.Members {
			return nil, s.stop(at, fmt.Sprintf("the object has more than %d fields", s.lim.Members),
				"hand in the record of one visit, or raise the limit")
		}
		s.length(at, name)
		_, twice := object[name]
		if twice {
			s.note(at, fmt.Sprintf("the field %s is given twice in one object", quoted(name)),
				"keep the one that is right, and take the other out")
		}
		v, err := s.value()
		if err != nil {
			return nil, err
		}
		if !twice {
			object[name] = v
		}
		s.path = s.path[:len(s.path)-1]
	}
	if _, err := s.dec.ReadToken(); err != nil {
		return nil, s.syntax(err)
	}
	return object, nil
}

func (s *scanner) array(start int) (any, error) {
	if err := s.depth(start); err != nil {
		return nil, err
	}
	array := []any{}
	for s.dec.PeekKind() != ']' {
		s.path = append(s.path, strconv.Itoa(len(array)))
		if len(array) == s.lim.Members {
			return nil, s.stop(tokenStart(s.data, s.dec), fmt.Sprintf("the array has more than %d elements", s.lim.Members),
				"hand in the record of one visit, or raise the limit")
		}
		v, err := s.value()
		if err != nil {
			return nil, err
		}
		array = append(array, v)
		s.path = s.path[:len(s.path)-1]
	}
	if _, err := s.dec.ReadToken(); err != nil {
		return nil, s.syntax(err)
	}
	return array, nil
}

// end demands that nothing follows the record.
func (s *scanner) end() error {
	at := tokenStart(s.data, s.dec)
	_, err := s.dec.ReadToken()
	if err == io.EOF {
		return nil
	}
	s.path = nil
	return s.stop(at, "there is more after the end of the record",
		"hand in one record a file, or one a line in a file whose name ends in .jsonl")
}

// depth demands that the container just opened is not too deep.
func (s *scanner) depth(start int) error {
	if s.dec.StackDepth() <= s.lim.Depth {
		return nil
	}
	return s.stop(start, fmt.Sprintf("objects and arrays are nested more than %d levels deep", s.lim.Depth),
		"a visit needs fewer levels: look for a bracket that is not closed")
}

// length demands that a text or name is not too long.
func (s *scanner) length(start int, text string) {
	if len(text) <= s.lim.String {
		return
	}
	if n := utf8.RuneCountInString(text); n > s.lim.String {
		s.note(start, tooLong(n, s.lim.String), "shorten it")
	}
}

func tooLong(n, limit int) string {
	return fmt.Sprintf("the text has %d characters, more than %d", n, limit)
}

func (s *scanner) note(offset int, message, mend string) {
	s.flaws = append(s.flaws, flaw{
		offset: offset, path: append(path(nil), s.path...), message: message, mend: mend,
	})
}

func (s *scanner) stop(offset int, message, mend string) error {
	s.note(offset, message, mend)
	return errStopped
}

// syntax notes an error of the tokenizer.
func (s *scanner) syntax(err error) error {
	offset := len(s.data)
	var se *jsontext.SyntacticError
	if errors.As(err, &se) {
		offset = int(se.ByteOffset)
	}
	at, message, mend := syntaxSentence(s.data, offset)
	return s.stop(at, message, mend)
}
