package workshop

import (
	"github.com/visitgauge/visitgauge/engine/ruleset"
	"github.com/visitgauge/visitgauge/reports/internal/lines"
)

// List is the rules of a release, or those of them that were asked for.
type List struct {
	Release string         `json:"release"`
	Digest  string         `json:"digest"`
	Rules   []ruleset.Rule `json:"rules"` // sorted by name
}

// NewList makes a list of rules, which are sorted by name.
func NewList(release, digest string, rules []ruleset.Rule) List {
	return List{Release: release, Digest: digest, Rules: append([]ruleset.Rule{}, rules...)}
}

// Page puts the list on a page, a table for each concern and area.
func (l List) Page(p *Page) {
	p.Title("Release " + l.Release + ": " + lines.Count(len(l.Rules), "rule", "rules"))
	for rest := l.Rules; len(rest) > 0; {
		first := rest[0]
		var rows [][]string
		for len(rest) > 0 && rest[0].Concern == first.Concern && rest[0].Area == first.Area {
			name := rest[0].Name[len(first.Concern)+len(first.Area)+2:]
			rows = append(rows, []string{name, rest[0].Severity, rest[0].Title})
			rest = rest[1:]
		}
		p.Table([]string{first.Concern + "." + first.Area + ".", "severity", "must be"}, rows)
	}
}
