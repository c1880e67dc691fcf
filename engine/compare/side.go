package compare

import (
	"errors"
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strings"

	"github.com/open-policy-agent/opa/v1/ast"
	"go.yaml.in/yaml/v3"

	"github.com/visitgauge/visitgauge/engine/examples"
	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/engine/ruleset"
)

// Side is one of the two releases.
type Side struct {
	// Name is what it is called: its version, or its folder.
	Name string
	// Entry is its entry in releases.yaml; zero for a folder that is not listed.
	Entry ruleset.Release
	// Files are those the set was loaded from.
	Files fs.FS
	// Set was loaded without native functions, so that what is tried is what stands
	// in the files.
	Set *ruleset.Set
}

// side is a release taken apart.
type side struct {
	Side
	runner *examples.Runner
	rules  map[string]ruleset.Rule
	// texts are the definitions of each name, such as shared.battery.full_limit, as
	// they are parsed, in no order of their own.
	texts map[string][]string
	// aliases are the imports of each package, by the name they have there.
	aliases map[string]map[string]string
	// defined are the names that each package defines, sorted.
	defined map[string][]string
	reads   reading
	reaches map[string]reach // by rule
	// examples are the entries of each rule's examples file, by rule and name.
	examples map[string]map[string]any
	// bases is the digest of the base visits that examples are made from.
	bases string
}

// newSide takes a release apart, examples and all.
func newSide(s Side, decoder *record.Decoder) (*side, error) {
	out, err := withoutExamples(s)
	if err != nil {
		return nil, err
	}
	for name := range out.rules {
		if err := out.readExamples(name); err != nil {
			return nil, fmt.Errorf("reading release %s: %w", s.Name, err)
		}
	}
	bases, err := fs.Sub(s.Files, "examples/base")
	if err == nil {
		out.bases, err = ruleset.Digest(bases)
	}
	if err != nil && len(out.examples) > 0 {
		return nil, fmt.Errorf("reading the base visits of release %s: %w", s.Name, err)
	}
	if out.runner, err = examples.New(s.Files, s.Set, decoder); err != nil {
		return nil, fmt.Errorf("reading release %s: %w", s.Name, err)
	}
	out.reaches = out.reached()
	return out, nil
}

// withoutExamples takes a release apart as far as its rules and data go.
func withoutExamples(s Side) (*side, error) {
	out := &side{
		Side: s, rules: map[string]ruleset.Rule{}, texts: map[string][]string{},
		aliases: map[string]map[string]string{}, defined: map[string][]string{}, examples: map[string]map[string]any{},
	}
	for _, r := range s.Set.Rules() {
		out.rules[r.Name] = r
	}
	for file := range s.Set.Compiler().Modules {
		if err := out.readModule(file); err != nil {
			return nil, fmt.Errorf("reading release %s: %w", s.Name, err)
		}
	}
	for _, texts := range out.texts {
		slices.Sort(texts)
	}
	out.reads = readingOf(s.Set.Compiler())
	return out, nil
}

func (s *side) edition() Edition {
	n := 0
	for _, e := range s.examples {
		n += len(e)
	}
	return Edition{
		Name: s.Name, State: s.Entry.State, From: s.Entry.From, Digest: s.Set.Digest(), Rules: len(s.rules), Examples: n,
		Note: s.Entry.Note, Reason: s.Entry.Reason,
	}
}

// readModule takes a file apart into what it defines. The compiler rewrote its own
// modules, so the file is parsed afresh.
func (s *side) readModule(file string) error {
	source, err := fs.ReadFile(s.Files, file)
	if err != nil {
		return err
	}
	module, err := ast.ParseModuleWithOpts(file, string(source), ast.ParserOptions{RegoVersion: ast.RegoV1})
	if err != nil {
		return err
	}
	pkg := ruleset.PackageName(module)
	aliases := map[string]string{}
	for _, i := range module.Imports {
		aliases[string(i.Name())] = i.Path.String()
	}
	s.aliases[pkg] = aliases
	for _, r := range module.Rules {
		name := pkg + "." + ruleset.HeadName(r)
		if len(s.texts[name]) == 0 {
			s.defined[pkg] = append(s.defined[pkg], name)
		}
		s.texts[name] = append(s.texts[name], r.String())
	}
	slices.Sort(s.defined[pkg])
	return nil
}

// sameText tells whether both releases define a name alike. Where a package
// imports something else under the same name, its definitions differ.
func sameText(a, b *side, name string) bool {
	if !slices.Equal(a.texts[name], b.texts[name]) {
		return false
	}
	pkg := name[:strings.LastIndexByte(name, '.')]
	for alias, to := range a.aliases[pkg] {
		if other, ok := b.aliases[pkg][alias]; ok && other != to {
			return false
		}
	}
	return true
}

// readExamples reads the examples of a rule, to see which differ.
func (s *side) readExamples(rule string) error {
	file := "examples/" + strings.ReplaceAll(rule, ".", "/") + ".yaml"
	data, err := fs.ReadFile(s.Files, file)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return err
	}
	var doc map[string][]map[string]any
	if err := yaml.Unmarshal(data, &doc); err != nil {
		return fmt.Errorf("reading %s: %w", file, err)
	}
	byName := map[string]any{}
	for i, e := range doc[path.Base(strings.TrimSuffix(file, ".yaml"))] {
		name, _ := e["name"].(string)
		if _, twice := byName[name]; twice || name == "" {
			name = fmt.Sprintf("%s, number %d", name, i+1)
		}
		byName[name] = e
	}
	s.examples[rule] = byName
	return nil
}
