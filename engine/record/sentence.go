package record

import (
	"fmt"
	"maps"
	"math/big"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/santhosh-tekuri/jsonschema/v5"

	"github.com/visitgauge/visitgauge/schema"
)

// sentences says what a finding means: as many flaws as there are fields or
// elements concerned.
func (x *explainer) sentences(f finding) []flaw {
	if f.node == nil {
		return x.otherwise(f)
	}
	switch f.keyword {
	case "":
		return x.notAllowed(f)
	case "type":
		return x.wrongType(f)
	case "required":
		return x.missing(f)
	case "additionalProperties":
		return x.unknown(f)
	case "const":
		return x.notConstant(f)
	case "enum":
		return x.notListed(f)
	case "minimum", "maximum", "exclusiveMinimum", "exclusiveMaximum":
		return x.outOfRange(f)
	case "format":
		return x.wrongFormat(f)
	case "pattern":
		return x.note(f.path, fmt.Sprintf("%s is not in the form that %s takes", shown(f.value), f.label()),
			x.whatGoes(f, "it must match "+f.node.Pattern.String()))
	case "minLength":
		return x.tooShort(f)
	case "maxLength":
		return x.tooLong(f)
	case "minItems":
		return x.note(f.path, fmt.Sprintf("%s has fewer elements than %d", f.label(), f.node.MinItems), x.whatGoes(f, "add what is missing"))
	case "maxItems":
		return x.note(f.path, fmt.Sprintf("%s has more elements than %d", f.label(), f.node.MaxItems), x.whatGoes(f, "take out what does not belong there"))
	case "minProperties":
		return x.tooFewFields(f)
	case schema.KeyKeyword:
		return x.repeated(f)
	}
	return x.otherwise(f)
}

// otherwise reports in the library's words what this package has none for. The
// schemas of this program do not lead here; that of a caller may.
func (x *explainer) otherwise(f finding) []flaw {
	return x.note(f.path, f.label()+": "+f.library, x.whatGoes(f, "compare it with the schema"))
}

func (x *explainer) notAllowed(f finding) []flaw {
	mend := "take it out"
	if n := len(f.conditions); n > 0 {
		mend = "take it out, or mend " + listed(texts(f.conditions[n-1].fields()), "and")
	}
	return x.close(f.path, f.label()+" is not allowed"+f.where(), mend)
}

// missing reports each required field that is not there, at the object. A field
// that an unknown one is taken for is not reported a second time.
func (x *explainer) missing(f finding) []flaw {
	object, _ := f.value.(map[string]any)
	names := slices.DeleteFunc(slices.Clone(f.node.Required), func(name string) bool {
		_, given := object[name]
		return given || slices.Contains(x.meant[f.path.pointer()], name)
	})
	if len(names) == 0 {
		return nil
	}
	if n := len(f.conditions); n > 0 && f.conditions[n-1].wantsField() {
		return x.neither(f, f.conditions[n-1].fields(), names)
	}
	var flaws []flaw
	for _, name := range names {
		flaws = append(flaws, flaw{
			offset: x.at[f.path.pointer()].value, path: f.path,
			message: quoted(name) + " is missing" + f.where(),
			mend:    "add it" + describedField(x.schemaOf(f.path.with(name))),
		})
	}
	return flaws
}

// neither reports, in one, that a field is not there and that those are not
// there either which must stand in its place.
func (x *explainer) neither(f finding, field, instead []string) []flaw {
	first, others := listed(texts(field), "and"), listed(texts(instead), "and")
	verb := "are"
	mend := fmt.Sprintf("give %s, or else %s", first, others)
	if len(instead) == 1 {
		verb = "is"
		mend += describedField(x.schemaOf(f.path.with(instead[0])))
	}
	return []flaw{{
		offset: x.at[f.path.pointer()].value, path: f.path,
		message: fmt.Sprintf("%s is not given, and %s %s missing in its place", first, others, verb), mend: mend,
	}}
}

// unknown reports each field that the object does not take, at its name.
func (x *explainer) unknown(f finding) []flaw {
	object, _ := f.value.(map[string]any)
	here := f.path.pointer()
	known := slices.Sorted(maps.Keys(f.node.Properties))
	absent := slices.DeleteFunc(slices.Clone(known), func(name string) bool { _, given := object[name]; return given })
	var flaws []flaw
	for _, name := range slices.Sorted(maps.Keys(object)) {
		if slices.Contains(known, name) {
			continue
		}
		mend := "fields here are " + strings.Join(known, ", ")
		if near, ok := closest(name, absent); ok {
			mend = "did you mean " + quoted(near) + "?"
			x.meant[here] = append(x.meant[here], near)
		} else if near, ok := closest(name, known); ok {
			mend = fmt.Sprintf("did you mean %s? That is given already", quoted(near))
		}
		p := f.path.with(name)
		found := x.close(p, "unknown field "+quoted(name), mend)
		found[0].offset = x.at[p.pointer()].name
		flaws = append(flaws, found...)
	}
	return flaws
}

func (x *explainer) notConstant(f finding) []flaw {
	value := shown(f.node.Constant[0])
	if f.isVersion() {
		return x.note(f.path, shown(f.value)+" is a record schema that is not known here",
			"hand in a record of schema "+value+", or use a program that knows the other one")
	}
	return x.note(f.path, fmt.Sprintf("%s is not what %s takes", shown(f.value), f.label()), "write "+value)
}

