package review

import (
	"bytes"
	"path"
	"strings"

	"github.com/open-policy-agent/opa/v1/ast"
	"github.com/open-policy-agent/opa/v1/format"

	"github.com/visitgauge/visitgauge/engine/ruleset"
)

// plain makes the checks that need no release that can be loaded.
func (r *reviewer) plain() error {
	formatted := r.walk(".rego", func(name string, data []byte) {
		want, err := format.SourceWithOpts(name, data, format.Opts{RegoVersion: ast.RegoV1})
		if err != nil {
			return // the loader says what cannot be parsed
		}
		if bytes.Equal(want, data) {
			return
		}
		line := 1 + bytes.Count(data[:common(want, data)], []byte("\n"))
		r.add(Format, name, line, "is not formatted as OPA's formatter does", "run opa fmt --write on it")
	})
	lines := r.walk(".yaml", func(name string, data []byte) {
		if message, mend := Modeline(name, data, r.opt.Resolves); message != "" {
			r.add(Modelines, name, 1, message, mend)
		}
	})
	return firstOf(formatted, lines)
}

// common is how long the beginning is that two texts share.
func common(a, b []byte) int {
	n := 0
	for n < len(a) && n < len(b) && a[n] == b[n] {
		n++
	}
	return n
}

// modeline begins the comment by which an editor finds the schema of a file.
const modeline = "# yaml-language-server: $schema="

// Modeline says what is wrong with the first line of a YAML file of a policies
// folder or of a release, and what would mend it; both are empty if nothing is. The
// file is named by its path in the release, or is releases.yaml. Resolves is as in
// [Options].
func Modeline(file string, data []byte, resolves func(file, path string) bool) (message, mend string) {
	schema, depth := schemaOf(file)
	if schema == "" {
		return "", "" // the loader says that the file has no place
	}
	want := modeline + strings.Repeat("../", depth) + "schema/" + schema + ".v1.json"
	mend = "let its first line be " + want
	first, _, _ := strings.Cut(string(data), "\n")
	target, ok := strings.CutPrefix(first, modeline)
	switch {
	case !ok:
		return "does not say by which schema an editor can check it", mend
	case path.Base(target) != schema+".v1.json":
		return "names the schema " + target + ", but follows " + schema, mend
	case resolves != nil && !resolves(file, target):
		return "names the schema " + target + ", which is not there", mend + ", or the path to a copy written by visitgauge schema " + schema
	}
	return "", ""
}

// schemaOf is the schema that a file follows, and how many folders lie between it
// and the one that holds policies and schema.
func schemaOf(file string) (schema string, depth int) {
	const release = 2 // policies/<version>
	switch dir, name := path.Split(file); {
	case file == ruleset.ReleasesFile:
		return "releases", 1
	case file == ruleset.UnnoticedFile:
		return "unnoticed", release + 1
	case file == ruleset.UnreadFile:
		return "unread", release + 1
	case dir == "":
		return strings.TrimSuffix(name, ".yaml"), release
	case dir == "classes/":
		return "classes", release + 1
	case strings.HasPrefix(dir, "examples/"):
		return "examples", release + strings.Count(dir, "/")
	}
	return "", 0
}
