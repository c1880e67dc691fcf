package judge

import (
	"regexp"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/visitgauge/visitgauge/engine/ruleset"
	"github.com/visitgauge/visitgauge/engine/verdict"
)

// placeholder is {name} in a rule's texts.
var placeholder = regexp.MustCompile(`\{[A-Za-z0-9_-]+\}`)

// Template is the text of the rule that an outcome is stated with.
func Template(rule ruleset.Rule, o verdict.Outcome) string {
	if o.Outcome == verdict.Nonconforming {
		return rule.Says
	}
	switch {
	case o.Because == verdict.Limit && rule.NeedsLimit != "":
		return rule.NeedsLimit
	case o.Because == verdict.State && rule.NeedsState != "":
		return rule.NeedsState
	}
	return rule.Needs
}

// fill puts the subject and the facts into a text. Facts of one name are joined
// in order; what is not there prints as not recorded, so that a gap is seen.
func fill(text, subject string, facts []verdict.Fact) string {
	byName := map[string][]string{"{subject}": {subject}}
	for _, f := range facts {
		if f.Name == "subject" {
			continue
		}
		key := "{" + f.Name + "}"
		byName[key] = append(byName[key], f.Text)
	}
	var b strings.Builder
	rest := 0
	for _, at := range placeholder.FindAllStringIndex(text, -1) {
		b.WriteString(text[rest:at[0]])
		rest = at[1]
		word := notRecorded
		if texts := byName[text[at[0]:at[1]]]; len(texts) > 0 {
			word = list(texts)
		}
		if startsSentence(b.String()) {
			word = capitalised(word)
		}
		b.WriteString(word)
	}
	b.WriteString(text[rest:])
	return b.String()
}

// list joins texts as a sentence does, each said once: a, b and c. Texts that hold
// a comma themselves are set apart by semicolons.
func list(texts []string) string {
	var once []string
	between := ", "
	for _, t := range texts {
		if slices.Contains(once, t) {
			continue
		}
		once = append(once, t)
		if strings.Contains(t, ",") {
			between = "; "
		}
	}
	if len(once) == 1 {
		return once[0]
	}
	return strings.Join(once[:len(once)-1], between) + " and " + once[len(once)-1]
}

// startsSentence reports whether what follows before begins a sentence.
func startsSentence(before string) bool {
	before = strings.TrimRight(before, " ")
	return before == "" || strings.HasSuffix(before, ".") || strings.HasSuffix(before, "?") || strings.HasSuffix(before, "!")
}

func capitalised(word string) string {
	r, n := utf8.DecodeRuneInString(word)
	return string(unicode.ToUpper(r)) + word[n:]
}
