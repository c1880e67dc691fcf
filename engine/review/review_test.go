package review

import (
	"bytes"
	"fmt"
	"io/fs"
	"os"
	"path"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/open-policy-agent/opa/v1/ast"
	"github.com/open-policy-agent/opa/v1/format"

	"github.com/visitgauge/visitgauge/engine/reads"
	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/engine/ruleset"
	"github.com/visitgauge/visitgauge/schema"
)

const policiesDir = "../../policies"

// kept are the rules of the release that the tests are made on: one with a guarded
// limit, one with a text that many facts fill.
var kept = []string{"condition/battery/pack_voltage", "condition/battery/electrolyte_hot"}

// pruned is the first release with few of its rules.
func pruned(t *testing.T) fstest.MapFS {
	t.Helper()
	out := fstest.MapFS{}
	folder := os.DirFS(path.Join(policiesDir, "1.0.0"))
	err := fs.WalkDir(folder, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := fs.ReadFile(folder, name)
		rule := strings.TrimPrefix(strings.TrimSuffix(name, path.Ext(name)), "examples/")
		isRule := strings.HasPrefix(rule, "condition/") || strings.HasPrefix(rule, "procedure/") || strings.HasPrefix(rule, "programme/")
		if err == nil && name != "catalogue.json" && (!isRule || slices.Contains(kept, rule)) {
			out[name] = &fstest.MapFile{Data: data, Mode: 0o444}
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func decoder(t *testing.T) *record.Decoder {
	t.Helper()
	visit, err := schema.Compile("visit")
	if err != nil {
		t.Fatal(err)
	}
	return record.NewDecoder(visit, record.Limits{})
}

func check(t *testing.T, release fs.FS) []Finding {
	t.Helper()
	found, err := Check(t.Context(), release, decoder(t), Options{Workers: 2})
	if err != nil {
		t.Fatal(err)
	}
	return found
}

const (
	packRule = "condition/battery/pack_voltage.rego"
	hotRule  = "condition/battery/electrolyte_hot.rego"
)

func TestCheck(t *testing.T) {
	before := check(t, pruned(t))
	for _, f := range before {
		// Of few rules many fields and limits are read by none; nothing else may be wrong.
		if f.Check != Fields && f.Check != Limits {
			t.Errorf("the release that is altered has a finding already: %v", f)
		}
	}
	tests := []struct {
		name      string
		check     string
		file      string
		old, new  string // in the file
		at        string // what stands on the line of the finding, in the altered file
		says, how string // parts of message and mend
	}{
		{"a limit nobody reads", Limits, "limits.yaml", "  freezing:\n", "  freezing:\n    at_1_900: {title: none, min: 1, unit: degF, place: 1, decided: direct, mark: common practice, source: common practice}\n",
			"at_1_900", "no rule reads the limit freezing.at_1_900", "take it out"},
		{"a step no class requires", Steps, "steps.yaml", "steps:\n", "steps:\n  polish: {title: Polish, order: 11, area: arrival, power: either, severity: minor, may_skip: []}\n",
			"polish", "no class requires the step polish", "requires of a class"},
		{"published without a text", Sources, "limits.yaml", "      mark: published-elsewhere\n      source: \"acid added", "      mark: published-elsewhere\n      source: \"common practice, acid added",
			"gravity_ceiling", "its source names no text", "name the text"},
		{"a guarded limit too narrow for the meters in use", Guard, "limits.yaml", "      min: -0.2\n      max: 0.2\n", "      min: -0.02\n      max: 0.02\n",
			"pack_voltage_tolerance", "less than a quarter of its band", "finer instrument"},
		{"Rego not formatted", Format, packRule, "subjects contains", "subjects  contains", "subjects  contains", "is not formatted", "write: `subjects contains \"battery\" if \"battery\" in visit.areas`; or run opa fmt --write"},
		{"no line for the editor", Modelines, "units.yaml", "# yaml-language-server: $schema=../../schema/units.v1.json\n", "", "", "does not say by which schema", "../../schema/units.v1.json"},
		{"a line for the editor that names another schema", Modelines, "classes/ride-on-flooded.yaml", "schema/classes.v1.json", "schema/class.v1.json", "class.v1.json", "but follows classes", "../../../schema/classes.v1.json"},
		{"what the loader refuses", Loader, "limits.yaml", "decided: guarded", "decided: gaurded", "decided: gaurded", "must be one of", "wanted here"},
		{"a fact that is no longer given", Wording, hotRule, `facts[cell] contains {"name": "temperature",`, `facts[cell] contains {"name": "warmth",`, "", "leaves {temperature}", "give the fact"},
		{"a body that asks for all that the other does", Both, hotRule, "cell in subjects\n}", "cell in subjects\n}\n\nconforming contains c if {\n\tsome c, where in places\n\t\"hot\" in where\n}",
			"nonconforming contains", "so does conforming", "what the other rules out"},
		{"two answers that only a case shows", Both, packRule, "nonconforming contains", "nonconforming contains \"pack\" if {\n\tcount(subjects) > 0\n\tvisit.flooded\n\tcount(subjects) == 1\n}\n\nnonconforming contains",
			"nonconforming contains", "the rule is at fault", "what the other rules out"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			release := pruned(t)
			text := string(release[tt.file].Data)
			if !strings.Contains(text, tt.old) {
				t.Fatalf("%s does not hold %q", tt.file, tt.old)
			}
			text = strings.Replace(text, tt.old, tt.new, 1)
			release[tt.file] = &fstest.MapFile{Data: []byte(text), Mode: 0o444}
			var fresh []Finding
			for _, f := range check(t, release) {
				if !slices.ContainsFunc(before, func(b Finding) bool { return b.Check == f.Check && b.File == f.File && b.Message == f.Message }) {
					fresh = append(fresh, f)
				}
			}
			if !slices.ContainsFunc(fresh, func(f Finding) bool {
				lines := strings.Split(text, "\n")
				onLine := f.File != tt.file || f.Line > 0 && f.Line <= len(lines) && strings.Contains(lines[f.Line-1], tt.at)
				return f.Check == tt.check && strings.Contains(f.Message, tt.says) && strings.Contains(f.Mend, tt.how) && onLine && f.Line > 0
			}) {
				t.Errorf("not found; what is: %+v", fresh)
			}
		})
	}
}

// TestUnreadIsListed lists what the rules leave unread in the release, as the findings
// name it: nothing of that is found then, but an entry that nothing needs is.
func TestUnreadIsListed(t *testing.T) {
	release := pruned(t)
	text := "# yaml-language-server: $schema=../../../schema/unread.v1.json\nunread:\n  - {field: /no/such/field, because: nobody knows}\n"
	listed := map[string]bool{}
	for _, f := range check(t, release) {
		if f.Check != Fields {
			continue
		}
		name := strings.TrimPrefix(strings.TrimPrefix(strings.TrimSuffix(f.Message, " of the class"), "no rule reads "), "the field ")
		if !listed[name] {
			listed[name] = true
			text += "  - {field: \"" + name + "\", because: words for people}\n"
		}
	}
	if len(listed) < 10 {
		t.Fatalf("only %d fields are unread", len(listed))
	}
	release[ruleset.UnreadFile] = &fstest.MapFile{Data: []byte(text), Mode: 0o444}
	var left []Finding
	for _, f := range check(t, release) {
		if f.Check != Limits {
			left = append(left, f)
		}
	}
	if len(left) != 1 || left[0].File != ruleset.UnreadFile || left[0].Line != 3 || !strings.Contains(left[0].Message, "/no/such/field is listed as unread") {
		t.Errorf("left: %+v", left)
	}
}

// TestReformat holds the mend of a file that is not formatted to what an editor alone
// can do, and the line to the one that is meant.
func TestReformat(t *testing.T) {
	const head = "package p\n\n"
	tests := []struct {
		name, text string
		line       int
		mend       string
	}{
		{"spaces", head + "a contains 1 if  b\n", 3, "write: `a contains 1 if b`"},
		{"indent", head + "a if {\n  x > 1\n  x < 3\n}\n", 4, "write: `⇥x > 1` (⇥ is a tab)"},
		{"one line that is three", head + "a if { x > 1; x < 3 }\n", 3, "write: `a if {`, then `⇥x > 1`, then `⇥x < 3`, then `}` (⇥ is a tab)"},
		{"an empty line too many", head + "a := 1\n\n\nb := 1\n", 5, "take out this empty line"},
		{"two empty lines too many", head + "a := 1\n\n\n\nb := 1\n", 5, "take out 2 empty lines here"},
		{"an empty line too few", "package p\na := 1\n", 2, "put an empty line before it"},
		{"no line break at the end", head + "a := 1", 3, "end it with a line break"},
		{"an empty line at the end", head + "a := 1\n\n", 4, "take out this empty line"},
		{"a space behind a line", head + "a := 1 \n", 3, "take out the spaces at its end"},
		{"Windows line ends", "package p\r\n\r\na := 1\r\n", 1, "save it with the line ends of Unix (LF), not those of Windows (CRLF)"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			want, err := format.SourceWithOpts("p.rego", []byte(tt.text), format.Opts{RegoVersion: ast.RegoV1})
			if err != nil {
				t.Fatal(err)
			}
			line, mend := reformat(tt.text, string(want))
			if line != tt.line || mend != tt.mend {
				t.Errorf("got line %d: %s\nwant line %d: %s\nof what the formatter makes:\n%q", line, mend, tt.line, tt.mend, want)
			}
		})
	}
}

// TestSchemasLeftBehind demands one finding of a release that was copied without the
// schemas, and a mend that does not ask for the lines that stand there already.
func TestSchemasLeftBehind(t *testing.T) {
	lines := func(release fstest.MapFS, resolves func(file, to string) bool) []Finding {
		t.Helper()
		found, err := Check(t.Context(), release, decoder(t), Options{Workers: 2, Resolves: resolves})
		if err != nil {
			t.Fatal(err)
		}
		return slices.DeleteFunc(found, func(f Finding) bool { return f.Check != Modelines })
	}
	hold := func(f Finding, file, message, mend string) {
		t.Helper()
		if want := (Finding{Modelines, file, 1, message, mend}); f != want {
			t.Errorf("got\n%+v\nwant\n%+v", f, want)
		}
	}
	nowhere := func(string, string) bool { return false }
	const copied = "by that line an editor finds the schema: copy the folder schema there, beside the folder that holds the releases, or write the file: visitgauge schema "

	release := pruned(t)
	files := 0
	for name := range release {
		if path.Ext(name) == ".yaml" {
			files++
		}
	}
	found := lines(release, nowhere)
	if len(found) != 1 {
		t.Fatalf("%d findings, want one: %+v", len(found), found)
	}
	hold(found[0], "classes/ride-on-flooded.yaml",
		fmt.Sprintf("names the schema ../../../schema/classes.v1.json, which is not there; %d files lead to that folder, and to nothing in it", files),
		copied+"classes > schema/classes.v1.json, and likewise examples, limits, steps, units, unnoticed")

	// One that leads elsewhere, and one that names another schema, are told by themselves.
	units, steps := release["units.yaml"], release["steps.yaml"]
	units.Data = bytes.Replace(units.Data, []byte("$schema=../../schema/"), []byte("$schema=kept/"), 1)
	steps.Data = bytes.Replace(steps.Data, []byte("schema/steps.v1.json"), []byte("schema/step.v1.json"), 1)
	if found = lines(release, nowhere); len(found) != 3 {
		t.Fatalf("%d findings, want three: %+v", len(found), found)
	}
	if !strings.Contains(found[0].Message, fmt.Sprintf("; %d files lead", files-2)) {
		t.Errorf("%d files are left: %s", files-2, found[0].Message)
	}
	hold(found[1], "steps.yaml", "names the schema ../../schema/step.v1.json, but follows steps",
		"let its first line be # yaml-language-server: $schema=../../schema/steps.v1.json")
	hold(found[2], "units.yaml", "names the schema kept/units.v1.json, which is not there",
		"let its first line be # yaml-language-server: $schema=../../schema/units.v1.json, or write the schema to where it leads: visitgauge schema units > PATH")

	// A schema that alone is missing is told without the others.
	found = lines(pruned(t), func(_, to string) bool { return path.Base(to) != "limits.v1.json" })
	if len(found) != 1 {
		t.Fatalf("%d findings, want one: %+v", len(found), found)
	}
	hold(found[0], "limits.yaml", "names the schema ../../schema/limits.v1.json, which is not there", copied+"limits > schema/limits.v1.json")
}

// TestFieldsAreFoundInTheSchema holds the place of an unread field to the line that
// the schema has it on.
func TestFieldsAreFoundInTheSchema(t *testing.T) {
	data, err := schema.Read("visit")
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(string(data), "\n")
	found := 0
	for _, f := range check(t, pruned(t)) {
		if f.Check != Fields || f.File != "visit.v1.json" {
			continue
		}
		found++
		field := f.Message[strings.LastIndexByte(f.Message, '/')+1:]
		if field == "*" {
			field = "items"
		}
		if !strings.Contains(lines[f.Line-1], `"`+field+`"`) {
			t.Errorf("line %d does not hold %q: %s", f.Line, field, f.Message)
		}
	}
	if found == 0 {
		t.Error("few rules read every field")
	}
}

// TestExemptions demands of each exemption that it is known, that it has a reason,
// and that it is needed by the rules of a release.
func TestExemptions(t *testing.T) {
	exempt, err := readExemptions()
	if err != nil {
		t.Fatal(err)
	}
	releases, err := ruleset.ReadReleases(os.DirFS(policiesDir))
	if err != nil {
		t.Fatal(err)
	}
	needed := map[string]bool{}
	for _, entry := range releases.All() {
		set, err := releases.Open(t.Context(), entry, false)
		if err != nil {
			t.Fatal(err)
		}
		found, err := reads.Find(set)
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range found.Unread() {
			needed[f.At] = true
		}
		read := map[string]bool{}
		for _, p := range found.All().Paths {
			if p.Under("data", "classes") && len(p) > 3 {
				read[p[3:].String()] = true
			}
		}
		for _, class := range object(set.Data()["classes"]) {
			have := map[string][]string{}
			leaves(class, nil, have)
			for name := range have {
				if !read[name] {
					needed[name] = true
				}
			}
		}
	}
	for _, list := range []map[string]string{exempt.Visit, exempt.Class} {
		for name, reason := range list {
			if len(strings.Fields(reason)) < 3 {
				t.Errorf("%s is exempt without a reason", name)
			}
			if !needed[name] {
				t.Errorf("%s is exempt, and no release needs that", name)
			}
		}
	}
}
