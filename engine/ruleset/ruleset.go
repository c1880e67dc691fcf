package ruleset

import (
	"github.com/open-policy-agent/opa/v1/ast"
	"github.com/open-policy-agent/opa/v1/rego"
	"github.com/open-policy-agent/opa/v1/storage"
)

// Options say how a release is loaded. The zero value checks everything and
// runs the release's own Rego throughout.
type Options struct {
	// Version is the release's version number. Empty for a folder that has no
	// entry in a releases.yaml; the set then calls itself "folder".
	Version string

	// Vouched is the digest that releases.yaml gives for the release. A folder
	// with another digest is refused. One with this digest was checked when it
	// was released: schemas, type check and annotations are skipped, and the
	// texts come from its catalogue.json.
	Vouched string

	// Native puts the engine's own implementation in the place of the helper
	// functions that have one, and lets those who judge evaluate the rules in
	// another way than OPA's evaluator does. Answers are the same, only sooner.
	Native bool

	// Without names rules that are left out, as if the release had never had them:
	// for records that could not have been asked them. What is left is the release
	// but for these; its version and digest are those of the whole.
	Without []string
}

// FolderVersion is the version of a set that was loaded without one.
const FolderVersion = "folder"

// Set is one release, checked and compiled. It is read only and may be shared
// by goroutines.
type Set struct {
	version  string
	digest   string
	rules    []Rule
	data     map[string]any
	compiler *ast.Compiler
	store    storage.Store
	native   bool
	options  []func(*rego.Rego) // of a variant, besides
}

// Version is the version the release was loaded under, [FolderVersion] if none
// was given.
func (s *Set) Version() string { return s.version }

// Digest is the h1: directory hash over all files of the release.
func (s *Set) Digest() string { return s.digest }

// Rules lists the rules sorted by name.
func (s *Set) Rules() []Rule { return append([]Rule(nil), s.rules...) }

// Rule finds a rule by its name, such as condition.battery.full_charge_gravity.
func (s *Set) Rule(name string) (Rule, bool) {
	for _, r := range s.rules {
		if r.Name == name {
			return r, true
		}
	}
	return Rule{}, false
}

// Compiler holds the compiled modules of the release.
func (s *Set) Compiler() *ast.Compiler { return s.compiler }

// Native says whether the release was loaded so; see [Options.Native].
func (s *Set) Native() bool { return s.native }

// Data is the document the rules read as data, numbers as json.Number with
// their text as written. It must not be changed.
func (s *Set) Data() map[string]any { return s.data }

// Rego gives the options under which every query over the release is to be
// made: its compiler, its data, errors of built-ins not swallowed, and the
// native functions if the set was loaded with them.
func (s *Set) Rego() []func(*rego.Rego) { return s.regoBy(s.compiler) }

// RegoToPlan gives the options as Rego does, for planning the rules: OPA then sets the
// mode of the compiler, which others ask at the same time. So it gets one that shares
// all but its settings.
func (s *Set) RegoToPlan() []func(*rego.Rego) {
	own := *s.compiler
	return s.regoBy(&own)
}

func (s *Set) regoBy(compiler *ast.Compiler) []func(*rego.Rego) {
	options := []func(*rego.Rego){
		rego.Compiler(compiler),
		rego.Store(s.store),
		rego.StrictBuiltinErrors(true),
	}
	if s.native {
		options = append(options, nativeOptions()...)
	}
	return append(options, s.options...)
}

// Variant is the same release asked through other modules and other data, for
// those who change one thing in it and look what comes of that. Options are given
// to every query besides. A variant has no native functions.
func (s *Set) Variant(compiler *ast.Compiler, store storage.Store, options ...func(*rego.Rego)) *Set {
	v := *s
	v.compiler, v.store, v.native, v.options = compiler, store, false, options
	return &v
}
