package mutation

import (
	"errors"
	"fmt"
	"io/fs"
	"strings"

	"go.yaml.in/yaml/v3"

	"github.com/visitgauge/visitgauge/engine/ruleset"
)

// Unneeded is an entry of [ruleset.UnnoticedFile] that no change needs.
type Unneeded struct {
	File string `json:"file"`
	Line int    `json:"line"`
	Rule string `json:"rule"`
	Text string `json:"text"`
	What string `json:"what"`
}

// entry lists one change by what stands in the rule, not by its line, so that
// other changes to the file leave it alone.
type entry struct {
	Rule    string `yaml:"rule"`
	Text    string `yaml:"text"`
	What    string `yaml:"change"`
	Because string `yaml:"because"`

	line   int
	needed bool
}

// list is the changes that a release says cannot be noticed.
type list struct{ entries []*entry }

func readListed(release fs.FS) (*list, error) {
	data, err := fs.ReadFile(release, ruleset.UnnoticedFile)
	if errors.Is(err, fs.ErrNotExist) {
		return &list{}, nil
	}
	if err != nil {
		return nil, fmt.Errorf("reading what cannot be noticed: %w", err)
	}
	var doc struct {
		Unnoticed []yaml.Node `yaml:"unnoticed"`
	}
	if err := yaml.Unmarshal(data, &doc); err != nil {
		return nil, fmt.Errorf("reading %s: %w", ruleset.UnnoticedFile, err)
	}
	l := &list{}
	for _, n := range doc.Unnoticed {
		e := entry{line: n.Line}
		if err := n.Decode(&e); err != nil {
			return nil, fmt.Errorf("reading %s: %w", ruleset.UnnoticedFile, err)
		}
		l.entries = append(l.entries, &e)
	}
	return l, nil
}

// take gives the reason why a change cannot be noticed, if it is listed. The text
// of an entry is all of what stands there, or a part of it.
func (l *list) take(c Change) (string, bool) {
	found := ""
	for _, e := range l.entries {
		if e.Rule == c.Rule && e.What == c.What && strings.Contains(c.Text, folded(e.Text)) {
			e.needed = true
			found = e.Because
		}
	}
	return found, found != ""
}

// unneeded are the entries that nothing has taken.
func (l *list) unneeded() []Unneeded {
	var all []Unneeded
	for _, e := range l.entries {
		if !e.needed {
			all = append(all, Unneeded{File: ruleset.UnnoticedFile, Line: e.line, Rule: e.Rule, Text: e.Text, What: e.What})
		}
	}
	return all
}
