package ruleset

import (
	"context"
	"encoding/json"
	"fmt"
	"io/fs"
	"slices"
	"strings"

	"github.com/open-policy-agent/opa/v1/ast"
	"github.com/open-policy-agent/opa/v1/storage/inmem"
)

// Load reads, checks and compiles the release in the root of release. An error
// about the release itself is of type [Problems].
func Load(ctx context.Context, release fs.FS, opt Options) (*Set, error) {
	return load(ctx, release, opt, false)
}

func load(ctx context.Context, release fs.FS, opt Options, ignoreCatalogue bool) (*Set, error) {
	f, problems, err := readFiles(release)
	if err != nil {
		return nil, err
	}
	if len(problems) > 0 {
		return nil, problems.sorted()
	}
	digest, err := f.digest()
	if err != nil {
		return nil, fmt.Errorf("hashing the release: %w", err)
	}
	if opt.Version == "" {
		opt.Version = FolderVersion
	}
	if opt.Vouched != "" && opt.Vouched != digest {
		return nil, altered(opt.Version, digest, opt.Vouched)
	}
	l := &loader{files: f, places: map[string]layout{}, docs: map[string]*document{}, data: map[string]any{}, schemas: validators{}, refused: map[string]bool{}, ignoreCatalogue: ignoreCatalogue}
	l.placeFiles()
	var set *Set
	if opt.Vouched != "" {
		set, err = l.trusted(ctx, opt)
	} else {
		set, err = l.checked(ctx, opt)
	}
	if err != nil {
		return nil, err
	}
	if len(l.problems) > 0 {
		return nil, l.problems.sorted()
	}
	set.version, set.digest = opt.Version, digest
	return set, nil
}

// loader holds a release while it is loaded. Its steps add to problems and go
// on as far as what they need is there.
type loader struct {
	files    files
	places   map[string]layout // by file
	docs     map[string]*document
	modules  []module // sorted by file
	data     map[string]any
	rules    []Rule
	readings map[string]reading // that base visits record, by name; while it is checked
	schemas  validators
	refused  map[string]bool // by section: data that its schema refuses
	problems Problems

	ignoreCatalogue bool // while a new one is made
}

// module is one Rego file as written.
type module struct {
	file string
	layout
	parsed *ast.Module
}

func (l *loader) add(ps ...Problem) { l.problems = append(l.problems, ps...) }

func (l *loader) placeFiles() {
	for _, name := range l.files.names {
		at, err := layoutOf(name)
		if err != nil {
			l.add(Problem{File: name, Message: err.Error(), Mend: layoutMend})
			continue
		}
		l.places[name] = at
	}
}

// checked loads a release that nobody vouches for, and checks all of it.
func (l *loader) checked(ctx context.Context, opt Options) (*Set, error) {
	if err := l.readData(func(at layout) bool { return at.topKey != "" && at.kind != catalogueFile }); err != nil {
		return nil, err
	}
	dataRead := len(l.problems) == 0
	if err := l.checkSchemas(); err != nil {
		return nil, err
	}
	l.checkNumbers()
	l.checkExamples()

	parsed := l.parse(true)
	l.checkPackages()
	l.readMetadata()
	l.checkShapes()
	l.checkWritten()
	if err := l.checkWords(); err != nil {
		return nil, err
	}
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	// The types of data that its schema refuses are wrong too, and would be blamed on
	// the rules that read it.
	if !parsed || !dataRead || len(l.refused) > 0 {
		return nil, l.problems.sorted()
	}

	l.data["catalogue"] = catalogueOf(l.rules)
	l.checkCatalogueFile()
	compiler, err := l.compileChecked()
	if err != nil {
		return nil, err
	}
	if compiler == nil {
		return nil, l.problems.sorted()
	}
	l.checkCompiled(compiler)
	if len(l.problems) > 0 {
		return nil, l.problems.sorted()
	}
	if opt.Native || len(opt.Without) > 0 {
		// The checks above were made on the release's own Rego, and on all of it.
		l.leaveOut(opt.Without)
		if compiler = l.compileTrusted(opt.Native); compiler == nil {
			return nil, l.problems.sorted()
		}
	}
	return l.set(compiler, opt.Native), nil
}

// trusted loads a release whose digest is vouched for.
func (l *loader) trusted(ctx context.Context, opt Options) (*Set, error) {
	if err := l.readData(func(at layout) bool { return at.section != "" }); err != nil {
		return nil, err
	}
	parsed := l.parse(false)
	l.rules = l.readCatalogue()
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	if !parsed || len(l.problems) > 0 {
		return nil, l.problems.sorted()
	}
	l.leaveOut(opt.Without)
	compiler := l.compileTrusted(opt.Native)
	if compiler == nil {
		return nil, l.problems.sorted()
	}
	return l.set(compiler, opt.Native), nil
}

// leaveOut takes rules away, and what the catalogue says of them.
func (l *loader) leaveOut(names []string) {
	if len(names) == 0 {
		return
	}
	l.rules = slices.DeleteFunc(l.rules, func(r Rule) bool { return slices.Contains(names, r.Name) })
	l.modules = slices.DeleteFunc(l.modules, func(m module) bool { return m.kind == ruleFile && slices.Contains(names, m.pkg) })
	l.data["catalogue"] = catalogueOf(l.rules)
}

