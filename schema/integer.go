package schema

import (
	"encoding/json"
	"strings"

	"github.com/santhosh-tekuri/jsonschema/v5"
)

const plainIntegerName = "plain-integer"

// PlainInteger goes with every schema of type integer. By the standard 1.0 and
// 1e0 are integers too; but a rule that prints one as part of a subject's name
// would print it otherwise than 1, and the subject would not be found.
type PlainInteger struct{}

var (
	_ jsonschema.ExtSchema   = PlainInteger{}
	_ jsonschema.ExtCompiler = plainIntegerCompiler{}
)

// Validate refuses a number that is written with a point or an exponent.
func (PlainInteger) Validate(ctx jsonschema.ValidationContext, v any) error {
	if n, ok := v.(json.Number); ok && strings.ContainsAny(n.String(), ".eE") {
		return ctx.Error("type", "%s must be written as an integer", n)
	}
	return nil
}

type plainIntegerCompiler struct{}

func (plainIntegerCompiler) Compile(_ jsonschema.CompilerContext, m map[string]any) (jsonschema.ExtSchema, error) {
	if m["type"] != "integer" {
		return nil, nil
	}
	return PlainInteger{}, nil
}
