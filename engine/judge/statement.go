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

// perhaps is a part of a rule's texts in square brackets.
var perhaps = regexp.MustCompile(`\[[^\[\]]*\]`)

// fill puts the subject and the facts into a text. Facts of one name are joined
// in order; what is not there prints as not recorded, so that a gap is seen. A part
// in square brackets is said only where all of its facts are there.
func fill(text, subject string, facts []verdict.Fact) string {
	byName := map[string][]string{"{subject}": {subject}}
	for _, f := range facts {
		if f.Name == "subject" {
			continue
		}
		key := "{" + f.Name + "}"
		byName[key] = append(byName[key], f.Text)
	}
	text = perhaps.ReplaceAllStringFunc(text, func(part string) string {
		for _, name := range placeholder.FindAllString(part, -1) {
			if texts := byName[name]; len(texts) == 0 || slices.Contains(texts, NotRecorded) {
				return ""
			}
		}
		return part[1 : len(part)-1]
	})
	var b strings.Builder
	rest := 0
	for _, at := range placeholder.FindAllStringIndex(text, -1) {
		b.WriteString(text[rest:at[0]])
		rest = at[1]
		word := NotRecorded
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

// list joins texts as a sentence does, each said once: a, b and c. Subjects of one
// kind are told together, with its word once: the battery and cells B1.1 and B1.2.
// What holds a comma or an "and" of its own is set apart by semicolons.
func list(texts []string) string {
	var parts []string
	var named []string // the names that follow the words of a part, by part
	between, last := ", ", " and "
	for i, t := range texts {
		if slices.Contains(texts[:i], t) {
			continue
		}
		words, _, ok := kindOf(t)
		if ok && slices.Contains(named, words) {
			continue
		}
		if ok {
			named = append(named, words)
			t = together(words, texts)
		}
		parts = append(parts, t)
	}
	for _, p := range parts {
		if strings.Contains(p, ",") || (strings.Contains(p, " and ") && len(parts) > 2) {
			between, last = "; ", "; and "
		}
	}
	if len(parts) == 2 {
		last = " and "
	}
	if len(parts) == 1 {
		return parts[0]
	}
	return strings.Join(parts[:len(parts)-1], between) + last + parts[len(parts)-1]
}

// together tells all names that stand after the same words: cells B1.1 and B1.2.
func together(words string, texts []string) string {
	var names []string
	for _, t := range texts {
		if w, name, ok := kindOf(t); ok && w == words && !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	if len(names) == 1 {
		return words + " " + names[0]
	}
	return words + "s " + strings.Join(names[:len(names)-1], ", ") + " and " + names[len(names)-1]
}

// kinds are the words that subjects begin with.
var kinds = []string{"block", "cell", "item", "link", "meter", "post", "reading", "step", "tag"}

// kindOf splits a text that ends in the name of a subject: "before step" and
// "brake".
func kindOf(text string) (words, name string, ok bool) {
	cut := strings.LastIndexByte(text, ' ')
	if cut < 0 {
		return "", "", false
	}
	words, name = text[:cut], text[cut+1:]
	return words, name, slices.Contains(kinds, words[strings.LastIndexByte(words, ' ')+1:])
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