func (l *loader) set(compiler *ast.Compiler, native bool) *Set {
	for i := range l.rules {
		for _, part := range contract {
			if len(compiler.GetRulesWithPrefix(ruleRef(l.rules[i].Name, part.name))) > 0 {
				l.rules[i].definedNames = append(l.rules[i].definedNames, part.name)
			}
		}
	}
	return &Set{
		rules:    l.rules,
		data:     l.data,
		compiler: compiler,
		store:    inmem.NewFromObjectWithOpts(l.data, inmem.OptRoundTripOnWrite(false), inmem.OptReturnASTValuesOnRead(true)),
		native:   native,
	}
}

// ruleRef is data.<dotted name>.<part>.
func ruleRef(name, part string) ast.Ref {
	ref := ast.Ref{ast.DefaultRootDocument}
	for _, p := range append(strings.Split(name, "."), part) {
		ref = append(ref, ast.StringTerm(p))
	}
	return ref
}

// readData parses the data files that are wanted and puts those that rules read
// where they find them.
func (l *loader) readData(wanted func(layout) bool) error {
	for _, name := range l.files.names {
		at, ok := l.places[name]
		if !ok || !wanted(at) {
			continue
		}
		var d *document
		var problems Problems
		if strings.HasSuffix(name, ".json") {
			d, problems = parseJSON(name, l.files.content[name])
		} else {
			d, problems = parseYAML(name, l.files.content[name])
		}
		if len(problems) > 0 {
			l.add(problems...)
			continue
		}
		top, ok := d.value.(map[string]any)
		inner, has := top[at.topKey]
		if !ok || !has || len(top) != 1 {
			l.add(Problem{File: name, Line: 1, Message: fmt.Sprintf("the file's one key at the top must be %q", at.topKey), Mend: "put all of the file's content under " + at.topKey + ":"})
			continue
		}
		l.docs[name] = d
		switch {
		case at.kind == classFile:
			classes, ok := l.data["classes"].(map[string]any)
			if !ok {
				classes = map[string]any{}
				l.data["classes"] = classes
			}
			classes[at.topKey] = inner
		case at.section != "":
			l.data[at.section] = inner
		}
	}
	for _, section := range []string{"limits", "steps", "units", "classes"} {
		if _, ok := l.data[section]; !ok && len(l.problems) == 0 {
			file := section + ".yaml"
			if section == "classes" {
				file = "classes/<id>.yaml"
			}
			l.add(Problem{Message: "the release has no " + file, Mend: "add it"})
		}
	}
	return nil
}

// checkSchemas holds every data file that was read to its schema.
func (l *loader) checkSchemas() error {
	for _, name := range l.files.names {
		d, at := l.docs[name], l.places[name]
		if d == nil || at.schema == "" {
			continue
		}
		value, pointer := d.value, ""
		if at.kind == baseFile { // the record stands under the top key
			value, pointer = d.value.(map[string]any)[at.topKey], childPointer("", at.topKey)
		}
		problems, err := l.schemas.check(at.schema, d, value, pointer)
		if err != nil {
			return err
		}
		l.add(problems...)
		if len(problems) > 0 && at.section != "" {
			l.refused[at.section] = true
		}
	}
	return nil
}

// checkExamples demands that every file of examples belongs to a rule and
// every base it names is there.
func (l *loader) checkExamples() {
	for _, name := range l.files.names {
		at := l.places[name]
		if at.kind != examplesFile {
			continue
		}
		rule := strings.ReplaceAll(at.pkg, ".", "/") + ".rego"
		if _, ok := l.files.content[rule]; !ok {
			l.add(Problem{File: name, Message: "gives examples of a rule that is not there: " + rule, Mend: "name the file after its rule"})
		}
		d := l.docs[name]
		if d == nil {
			continue
		}
		examples, _ := d.value.(map[string]any)[at.topKey].([]any)
		for i, e := range examples {
			example, _ := e.(map[string]any)
			pointer := childPointer(childPointer("", at.topKey), i)
			l.checkBase(d, example, pointer)
			earlier, _ := example["earlier"].([]any)
			for j, e := range earlier {
				visit, _ := e.(map[string]any)
				l.checkBase(d, visit, childPointer(pointer+"/earlier", j))
			}
		}
	}
}

func (l *loader) checkBase(d *document, of map[string]any, pointer string) {
	base, ok := of["base"].(string)
	if !ok {
		return
	}
	if _, ok := l.files.content["examples/base/"+base+".json"]; ok {
		return
	}
	var bases []string
	for _, at := range l.places {
		if at.kind == baseFile {
			bases = append(bases, at.topKey)
		}
	}
	slices.Sort(bases)
	l.add(d.valueProblem(pointer+"/base", fmt.Sprintf("there is no base visit %q", base), "the base visits are "+strings.Join(bases, ", ")))
}

// numberText gives a number of a data file as it is written.
func numberText(v any) (string, bool) {
	n, ok := v.(json.Number)
	return n.String(), ok
}
