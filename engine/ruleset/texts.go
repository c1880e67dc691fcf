package ruleset

import (
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strings"

	"github.com/open-policy-agent/opa/v1/ast"
)

var placeholderName = regexp.MustCompile(`^[a-z][a-z0-9_]*$`)

// SubjectPlaceholder is the placeholder for the subject itself.
const SubjectPlaceholder = "subject"

// Placeholders lists the names in braces of a text, in the order they stand
// there, and says what is wrong with the braces, if anything.
func Placeholders(text string) (names []string, err error) {
	rest := text
	for {
		i := strings.IndexAny(rest, "{}")
		if i < 0 {
			return names, nil
		}
		if rest[i] == '}' {
			return names, fmt.Errorf("a closing brace without an opening one in %q", text)
		}
		end := strings.IndexByte(rest[i:], '}')
		if end < 0 {
			return names, fmt.Errorf("an opening brace without a closing one in %q", text)
		}
		name := rest[i+1 : i+end]
		if !placeholderName.MatchString(name) {
			return names, fmt.Errorf("%q is no placeholder: a name is of small letters, digits and _", "{"+name+"}")
		}
		names = append(names, name)
		rest = rest[i+end+1:]
	}
}

// checkTexts checks the placeholders of a rule's texts, against the names of
// its facts where these are written out, and the limits that facts name.
func (l *loader) checkTexts(m module) {
	facts, complete := l.factsOf(m)
	if m.kind == ruleFile {
		l.checkPlaceholders(m, facts, complete)
	}
	ast.WalkTerms(m.parsed, func(t *ast.Term) bool {
		object, ok := t.Value.(ast.Object)
		if !ok {
			return false
		}
		path, hasPath := constantMember(object, "limit")
		bound, hasBound := constantMember(object, "bound")
		if !hasPath || !hasBound {
			return false
		}
		if _, _, ok := limitIn(l.data, path, bound); !ok && l.data["limits"] != nil && !l.refused["limits"] {
			l.add(Problem{File: m.file, Line: t.Location.Row, Column: t.Location.Col,
				Message: fmt.Sprintf("a fact names the limit %s, bound %s, which limits.yaml does not have", path, bound),
				Mend:    "write the dotted path below limits:, and min or max"})
		}
		return false
	})
}

func (l *loader) checkPlaceholders(m module, facts map[string]bool, complete bool) {
	i := slices.IndexFunc(l.rules, func(r Rule) bool { return r.Name == m.pkg })
	if i < 0 {
		return
	}
	r := l.rules[i]
	texts := map[string]string{"says": r.Says, "needs": r.Needs, "needs_state": r.NeedsState, "needs_limit": r.NeedsLimit, "remedy": r.Remedy}
	for _, field := range slices.Sorted(maps.Keys(texts)) {
		line := metadataLine(m.parsed, field)
		names, err := Placeholders(texts[field])
		if err != nil {
			l.add(Problem{File: m.file, Line: line, Message: field + ": " + err.Error(), Mend: "write {name}, where name is " + SubjectPlaceholder + " or that of a fact"})
		}
		for _, name := range names {
			if name == SubjectPlaceholder || facts[name] || !complete {
				continue
			}
			known := slices.Sorted(maps.Keys(facts))
			mend := "the rule's facts are " + strings.Join(append([]string{SubjectPlaceholder}, known...), ", ")
			if near := nearest(name, known); near != "" {
				mend = fmt.Sprintf("did you mean {%s}?", near)
			}
			l.add(Problem{File: m.file, Line: line, Message: fmt.Sprintf("%s: there is no fact %q", field, name), Mend: mend})
		}
	}
}

// factsOf lists the names of the facts written out in a file. It is complete
// if the facts come from this file alone, each with its name written out.
func (l *loader) factsOf(m module) (names map[string]bool, complete bool) {
	names, complete = map[string]bool{}, true
	for _, r := range m.parsed.Rules {
		ast.WalkTerms(r, func(t *ast.Term) bool {
			if object, ok := t.Value.(ast.Object); ok {
				if name, ok := constantMember(object, "name"); ok {
					names[name] = true
				}
			}
			return false
		})
		if HeadName(r) != Facts {
			continue
		}
		object, ok := ast.Object(nil), false
		if r.Head.Key != nil {
			object, ok = r.Head.Key.Value.(ast.Object)
		}
		if !ok {
			complete = false
			continue
		}
		if _, ok := constantMember(object, "name"); !ok {
			complete = false
		}
	}
	return names, complete
}

func constantMember(object ast.Object, name string) (string, bool) {
	t := object.Get(ast.StringTerm(name))
	if t == nil {
		return "", false
	}
	s, ok := t.Value.(ast.String)
	return string(s), ok
}
