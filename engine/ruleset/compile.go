package ruleset

import (
	"encoding/json"
	"errors"
	"fmt"
	"runtime"

	"github.com/open-policy-agent/opa/v1/ast"
	"golang.org/x/sync/errgroup"

	"github.com/visitgauge/visitgauge/schema"
)

// typedPaths are the documents that rules read and the schemas that every
// module names for them in its metadata.
var typedPaths = []struct{ path, schema string }{
	{"input", "schema.input"},
	{"data.limits", "schema.limits"},
	{"data.units", "schema.units"},
	{"data.steps", "schema.steps"},
	{"data.classes", "schema.classes"},
}

// parse reads the Rego files. It reports whether all could be read.
func (l *loader) parse(annotations bool) bool {
	var names []string
	for _, name := range l.files.names {
		if at, ok := l.places[name]; ok && (at.kind == ruleFile || at.kind == sharedFile) {
			names = append(names, name)
		}
	}
	// A third of a cold start is parsing, so the files share the processors.
	parsed := make([]*ast.Module, len(names))
	faults := make([]error, len(names))
	options := ast.ParserOptions{ProcessAnnotation: annotations, RegoVersion: ast.RegoV1, Capabilities: capabilities()}
	var group errgroup.Group
	group.SetLimit(runtime.GOMAXPROCS(0))
	for i, name := range names {
		group.Go(func() error {
			parsed[i], faults[i] = ast.ParseModuleWithOpts(name, string(l.files.content[name]), options)
			if faults[i] == nil && parsed[i] == nil {
				faults[i] = errors.New("the file holds no package")
			}
			return nil // each file has a place for its own fault
		})
	}
	_ = group.Wait()
	good := true
	for i, name := range names {
		if faults[i] != nil {
			good = false
			l.addRego(name, faults[i])
			continue
		}
		l.modules = append(l.modules, module{file: name, layout: l.places[name], parsed: parsed[i]})
	}
	if good && len(l.modules) == 0 {
		l.add(Problem{Message: "the release has no rules", Mend: "a rule is a file " + Condition + "/<area>/<name>.rego, or the same under " + Procedure + " or " + Programme})
		return false
	}
	return good
}

// compileChecked compiles under all the checks the language has: strict mode,
// the allowed built-ins, and types read off the schemas and the data. It
// returns nil if there were problems.
func (l *loader) compileChecked() (*ast.Compiler, error) {
	schemas, err := l.typeSchemas()
	if err != nil {
		return nil, err
	}
	c := ast.NewCompiler().
		WithCapabilities(capabilities()).
		WithSchemas(schemas).
		WithUseTypeCheckAnnotations(true).
		WithStrict(true)
	c.SetErrorLimit(0)
	modules := make(map[string]*ast.Module, len(l.modules))
	for _, m := range l.modules {
		modules[m.file] = m.parsed
	}
	if c.Compile(modules); c.Failed() {
		l.addRego("", c.Errors)
		return nil, nil
	}
	settle(c)
	return c, nil
}

// settle puts the sets that rules write out into the order in which they are walked.
// OPA does so when it first walks one, and the union of it with another may meanwhile
// see a member twice or not at all, if another goroutine is at it.
func settle(c *ast.Compiler) {
	for _, m := range c.Modules {
		ast.WalkTerms(m, func(t *ast.Term) bool {
			if set, ok := t.Value.(ast.Set); ok {
				set.Slice()
			}
			return false
		})
	}
}

// compileTrusted compiles a release that was checked before: no schemas, no
// annotations, and none of the compiler's stages that only find fault. It
// returns nil if there were problems.
func (l *loader) compileTrusted(native bool) *ast.Compiler {
	modules := make(map[string]*ast.Module, len(l.modules))
	for _, m := range l.modules {
		modules[m.file] = m.parsed
	}
	var extra []*ast.Builtin
	if native {
		modules, extra = nativeModules(modules), nativeBuiltins()
	}
	c := ast.NewCompiler().
		WithCapabilities(capabilities(extra...)).
		WithSkipStages(ast.StageCheckTypes, ast.StageCheckRecursion, ast.StageCheckUnsafeBuiltins, ast.StageCheckDeprecatedBuiltins, ast.StageBuildRequiredCapabilities)
	c.SetErrorLimit(0)
	if c.Compile(modules); c.Failed() {
		l.addRego("", c.Errors)
		return nil
	}
	settle(c)
	return c
}

// typeSchemas are the schemas the type checker works with: the input's from
// its own schema, the rest read off the data.
func (l *loader) typeSchemas() (*ast.SchemaSet, error) {
	input, err := schema.Bundle("input")
	if err != nil {
		return nil, fmt.Errorf("reading the schema of the rules' input: %w", err)
	}
	set := ast.NewSchemaSet()
	var inputSchema any
	if err := json.Unmarshal(input, &inputSchema); err != nil {
		return nil, fmt.Errorf("reading the schema of the rules' input: %w", err)
	}
	set.Put(ast.MustParseRef("schema.input"), structureOf(inputSchema))
	set.Put(ast.MustParseRef("schema.limits"), shapeOf(l.data["limits"]))
	for _, section := range []string{"units", "steps", "classes"} {
		set.Put(ast.MustParseRef("schema."+section), collectionShape(l.data[section]))
	}
	return set, nil
}
