package record

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"strconv"
	"sync"
	"time"

	"github.com/visitgauge/visitgauge/schema"
)

// A Record is a visit as it was handed in, accepted by a [Decoder]. It is read
// only and may be shared between goroutines.
type Record struct {
	value map[string]any
	raw   []byte

	digest func() string
	place  func(pointer string) (line, column int, ok bool)
}

func newRecord(value map[string]any, raw []byte, firstLine int) *Record {
	return &Record{
		value: value,
		raw:   raw,
		// Both are asked for of few records of many, and cost a pass over the bytes.
		digest: sync.OnceValue(func() string { return Digest(raw) }),
		place:  Places(raw, firstLine),
	}
}

// Value returns the record as objects (map[string]any), arrays ([]any), texts,
// booleans and numbers (json.Number, as written). The caller must not change
// it.
func (r *Record) Value() map[string]any { return r.value }

// Raw returns the bytes as handed in, which the caller must not change. Of a
// line of a stream they are the line without its end.
func (r *Record) Raw() []byte { return r.raw }

// Digest returns "sha256:" and the SHA-256 sum, in hexadecimal, of the bytes as
// handed in: see [Record.Raw].
func (r *Record) Digest() string { return r.digest() }

// Digest returns "sha256:" and the SHA-256 sum, in hexadecimal, of the bytes of a
// record as handed in.
func Digest(raw []byte) string {
	sum := sha256.Sum256(raw)
	return "sha256:" + hex.EncodeToString(sum[:])
}

// At returns the value at a JSON pointer (RFC 6901), of the kinds that
// [Record.Value] names, or false where the record has none. The caller must not
// change it.
func (r *Record) At(pointer string) (any, bool) { return resolve(r.value, pointer) }

// Text returns the number, text or boolean at a JSON pointer (RFC 6901) as it
// was written: 1.260 stays "1.260", and a text stands without its quotes. It
// returns false where the record has no such value, or an object or array.
func (r *Record) Text(pointer string) (string, bool) {
	v, _ := r.At(pointer)
	switch v := v.(type) {
	case string:
		return v, true
	case json.Number:
		return v.String(), true
	case bool:
		return strconv.FormatBool(v), true
	}
	return "", false
}

// Position returns where the value at a JSON pointer starts, as line and column
// are counted in [Problem]. It returns false where the record has no such
// value.
func (r *Record) Position(pointer string) (line, column int, ok bool) { return r.place(pointer) }

// ID returns the id of the visit.
func (r *Record) ID() string { return r.text("/id") }

// Serial returns the serial number of the machine, as read from its plate.
func (r *Record) Serial() string { return r.text("/machine/serial") }

// Class returns the class of the machine.
func (r *Record) Class() string { return r.text("/machine/class") }

// Kind returns the kind of visit: "service", say.
func (r *Record) Kind() string { return r.text("/kind") }

// Level returns the service level: "full", say, or "none".
func (r *Record) Level() string { return r.text("/service_level") }

// EndedAs returns how the visit ended: "completed", say.
func (r *Record) EndedAs() string { return r.text("/ended_as") }

// Started returns when the visit started, with the offset it was written with.
func (r *Record) Started() time.Time { return r.time("/started") }

// Ended returns when the visit ended, with the offset it was written with.
func (r *Record) Ended() time.Time { return r.time("/ended") }

// LocalDay returns the day on which the visit started where it started, as
// year-month-day: the day as written, whatever day it was in UTC.
func (r *Record) LocalDay() string {
	started := r.text("/started")
	if len(started) < len(time.DateOnly) {
		return ""
	}
	return started[:len(time.DateOnly)]
}

// text returns the text at the pointer, and nothing where the schema that the
// record was accepted by does not ask for one.
func (r *Record) text(pointer string) string {
	s, _ := r.Text(pointer)
	return s
}

func (r *Record) time(pointer string) time.Time {
	// The zero time stands for a field that the schema does not ask for; with
	// the schema of a visit it cannot happen.
	t, _ := schema.ParseDateTime(r.text(pointer))
	return t
}
