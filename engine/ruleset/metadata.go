package ruleset

import (
	"fmt"
	"maps"
	"net/url"
	"regexp"
	"slices"
	"strings"

	"github.com/open-policy-agent/opa/v1/ast"
)

// The words that metadata may use.
var (
	severities  = []string{"critical", "major", "minor"}
	whos        = []string{"technician", "specialist", "electrician", "customer", "lead"}
	concessions = []string{"never", "lead", "lead-and-customer"}
	sincePat    = regexp.MustCompile(`^visit/[1-9][0-9]*$`)
)

// readMetadata reads what each rule says about itself, and demands of every
// module that it names the schemas it is checked with.
func (l *loader) readMetadata() {
	for _, m := range l.modules {
		own := packageAnnotations(m.parsed)
		if len(own) == 0 {
			l.add(Problem{File: m.file, Line: m.parsed.Package.Location.Row, Message: "the file has no metadata", Mend: "begin it with a # METADATA block that stands directly above the package line" + needsOf(m.kind)})
			continue
		}
		if len(own) > 1 {
			l.add(Problem{File: m.file, Line: own[1].Location.Row, Message: "the package has a second METADATA block", Mend: "make one of the two"})
		}
		l.checkAnnotatedSchemas(m, own[0])
		if m.kind == ruleFile {
			r := metadataReader{loader: l, module: m, at: own[0]}
			l.rules = append(l.rules, r.rule())
		}
	}
	slices.SortFunc(l.rules, func(a, b Rule) int { return strings.Compare(a.Name, b.Name) })
}

func needsOf(k fileKind) string {
	if k == ruleFile {
		return ", with title, description, sources or a basis, schemas, and under custom: severity, says, needs, remedy, who, concession, since"
	}
	return ", with title, description and schemas"
}

func packageAnnotations(m *ast.Module) []*ast.Annotations {
	var own []*ast.Annotations
	for _, a := range m.Annotations {
		if a.Scope == "package" {
			own = append(own, a)
		}
	}
	return own
}

// checkAnnotatedSchemas demands the one list of schemas in the package's
// metadata and nowhere else: a module without it, or a rule with one of its
// own, is not type checked as the others are.
func (l *loader) checkAnnotatedSchemas(m module, own *ast.Annotations) {
	named := map[string]string{}
	for _, s := range own.Schemas {
		if s.Definition != nil {
			l.add(Problem{File: m.file, Line: own.Location.Row, Message: "the metadata defines a schema of its own for " + s.Path.String(), Mend: "name " + typedPathsText()})
			continue
		}
		named[s.Path.String()] = s.Schema.String()
	}
	for _, t := range typedPaths {
		if got, ok := named[t.path]; !ok || got != t.schema {
			l.add(Problem{File: m.file, Line: own.Location.Row, Message: fmt.Sprintf("the metadata does not say that %s has the schema %s", t.path, t.schema), Mend: "under schemas, list " + typedPathsText()})
		}
		delete(named, t.path)
	}
	for _, path := range slices.Sorted(maps.Keys(named)) {
		l.add(Problem{File: m.file, Line: own.Location.Row, Message: "the metadata names a schema for " + path + ", which has none", Mend: "under schemas, list " + typedPathsText() + " and no more"})
	}
	for _, a := range m.parsed.Annotations {
		if a != own && len(a.Schemas) > 0 {
			l.add(Problem{File: m.file, Line: a.Location.Row, Message: "schemas are named apart from the package's metadata", Mend: "name them there alone"})
		}
	}
}

func typedPathsText() string {
	parts := make([]string, len(typedPaths))
	for i, t := range typedPaths {
		parts[i] = t.path + ": " + t.schema
	}
	return strings.Join(parts, ", ")
}

// metadataReader turns the metadata of one rule into a Rule.
type metadataReader struct {
	*loader
	module module
	at     *ast.Annotations
}

// problem is one of the metadata as a whole.
func (r metadataReader) problem(mend, format string, args ...any) {
	r.problemOf("", mend, format, args...)
}

// problemOf is one of a field of the metadata.
func (r metadataReader) problemOf(field, mend, format string, args ...any) {
	r.add(Problem{File: r.module.file, Line: metadataLine(r.module.parsed, field), Message: fmt.Sprintf(format, args...), Mend: mend})
}

// metadataLine is the line of a field in the metadata of a module's package; the first
// of the metadata where it has no such field.
func metadataLine(m *ast.Module, field string) int {
	first := packageAnnotations(m)[0].Location.Row
	for _, c := range m.Comments {
		row := c.Location.Row
		if name, _, ok := strings.Cut(string(c.Text), ":"); ok && row >= first && row < m.Package.Location.Row && strings.TrimSpace(name) == field {
			return row
		}
	}
	return first
}

