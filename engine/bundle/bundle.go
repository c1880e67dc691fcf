// Package bundle packs a release into one file that stock OPA loads: a bundle with
// its rules, helpers and data, by which it gives the outcomes that the engine
// gives.
//
// Start at [Write]. The bundle is OPA's own form, written by OPA's own library: a
// gzipped tar with the manifest, the modules as they stand in the release and one
// data.json. It may be signed in the way OPA signs and verifies bundles. Examples
// and texts for people stay behind. The same release gives the same bytes, unless
// it is signed by an algorithm that draws random numbers, as ES and PS ones do.
package bundle

import (
	"bytes"
	"cmp"
	"fmt"
	"io/fs"
	"slices"
	"strings"

	"github.com/open-policy-agent/opa/v1/ast"
	"github.com/open-policy-agent/opa/v1/bundle"

	"github.com/visitgauge/visitgauge/engine/ruleset"
)

// Key signs or verifies a bundle.
type Key struct {
	// ID is the name of the key in the signature; empty for none.
	ID string
	// Text is a key in PEM, or a secret shared by both sides for the HS algorithms.
	Text string
	// File holds the text. OPA signs by it where it is given: it takes a text that is not
	// PEM for the name of a file first, and says that name where it fails.
	File string
	// Algorithm is the name of one in the way of RFC 7518, such as ES256 or HS256.
	Algorithm string
}

// Options say how a bundle is signed.
type Options struct {
	Signing *Key // nil for a bundle without a signature
	// Verification reads the bundle back under this key before it is given away;
	// nil to read it back without.
	Verification *Key
}

// Revision is what the manifest calls a release: its version and digest.
func Revision(set *ruleset.Set) string { return set.Version() + "+" + set.Digest() }

// Write gives the bundle of a release, and of the files its set was loaded from.
func Write(release fs.FS, set *ruleset.Set, opt Options) ([]byte, error) {
	doing := func(err error) error { return fmt.Errorf("bundling release %s: %w", set.Version(), err) }
	modules, err := modulesOf(release, set)
	if err != nil {
		return nil, doing(err)
	}
	b := bundle.Bundle{Data: set.Data(), Modules: modules, Manifest: manifestOf(set)}
	if key := opt.Signing; key != nil {
		if err := b.GenerateSignature(bundle.NewSigningConfig(cmp.Or(key.File, key.Text), key.Algorithm, ""), key.ID, false); err != nil {
			return nil, fmt.Errorf("signing the bundle of release %s with %s: %w\n    mend: give a key in PEM that fits the algorithm, or a secret for HS256", set.Version(), key.Algorithm, err)
		}
	}
	var out bytes.Buffer
	if err := bundle.NewWriter(&out).DisableFormat(true).Write(b); err != nil {
		return nil, doing(err)
	}
	if err := Verify(out.Bytes(), opt.Verification); err != nil {
		return nil, fmt.Errorf("reading back the bundle of release %s: %w", set.Version(), err)
	}
	return out.Bytes(), nil
}

// Verify reads a bundle with OPA's own reader, under a key if one is given, which
// also holds every file to the signature.
func Verify(data []byte, key *Key) error {
	reader := bundle.NewCustomReader(bundle.NewTarballLoaderWithBaseURL(bytes.NewReader(data), "")).
		WithRegoVersion(ast.RegoV1)
	if key == nil {
		reader = reader.WithSkipBundleVerification(true)
	} else {
		keys := map[string]*bundle.KeyConfig{key.ID: {Key: key.Text, Algorithm: key.Algorithm}}
		reader = reader.WithBundleVerificationConfig(bundle.NewVerificationConfig(keys, key.ID, "", nil))
	}
	_, err := reader.Read()
	return err
}

// modulesOf are the rules and helpers as they stand in the release, sorted.
func modulesOf(release fs.FS, set *ruleset.Set) ([]bundle.ModuleFile, error) {
	var out []bundle.ModuleFile
	for file := range set.Compiler().Modules {
		source, err := fs.ReadFile(release, file)
		if err != nil {
			return nil, err
		}
		parsed, err := ast.ParseModuleWithOpts(file, string(source), ast.ParserOptions{RegoVersion: ast.RegoV1})
		if err != nil {
			return nil, err
		}
		out = append(out, bundle.ModuleFile{URL: file, Path: file, Raw: source, Parsed: parsed})
	}
	slices.SortFunc(out, func(a, b bundle.ModuleFile) int { return strings.Compare(a.Path, b.Path) })
	return out, nil
}

// manifestOf names the release and the parts of data that the bundle brings.
func manifestOf(set *ruleset.Set) bundle.Manifest {
	roots := map[string]bool{}
	for section := range set.Data() {
		roots[section] = true
	}
	for file := range set.Compiler().Modules {
		root, _, _ := strings.Cut(file, "/")
		roots[root] = true
	}
	var sorted []string
	for root := range roots {
		sorted = append(sorted, root)
	}
	slices.Sort(sorted)
	m := bundle.Manifest{Revision: Revision(set), Roots: &sorted}
	m.SetRegoVersion(ast.RegoV1)
	return m
}
