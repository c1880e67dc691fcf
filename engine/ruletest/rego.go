package ruletest

import (
	"cmp"
	"context"
	"fmt"
	"io/fs"
	"slices"
	"strings"

	"github.com/open-policy-agent/opa/v1/ast"
	"github.com/open-policy-agent/opa/v1/storage/inmem"
	"github.com/open-policy-agent/opa/v1/tester"

	"github.com/visitgauge/visitgauge/engine/ruleset"
)

// tests runs the tests of a release that are written for OPA's tester, each file
// <name>_test.rego beside a rule or helper. They see the release's own rules and
// data, and may use all of the language. If rules are named, only what tells of theirs is
// given.
func tests(ctx context.Context, release fs.FS, set *ruleset.Set, rules []string) ([]Test, error) {
	modules := map[string]*ast.Module{}
	found := false
	err := fs.WalkDir(release, ".", func(file string, d fs.DirEntry, err error) error {
		_, isRule := set.Compiler().Modules[file]
		isTest := ruleset.IsTest(file)
		if err != nil || d.IsDir() || !isRule && !isTest {
			return err
		}
		source, err := fs.ReadFile(release, file)
		if err != nil {
			return err
		}
		if modules[file], err = ast.ParseModuleWithOpts(file, string(source), ast.ParserOptions{RegoVersion: ast.RegoV1}); err != nil {
			return err
		}
		if modules[file] == nil {
			return fmt.Errorf("%s holds no package", file)
		}
		found = found || isTest && wanted(rules, file)
		return nil
	})
	if err != nil {
		return nil, fmt.Errorf("reading the tests: %w", err)
	}
	out := []Test{}
	if !found {
		return out, nil
	}
	store := inmem.NewFromObject(set.Data())
	txn, err := store.NewTransaction(ctx)
	if err != nil {
		return nil, err
	}
	defer store.Abort(ctx, txn)
	results, err := tester.NewRunner().SetStore(store).SetModules(modules).RaiseBuiltinErrors(true).RunTests(ctx, txn)
	if err != nil {
		return nil, fmt.Errorf("running the tests: %w", err)
	}
	for r := range results {
		if t := testOf(r); wanted(rules, t.File) {
			out = append(out, t)
		}
	}
	slices.SortFunc(out, func(a, b Test) int {
		return cmp.Or(cmp.Compare(a.File, b.File), cmp.Compare(a.Line, b.Line), cmp.Compare(a.Name, b.Name))
	})
	return out, ctx.Err()
}

// wanted tells whether a file of tests lies beside one of the rules; if none are named,
// all are wanted.
func wanted(rules []string, file string) bool {
	return len(rules) == 0 || slices.ContainsFunc(rules, func(name string) bool {
		return file == strings.ReplaceAll(name, ".", "/")+"_test.rego"
	})
}

func testOf(r *tester.Result) Test {
	t := Test{Name: strings.TrimPrefix(r.Package, "data.") + "." + r.Name, Passed: r.Pass()}
	if r.Location != nil {
		t.File, t.Line = r.Location.File, r.Location.Row
	}
	switch {
	case r.Error != nil:
		t.Message = r.Error.Error()
	case r.Skip:
		t.Message = "it is marked as still to do"
	case r.Fail:
		t.Message = "it does not hold"
	}
	return t
}
