package schema

import (
	"bytes"
	"fmt"
	"io"
	"strings"

	"github.com/santhosh-tekuri/jsonschema/v5"
)

// Compile returns a validator for the document that the schema of that name
// describes. Formats are asserted, by [ParseDateTime] and [ParseDate]; arrays
// with x-key are held to it (see [Key]); an integer must be written as one (see
// [PlainInteger]). References reach embedded schemas only, never a file or the
// network.
//
// It compiles anew on each call; keep the result, which may be shared between
// goroutines. Descriptions and examples are kept in it, for use in messages.
func Compile(name string) (*jsonschema.Schema, error) {
	data, err := Read(name)
	if err != nil {
		return nil, err
	}
	return CompileBytes(ID(name), data)
}

// CompileBytes compiles a schema that is not embedded, say one derived from
// data, in the same way as [Compile]. The id is its absolute address.
func CompileBytes(id string, data []byte) (*jsonschema.Schema, error) {
	c := newCompiler()
	if err := c.AddResource(id, bytes.NewReader(data)); err != nil {
		return nil, fmt.Errorf("reading schema %s: %w", id, err)
	}
	s, err := c.Compile(id)
	if err != nil {
		return nil, fmt.Errorf("compiling schema %s: %w", id, err)
	}
	return s, nil
}

func newCompiler() *jsonschema.Compiler {
	c := jsonschema.NewCompiler()
	c.Draft = jsonschema.Draft2020
	c.AssertFormat = true
	c.ExtractAnnotations = true
	c.LoadURL = loadEmbedded
	c.Formats["date-time"] = isDateTime
	c.Formats["date"] = isDate
	c.RegisterExtension(KeyKeyword, nil, keyCompiler{})
	c.RegisterExtension(plainIntegerName, nil, plainIntegerCompiler{})
	return c
}

// loadEmbedded takes the place of the library's loader, which would open files.
func loadEmbedded(url string) (io.ReadCloser, error) {
	file, ok := strings.CutPrefix(url, Base)
	if !ok {
		return nil, fmt.Errorf("loading %q: only embedded schemas are loaded, which start with %s", url, Base)
	}
	return FS.Open(file)
}
