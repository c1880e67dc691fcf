package judge

import (
	"regexp"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/visitgauge/visitgauge/engine/ruleset"
	"github.com/visitgauge/visitgauge/engine/verdict"
)

// placeholder is {name} in a rule's texts.
var placeholder = regexp.MustCompile(`\{[A-Za-z0-9_-]+\}`)

// Placeholders lists the names that a text of a rule wants filled.
func Placeholders(text string) []string {
	var names []string
	for _, p := range placeholder.FindAllString(text, -1) {
		names = append(names, p[1:len(p)-1])
	}
	return names
}

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
			word = strings.Join(texts, " and ")
		}
		if startsSentence(b.String()) {
			word = capitalised(word)
		}
		b.WriteString(word)
	}
	b.WriteString(text[rest:])
	return b.String()
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
