package schema

import (
	"sync"

	"github.com/santhosh-tekuri/jsonschema/v5"
)

// A Validator holds documents against one embedded schema as [Compile] does,
// but pays for the schema library only when a document is not plainly valid.
// Compiling the schema of a visit takes about as long as everything else that a
// short run does together, and the library's walk over a record longer than
// reading it. It may be shared between goroutines.
type Validator struct {
	quick    *rule // nil where the schema has a keyword that rule does not know
	compiled func() (*jsonschema.Schema, error)
}

// NewValidator returns a validator for the document that the schema of that
// name describes.
func NewValidator(name string) (*Validator, error) {
	if _, err := Read(name); err != nil {
		return nil, err
	}
	quick, err := quickRule(name)
	if err != nil {
		return nil, err
	}
	return &Validator{
		quick:    quick,
		compiled: sync.OnceValues(func() (*jsonschema.Schema, error) { return Compile(name) }),
	}, nil
}

// Validate returns nil if the document is valid, and else the library's error,
// a *jsonschema.ValidationError. Numbers must be of type json.Number.
func (v *Validator) Validate(document any) error {
	if v.quick != nil && v.quick.holds(document) {
		return nil
	}
	s, err := v.compiled()
	if err != nil {
		return err
	}
	return s.Validate(document)
}

// Compiled returns the compiled schema, which is compiled on the first call.
func (v *Validator) Compiled() (*jsonschema.Schema, error) { return v.compiled() }
