package ruleset

import (
	"fmt"
	"path"
	"regexp"
	"slices"
	"strings"
)

// CatalogueFile is the file of a release that holds the texts of its rules,
// written when it is released.
const CatalogueFile = "catalogue.json"

// UnnoticedFile is the file of a release that lists what its examples cannot
// notice.
const UnnoticedFile = "examples/unnoticed.yaml"

// UnreadFile is the file of a release that lists the fields which its rules leave unread,
// each with what it is there for.
const UnreadFile = "examples/unread.yaml"

// IsTest tells whether a file of a release, by its path, holds tests for OPA's own
// tester. Such a file belongs to the release as examples do, and is no rule.
func IsTest(name string) bool {
	at, err := layoutOf(name)
	return err == nil && at.kind == testFile
}

// A fileKind is the part that a file plays in a release.
type fileKind int

const (
	otherFile     fileKind = iota // text for people; never read
	ruleFile                      // <concern>/<area>/<name>.rego
	sharedFile                    // shared/<name>.rego
	dataFile                      // limits.yaml, steps.yaml, units.yaml
	classFile                     // classes/<id>.yaml
	examplesFile                  // examples/<concern>/<area>/<name>.yaml
	baseFile                      // examples/base/<name>.json
	catalogueFile                 // catalogue.json
	listFile                      // examples/unnoticed.yaml, examples/unread.yaml
	testFile                      // <name>_test.rego beside a rule or helper; for OPA's tester
)

// testSuffix ends the name of a file of tests, which is no rule.
const testSuffix = "_test"

// layout is what the place of a file says about it.
type layout struct {
	kind    fileKind
	pkg     string // rules and shared files: the package that belongs in it
	topKey  string // data files: the one key at the top
	schema  string // data files: the schema they follow
	section string // data that rules read: the first part of its path under data
}

var concerns = []string{Procedure, Condition, Programme}

var (
	packagePart = regexp.MustCompile(`^[a-z][a-z0-9_]*$`)
	plainID     = regexp.MustCompile(`^[a-z0-9][a-z0-9-]*$`)
)

// layoutOf reads a file's place in the release. A file that has no place is an
// error: it would be hashed and never looked at.
func layoutOf(name string) (layout, error) {
	dir, file := path.Split(name)
	base := strings.TrimSuffix(file, path.Ext(file))
	parts := strings.Split(strings.TrimSuffix(dir, "/"), "/")
	switch ext := path.Ext(file); {
	case ext == ".md":
		return layout{kind: otherFile}, nil
	case name == CatalogueFile:
		return layout{kind: catalogueFile, topKey: "catalogue", section: "catalogue"}, nil
	case ext == ".yaml" && dir == "" && slices.Contains([]string{"limits", "steps", "units"}, base):
		return layout{kind: dataFile, topKey: base, schema: base, section: base}, nil
	case ext == ".yaml" && dir == "classes/" && plainID.MatchString(base):
		return layout{kind: classFile, topKey: base, schema: "classes", section: "classes"}, nil
	case ext == ".json" && dir == "examples/base/" && plainID.MatchString(base):
		return layout{kind: baseFile, topKey: base, schema: "visit"}, nil
	case ext == ".yaml" && len(parts) == 3 && parts[0] == "examples" && slices.Contains(concerns, parts[1]):
		return layout{kind: examplesFile, topKey: base, schema: "examples", pkg: strings.Join(append(parts[1:], base), ".")}, nil
	case name == UnnoticedFile, name == UnreadFile:
		return layout{kind: listFile, topKey: base, schema: base}, nil
	case ext == ".rego" && strings.HasSuffix(base, testSuffix) && (dir == "shared/" || len(parts) == 2 && slices.Contains(concerns, parts[0]) && packagePart.MatchString(parts[1])):
		return layout{kind: testFile}, nil
	case ext == ".rego" && packagePart.MatchString(base):
		pkg := strings.Join(append(parts, base), ".")
		if dir == "shared/" {
			return layout{kind: sharedFile, pkg: pkg}, nil
		}
		if len(parts) == 2 && slices.Contains(concerns, parts[0]) && packagePart.MatchString(parts[1]) {
			return layout{kind: ruleFile, pkg: pkg}, nil
		}
	}
	return layout{}, fmt.Errorf("has no place in a release")
}

const layoutMend = "a rule is <concern>/<area>/<name>.rego with a concern of procedure, condition or programme; " +
	"helpers are shared/<name>.rego; data are limits.yaml, steps.yaml, units.yaml, classes/<id>.yaml; " +
	"examples are examples/<concern>/<area>/<name>.yaml and examples/base/<name>.json; " +
	"tests are <name>_test.rego beside a rule or helper"
