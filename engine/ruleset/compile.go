package ruleset

import (
	"encoding/json"
	"errors"
	"fmt"
	"strings"

	"github.com/open-policy-agent/opa/v1/ast"

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
	good := true
	caps := capabilities()
	for _, name := range l.files.names {
		at, ok := l.places[name]
		if !ok || at.kind != ruleFile && at.kind != sharedFile {
			continue
		}
		parsed, err := ast.ParseModuleWithOpts(name, string(l.files.content[name]), ast.ParserOptions{
			ProcessAnnotation: annotations,
			RegoVersion:       ast.RegoV1,
			Capabilities:      caps,
		})
		if err == nil && parsed == nil {
			err = errors.New("the file holds no package")
		}
		if err != nil {
			good = false
			l.addRego(name, err)
			continue
		}
		l.modules = append(l.modules, module{file: name, layout: at, parsed: parsed})
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
	return c, nil
}

// compileTrusted compiles a release that was checked before: no schemas, no
// annotations. It returns nil if there were problems.
func (l *loader) compileTrusted(native bool) *ast.Compiler {
	modules := make(map[string]*ast.Module, len(l.modules))
	for _, m := range l.modules {
		modules[m.file] = m.parsed
	}
	var extra []*ast.Builtin
	if native {
		modules, extra = nativeModules(modules)
	}
	c := ast.NewCompiler().
		WithCapabilities(capabilities(extra...)).
		WithSkipStages(ast.StageCheckTypes)
	c.SetErrorLimit(0)
	if c.Compile(modules); c.Failed() {
		l.addRego("", c.Errors)
		return nil
	}
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

// addRego turns errors of the Rego parser and compiler into problems.
func (l *loader) addRego(file string, err error) {
	var list ast.Errors
	var one *ast.Error
	switch {
	case errors.As(err, &list):
	case errors.As(err, &one):
		list = ast.Errors{one}
	default:
		l.add(Problem{File: file, Message: err.Error()})
		return
	}
	for _, e := range list {
		p := Problem{File: file, Message: e.Message}
		if e.Location != nil {
			p.Line, p.Column = e.Location.Row, e.Location.Col
			if e.Location.File != "" {
				p.File = e.Location.File
			}
		}
		p.Message, p.Mend = explain(e)
		l.add(p)
	}
}

// explain says a compiler's error so that the author of a rule knows what to do.
func explain(e *ast.Error) (message, mend string) {
	switch d := e.Details.(type) {
	case *ast.RefErrInvalidDetail:
		return explainRef(d)
	case nil:
	default:
		mend = strings.Join(d.Lines(), "; ")
	}
	message = e.Message
	if name, ok := strings.CutPrefix(message, "undefined function "); ok {
		if _, exists := ast.BuiltinMap[name]; exists {
			return "the built-in function " + name + " is not allowed in a release",
				"a rule computes from input and data alone; what reads a clock, a network, a random number or the machine it runs on is left out, and so is what no rule needed yet"
		}
		return "there is no function " + name, "check the spelling and the import"
	}
	if e.Code == ast.ParseErr && mend != "" {
		return message, "correct the Rego here or just before: " + strings.TrimSpace(mend)
	}
	return message, mend
}

func explainRef(d *ast.RefErrInvalidDetail) (message, mend string) {
	path := d.Ref[:min(d.Pos+1, len(d.Ref))].String()
	message = path + " is not there"
	if d.Pos >= len(d.Ref) {
		return message, ""
	}
	name, _ := d.Ref[d.Pos].Value.(ast.String)
	var known []string
	for _, v := range d.OneOf {
		if s, ok := v.(ast.String); ok {
			known = append(known, string(s))
		}
	}
	switch near := nearest(string(name), known); {
	case near != "":
		mend = fmt.Sprintf("did you mean %q? ", near)
		fallthrough
	case len(known) > 0:
		mend += "the names there are " + strings.Join(known, ", ")
	case d.Want != nil:
		mend = "what is read here must be of type " + d.Want.String()
	}
	return message, mend
}
