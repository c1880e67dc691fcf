package record

import (
	"encoding/json"
	"fmt"
	"regexp"
	"slices"
	"strings"
)

var typeWords = map[string]string{
	"object": "an object", "array": "an array", "string": "a text", "number": "a number",
	"integer": "a whole number", "boolean": "true or false", "null": "null",
}

var numberForm = regexp.MustCompile(`^-?(0|[1-9][0-9]*)(\.[0-9]+)?$`)

// wrongType reports a value of another type than the schema asks for.
func (x *explainer) wrongType(f finding) []flaw {
	wanted := make([]string, len(f.node.Types))
	for i, t := range f.node.Types {
		wanted[i] = typeWords[t]
	}
	takes := func(t string) bool { return slices.Contains(f.node.Types, t) }
	kind := typeWords[typeOf(f.value)]
	message := fmt.Sprintf("%s is %s, and %s takes %s", shown(f.value), kind, f.label(), strings.Join(wanted, " or "))
	mend := x.whatGoes(f, "write "+strings.Join(wanted, " or "))
	switch v := f.value.(type) {
	case nil:
		message = fmt.Sprintf("null is no value that %s takes", f.label())
		mend = "leave it out, or state what was not done"
	case bool, []any:
		message = fmt.Sprintf("%s takes %s, and this is %s", f.label(), strings.Join(wanted, " or "), shown(v))
	case string:
		switch {
		case (takes("number") || takes("integer")) && numberForm.MatchString(v):
			mend = "write " + v + " without quotes"
		case takes("number") || takes("integer"):
			mend = "write a number alone, without quotes; the unit goes into a field of its own"
		case takes("boolean"):
			mend = "write true or false, without quotes"
		}
	case json.Number:
		switch {
		case takes("integer") && strings.Contains(v.String(), "."):
			message = fmt.Sprintf("%s is written with a point, and %s takes a whole number", v, f.label())
			mend = "write it without a point"
			if whole, decimals, _ := strings.Cut(v.String(), "."); strings.Trim(decimals, "0") == "" {
				mend = "write " + whole
			}
		case takes("string"):
			mend = fmt.Sprintf("write it in quotes: \"%s\"", v)
		case takes("boolean"):
			mend = "write true or false"
		}
	case map[string]any:
		message = fmt.Sprintf("%s takes %s, and this is an object", f.label(), strings.Join(wanted, " or "))
		if takes("array") {
			mend = "put it into an array: [ … ]"
		}
	}
	return x.note(f.path, message, mend)
}

// typeOf returns the type of a value, by its name in JSON Schema.
func typeOf(v any) string {
	switch v.(type) {
	case nil:
		return "null"
	case string:
		return "string"
	case json.Number:
		return "number"
	case bool:
		return "boolean"
	case []any:
		return "array"
	default:
		return "object"
	}
}