func (x *explainer) notListed(f finding) []flaw {
	if f.path.last() == "unit" {
		return x.wrongUnit(f)
	}
	mend := "it takes " + listed(f.node.Enum, "or")
	if text, ok := f.value.(string); ok {
		if near, ok := closest(text, words(f.node.Enum)); ok {
			mend = "did you mean " + quoted(near) + "? " + strings.ToUpper(mend[:1]) + mend[1:]
		}
	}
	return x.note(f.path, fmt.Sprintf("%s is not a value that %s takes", shown(f.value), f.label()), mend)
}

// outOfRange prints the number as it was written, and the bound as an exact
// decimal: the library would print both as binary floats.
func (x *explainer) outOfRange(f finding) []flaw {
	written := shown(f.value)
	var message string
	switch f.keyword {
	case "minimum":
		message = fmt.Sprintf("%s is less than the smallest value allowed, %s", written, decimal(f.node.Minimum))
	case "maximum":
		message = fmt.Sprintf("%s is more than the largest value allowed, %s", written, decimal(f.node.Maximum))
	case "exclusiveMinimum":
		message = fmt.Sprintf("%s is not more than %s", written, decimal(f.node.ExclusiveMinimum))
	case "exclusiveMaximum":
		message = fmt.Sprintf("%s is not less than %s", written, decimal(f.node.ExclusiveMaximum))
	}
	mend := "look at the number and its unit again"
	if points, ok := asGravityPoints(x.record, f); ok {
		mend = "a gravity is given as in " + points + ", with the point"
	}
	return x.note(f.path, message, mend)
}

func (x *explainer) wrongFormat(f finding) []flaw {
	text, _ := f.value.(string)
	var reason error
	mend := ""
	switch f.node.Format {
	case "date-time":
		_, reason = schema.ParseDateTime(text)
		mend = "write date, time and offset from UTC, as in 2026-05-04T08:10:00+02:00"
	case "date":
		_, reason = schema.ParseDate(text)
		mend = "write year, month and day, as in 2026-05-04"
	}
	if reason == nil {
		return x.note(f.path, fmt.Sprintf("%s is not in the form that %s takes", shown(f.value), f.label()),
			x.whatGoes(f, "it must be in the format "+f.node.Format))
	}
	return x.note(f.path, shown(f.value)+" "+reason.Error(), mend)
}

func (x *explainer) tooShort(f finding) []flaw {
	if f.value == "" {
		return x.note(f.path, f.label()+" is empty", x.whatGoes(f, "write something"))
	}
	return x.note(f.path, fmt.Sprintf("the text has fewer characters than %d", f.node.MinLength), x.whatGoes(f, "write more"))
}

func (x *explainer) tooLong(f finding) []flaw {
	text, _ := f.value.(string)
	return x.note(f.path, tooLong(utf8.RuneCountInString(text), f.node.MaxLength), "shorten it")
}

// tooFewFields leaves an empty object to the field that is missing from it, if
// one is asked for by name.
func (x *explainer) tooFewFields(f finding) []flaw {
	if f.node.If != nil || len(f.node.Required) > 0 {
		return nil
	}
	return x.note(f.path, fmt.Sprintf("%s has fewer fields than %d", f.label(), f.node.MinProperties),
		"fields here are "+strings.Join(slices.Sorted(maps.Keys(f.node.Properties)), ", "))
}

// repeated reports each element whose key an earlier one has, at the key.
func (x *explainer) repeated(f finding) []flaw {
	key, _ := f.node.Extensions[schema.KeyKeyword].(schema.Key)
	array, _ := f.value.([]any)
	var flaws []flaw
	for _, r := range key.Repeats(array) {
		first := f.path.with(fmt.Sprint(r.First)).with(key.Property)
		again := f.path.with(fmt.Sprint(r.Index)).with(key.Property)
		value, _ := descend(x.record, again)
		flaws = append(flaws, x.note(again,
			fmt.Sprintf("%s %s occurs twice in %s, first in line %d", key.Property, shown(value), f.label(), x.lineOf(x.at[first.pointer()].value)),
			"keep the element that is right, or give each its own "+quoted(key.Property))...)
	}
	return flaws
}

// decimal returns a bound of a schema as an exact decimal.
func decimal(r *big.Rat) string {
	digits, exact := r.FloatPrec()
	if !exact {
		return r.RatString() // cannot be: schemas are written in decimals
	}
	return r.FloatString(digits)
}

// whatGoes returns what the schema says about the value, as a mend; the
// fallback where it says nothing.
func (x *explainer) whatGoes(f finding, fallback string) string {
	text := describedField(x.schemaOf(f.path))
	if text == "" {
		return fallback
	}
	if after, ok := strings.CutPrefix(text, ", "); ok {
		return "write it " + after
	}
	return "what goes here" + text
}

// describedField returns what a schema says about a field, to be put after its
// name: ": block and number in it, as in "B1.2"".
func describedField(s *jsonschema.Schema) string {
	text, sample := "", ""
	for ; s != nil; s = s.Ref {
		if text == "" && s.Description != "" {
			text = ": " + lowerFirst(strings.TrimSuffix(s.Description, "."))
		}
		switch {
		case sample != "":
		case len(s.Examples) > 0:
			sample = ", as in " + shown(s.Examples[0])
		case len(s.Constant) > 0:
			sample = ", as in " + shown(s.Constant[0])
		case len(s.Enum) > 0:
			sample = "; it takes " + listed(s.Enum, "or")
		}
	}
	return text + sample
}

// lowerFirst returns the sentence with its first letter in lower case, so that
// it can follow a colon; abbreviations keep theirs.
func lowerFirst(sentence string) string {
	letters := []rune(sentence)
	if len(letters) > 1 && unicode.IsUpper(letters[0]) && !unicode.IsUpper(letters[1]) {
		letters[0] = unicode.ToLower(letters[0])
	}
	return string(letters)
}
