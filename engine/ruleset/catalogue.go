package ruleset

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io/fs"
	"slices"
	"strings"
)

// catalogueMend is how a catalogue is brought up to date.
const catalogueMend = "run visitgauge rules catalogue --policies on the folder that holds the release"

// marshalCatalogue is the content of a release's catalogue.json: every text a
// report prints, under the one top key catalogue, by which stock OPA reads it as
// data.catalogue. It has sorted keys, two spaces and a last line end, so that equal
// texts are equal bytes and a reviewer can read the difference.
func marshalCatalogue(catalogue any) ([]byte, error) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	if err := e.Encode(map[string]any{"catalogue": catalogue}); err != nil {
		return nil, fmt.Errorf("writing the catalogue: %w", err)
	}
	return b.Bytes(), nil
}

// catalogueOf is the document that rules read as data.catalogue.
func catalogueOf(rules []Rule) map[string]any {
	byName := make(map[string]any, len(rules))
	for _, r := range rules {
		byName[r.Name] = r.document()
	}
	return map[string]any{"rules": byName}
}

// document is the rule as plain data.
func (r Rule) document() map[string]any {
	sources := make([]any, len(r.Sources))
	for i, s := range r.Sources {
		sources[i] = map[string]any{"ref": s.Ref, "description": s.Description}
	}
	cautions := make([]any, len(r.Cautions))
	for i, c := range r.Cautions {
		cautions[i] = c
	}
	return map[string]any{
		"name": r.Name, "concern": r.Concern, "area": r.Area, "title": r.Title, "description": r.Description,
		"sources": sources, "basis": r.Basis, "severity": r.Severity, "says": r.Says, "needs": r.Needs,
		"needs_state": r.NeedsState, "needs_limit": r.NeedsLimit, "remedy": r.Remedy, "who": r.Who,
		"concession": r.Concession, "cautions": cautions, "since": r.Since,
	}
}

// catalogueFields are the members of a rule in data.catalogue.rules.
func catalogueFields() []string {
	var names []string
	for name := range (Rule{}).document() {
		names = append(names, name)
	}
	slices.Sort(names)
	return names
}

// checkCatalogueFile compares the catalogue of the release with what its rules
// say. A release without one is whole all the same: it is written on release.
func (l *loader) checkCatalogueFile() {
	have, ok := l.files.content[CatalogueFile]
	if !ok || l.ignoreCatalogue {
		return
	}
	want, err := marshalCatalogue(l.data["catalogue"])
	if err != nil || !bytes.Equal(have, want) {
		line := 1
		for i := range min(len(have), len(want)) {
			if have[i] != want[i] {
				break
			}
			if have[i] == '\n' {
				line++
			}
		}
		l.add(Problem{File: CatalogueFile, Line: line, Message: "the catalogue does not say what the metadata of the rules says", Mend: catalogueMend})
	}
}

// readCatalogue takes the rules from the catalogue of a vouched release.
func (l *loader) readCatalogue() []Rule {
	content, ok := l.files.content[CatalogueFile]
	if !ok {
		l.add(Problem{File: CatalogueFile, Message: "the release has no catalogue", Mend: catalogueMend})
		return nil
	}
	var document struct {
		Catalogue struct {
			Rules map[string]Rule `json:"rules"`
		} `json:"catalogue"`
	}
	if err := json.Unmarshal(content, &document); err != nil {
		l.add(Problem{File: CatalogueFile, Message: err.Error(), Mend: catalogueMend})
		return nil
	}
	rules := make([]Rule, 0, len(document.Catalogue.Rules))
	for _, r := range document.Catalogue.Rules {
		rules = append(rules, r)
	}
	slices.SortFunc(rules, func(a, b Rule) int { return strings.Compare(a.Name, b.Name) })
	var have []string
	for _, m := range l.modules {
		if m.kind == ruleFile {
			have = append(have, m.pkg)
		}
	}
	slices.Sort(have)
	if !slices.EqualFunc(have, rules, func(name string, r Rule) bool { return name == r.Name }) {
		l.add(Problem{File: CatalogueFile, Message: "the catalogue does not list the rules of the release", Mend: catalogueMend})
	}
	return rules
}

// BuildCatalogue checks a release whole but for its catalogue.json, which may
// be old or missing, and gives the content that file should have.
func BuildCatalogue(ctx context.Context, release fs.FS) ([]byte, error) {
	set, err := load(ctx, release, Options{}, true)
	if err != nil {
		return nil, err
	}
	return marshalCatalogue(set.data["catalogue"])
}
