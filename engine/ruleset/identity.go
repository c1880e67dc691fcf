package ruleset

import (
	"fmt"
	"strings"

	"github.com/open-policy-agent/opa/v1/ast"
	"github.com/open-policy-agent/opa/v1/dependencies"
)

// checkIdentity demands that what a rule judges, and why it judges nothing, is
// not read from the part of the record that is judged: a cell that was left
// out must be missed, not vanish.
func (l *loader) checkIdentity(c *ast.Compiler) {
	for _, m := range l.modules {
		if m.kind != ruleFile {
			continue
		}
		for _, part := range []string{Subjects, Spared} {
			told := map[string]bool{}
			for _, r := range c.Modules[m.file].Rules {
				if HeadName(r) != part {
					continue
				}
				refs, err := dependencies.Base(c, r)
				if err != nil {
					l.add(Problem{File: m.file, Line: r.Location.Row, Message: "finding what " + part + " depends on: " + err.Error()})
					continue
				}
				for _, ref := range refs {
					path := ref.String()
					if told[path] || mayIdentify(m.pkg, part, path) {
						continue
					}
					told[path] = true
					l.add(Problem{File: m.file, Line: r.Location.Row, Column: r.Location.Col,
						Message: fmt.Sprintf("%s depends on %s, which is no identity of the visit", part, path),
						Mend:    "take subjects from the class, the service level, the steps or earlier visits; what is judged may not decide what is judged"})
				}
			}
		}
	}
}

// mayIdentify reports whether a part of a rule may depend on a path.
func mayIdentify(rule, part, path string) bool {
	under := func(prefix string) bool {
		return path == prefix || strings.HasPrefix(path, prefix+".") || strings.HasPrefix(path, prefix+"[")
	}
	for _, prefix := range identityPaths {
		if under(prefix) {
			return true
		}
	}
	if part == Spared {
		for _, s := range statements {
			if under(s.path) {
				return true
			}
		}
	}
	for _, e := range identityExemptions {
		if e.rule == rule && e.part == part && under(e.path) {
			return true
		}
	}
	return false
}
