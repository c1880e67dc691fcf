package ruleset

import (
	"slices"

	"github.com/open-policy-agent/opa/v1/ast"
)

// allowed are the built-in functions that a rule may use: those that compute
// an answer from the input and the release alone. What reads a clock, a
// network, a random number or the machine it runs on is left out, and so is
// all that rules have no need of; a name is added here when a rule needs it.
var allowed = []string{
	// comparison and unification
	"eq", "equal", "neq", "lt", "lte", "gt", "gte", "assign", "internal.member_2", "internal.member_3",
	// whole-number arithmetic; decimals go through shared/exact
	"plus", "minus", "mul", "div", "rem", "abs", "round", "ceil", "floor", "numbers.range", "numbers.range_step",
	// aggregates
	"count", "sum", "product", "max", "min", "sort",
	// sets, arrays, objects
	"and", "or", "intersection", "union",
	"array.concat", "array.reverse", "array.slice",
	"object.get", "object.keys", "object.union", "object.union_n", "object.remove", "object.filter",
	// text
	"concat", "contains", "endswith", "startswith", "format_int", "indexof", "lower", "upper", "replace", "split",
	"sprintf", "substring", "trim", "trim_left", "trim_prefix", "trim_right", "trim_space", "trim_suffix",
	"strings.any_prefix_match", "strings.any_suffix_match", "strings.count",
	// kinds of values
	"is_array", "is_boolean", "is_null", "is_number", "is_object", "is_set", "is_string", "type_name",
	// moments from text, and days added to them: no clock, and no time zones, whose tables change
	"time.parse_rfc3339_ns", "time.add_date",
}

// Capabilities is what a release may use of the language, and what it is given
// besides.
func Capabilities(extra ...*ast.Builtin) *ast.Capabilities { return capabilities(extra...) }

// capabilities is what a release may use of the language: the allowed
// built-ins, no network, the current language without its experiments.
func capabilities(extra ...*ast.Builtin) *ast.Capabilities {
	all := ast.CapabilitiesForThisVersion()
	c := &ast.Capabilities{
		Features: []string{ast.FeatureRegoV1, ast.FeatureKeywordsInRefs},
		AllowNet: []string{},
	}
	for _, b := range all.Builtins {
		if slices.Contains(allowed, b.Name) && !b.Nondeterministic {
			c.Builtins = append(c.Builtins, b)
		}
	}
	c.Builtins = append(c.Builtins, extra...)
	return c
}