func (r metadataReader) rule() Rule {
	parts := strings.SplitN(r.module.pkg, ".", 3)
	rule := Rule{
		Name:        r.module.pkg,
		Concern:     parts[0],
		Area:        parts[1],
		Title:       strings.TrimSpace(r.at.Title),
		Description: strings.TrimSpace(r.at.Description),
		Sources:     []Source{},
		Cautions:    []string{},
	}
	if rule.Title == "" {
		r.problem("add title: the rule in one line, as a technician would say it", "the metadata has no title")
	}
	if rule.Description == "" {
		r.problem("add description: why it matters", "the metadata has no description")
	}
	for _, s := range r.at.RelatedResources {
		rule.Sources = append(rule.Sources, Source{Ref: refText(s.Ref), Description: strings.TrimSpace(s.Description)})
	}
	r.custom(&rule)
	switch {
	case len(rule.Sources) == 0 && rule.Basis == "":
		r.problem("list related_resources, or say custom.basis: "+CommonPractice, "the metadata gives no source")
	case len(rule.Sources) > 0 && rule.Basis != "":
		r.problemOf("basis", "keep one of the two", "the metadata gives sources and a basis")
	case rule.Basis != "" && rule.Basis != CommonPractice:
		r.problemOf("basis", "the one basis without a source is: "+CommonPractice, "custom.basis is %q", rule.Basis)
	}
	if rule.Concession != "never" && (rule.Severity == "critical" || rule.Area == "safety") {
		r.problemOf("concession", "write concession: never", "a rule of safety, or a critical one, admits no concession")
	}
	return rule
}

// custom reads the members under custom: all known, all text.
func (r metadataReader) custom(rule *Rule) {
	words := func(allowed ...string) func(string) string {
		return func(v string) string {
			if slices.Contains(allowed, v) {
				return ""
			}
			return "one of " + strings.Join(allowed, ", ")
		}
	}
	members := []struct {
		name     string
		to       *string
		required bool
		wants    func(string) string // what a wrong value should have been
	}{
		{"basis", &rule.Basis, false, nil},
		{"severity", &rule.Severity, true, words(severities...)},
		{"says", &rule.Says, true, nil},
		{"needs", &rule.Needs, true, nil},
		{"needs_state", &rule.NeedsState, false, nil},
		{"needs_limit", &rule.NeedsLimit, false, nil},
		{"remedy", &rule.Remedy, true, nil},
		{"who", &rule.Who, true, words(whos...)},
		{"concession", &rule.Concession, true, words(concessions...)},
		{"since", &rule.Since, true, func(v string) string {
			if sincePat.MatchString(v) {
				return ""
			}
			return "a record schema such as visit/1"
		}},
	}
	known := []string{"cautions"}
	for _, m := range members {
		known = append(known, m.name)
		v, ok := r.at.Custom[m.name]
		if !ok {
			if m.required {
				r.problem("add "+m.name+": under custom", "the metadata has no %s", m.name)
			}
			continue
		}
		text, ok := v.(string)
		if *m.to = strings.TrimSpace(text); !ok || *m.to == "" {
			r.problemOf(m.name, "write text, in quotes where it looks like something else", "custom.%s is no text", m.name)
			continue
		}
		if m.wants != nil {
			if w := m.wants(*m.to); w != "" {
				r.problemOf(m.name, "write "+w, "custom.%s is %q", m.name, *m.to)
			}
		}
	}
	if v, ok := r.at.Custom["cautions"]; ok {
		list, ok := v.([]any)
		for _, c := range list {
			text, isText := c.(string)
			ok = ok && isText && strings.TrimSpace(text) != ""
			rule.Cautions = append(rule.Cautions, strings.TrimSpace(text))
		}
		if !ok || len(list) == 0 {
			r.problemOf("cautions", "write one caution a line, each begun with a dash", "custom.cautions is no list of texts")
		}
	}
	for _, name := range slices.Sorted(maps.Keys(r.at.Custom)) {
		if slices.Contains(known, name) {
			continue
		}
		mend := "the names known there are " + strings.Join(known, ", ")
		if near := nearest(name, known); near != "" {
			mend = fmt.Sprintf("did you mean %q?", near)
		}
		r.problemOf(name, mend, "there is no custom.%s", name)
	}
}

// refText is a source as its author wrote it: sources are mostly documents
// with a number, which the URL they are kept in would print with escapes.
func refText(u url.URL) string {
	text := u.String()
	if u.Scheme != "" {
		return text
	}
	if plain, err := url.PathUnescape(text); err == nil {
		return plain
	}
	return text
}
