package judge

import (
	"strings"

	"github.com/visitgauge/visitgauge/engine/ruleset"
)

// withUnit is a number with its unit as people read it: "95 in·lbf". Specific
// gravity, pH and counts have no unit in print; a unit that the release does not
// know is printed by its code.
func (src source) withUnit(text, unit string) string {
	symbol := unit
	if u, ok := src.set.Unit(unit); ok {
		symbol = u.Symbol
	}
	if symbol == "" {
		return text
	}
	return text + " " + symbol
}

// basisOf is where a limit comes from and how far that can be trusted: its source
// and its mark (published, common practice …) as the limits file has them.
func basisOf(set *ruleset.Set, path string) (source, mark string) {
	fields := documentOf(set, append([]string{"limits"}, strings.Split(path, ".")...)...)
	source, _ = fields["source"].(string)
	mark, _ = fields["mark"].(string)
	return source, mark
}

// documentOf is an object of the release's data; nil if there is none.
func documentOf(set *ruleset.Set, path ...string) map[string]any {
	doc := set.Data()
	for _, name := range path {
		doc, _ = doc[name].(map[string]any)
	}
	return doc
}
