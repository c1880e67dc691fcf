package ruleset

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"github.com/open-policy-agent/opa/v1/ast"
)

// checkCompiled makes the checks that need the compiled rules.
func (l *loader) checkCompiled(c *ast.Compiler) {
	for _, m := range l.modules {
		l.checkReferences(c, m)
	}
	l.checkUnused(c)
	l.checkIdentity(c)
	l.checkNegation(c)
}

// checkReferences demands that every reference to data leads to a rule or to
// data. To OPA a path that leads nowhere is merely undefined.
func (l *loader) checkReferences(c *ast.Compiler, m module) {
	check := func(t *ast.Term) bool {
		ref, ok := t.Value.(ast.Ref)
		if !ok || !ref.HasPrefix(ast.Ref{ast.DefaultRootDocument}) {
			return false
		}
		if message, mend := l.resolve(c, ref, asWritten(c, ref)); message != "" {
			at := cmp.Or(t.Location, ref[0].Location, m.parsed.Package.Location)
			l.add(Problem{File: m.file, Line: at.Row, Column: at.Col, Message: message, Mend: mend})
		}
		return false
	}
	for _, r := range c.Modules[m.file].Rules {
		ast.WalkTerms(r, check)
	}
}

// resolve says what is wrong with a reference to data, "" if nothing is.
func (l *loader) resolve(c *ast.Compiler, ref ast.Ref, written string) (message, mend string) {
	static := ref.ConstantPrefix()
	if len(static) < 2 {
		return "data as a whole is not for rules to read", "name what is meant"
	}
	for n := 2; n <= len(static); n++ {
		if len(c.GetRulesExact(static[:n])) > 0 {
			return "", "" // the rest is a path into the rule's value, which has a type
		}
	}
	section, _ := static[1].Value.(ast.String)
	switch s := string(section); {
	case slices.Contains(concerns, s):
		return resolveContract(c, ref, written)
	case s == "catalogue":
		return resolveCatalogue(ref, written)
	case s == "limits" || s == "units" || s == "steps" || s == "classes":
		return "", "" // read under a schema that knows every name
	case len(c.GetRulesWithPrefix(static)) > 0:
		return static.String() + " is a package, not a rule", "name one rule of it"
	}
	mend = "check the spelling"
	var known []string
	for _, m := range l.modules {
		for _, r := range m.parsed.Rules {
			known = append(known, "data."+m.pkg+"."+HeadName(r))
		}
	}
	if near := nearest(static.String(), known); near != "" {
		mend = fmt.Sprintf("did you mean %s?", near)
	}
	return static.String() + " is neither a rule nor data", mend
}

// resolveContract allows a rule to read others only as
// data.<concern>[area][name].<part of the contract>.
func resolveContract(c *ast.Compiler, ref ast.Ref, written string) (message, mend string) {
	mend = "read data.<concern>[area][name].<part>, the part one of " + strings.Join(contractNames(), ", ")
	if len(ref) < 5 {
		return written + " reads more of other rules than one part of their contract", mend
	}
	part, ok := ref[4].Value.(ast.String)
	if !ok || !slices.Contains(contractNames(), string(part)) {
		if near := nearest(string(part), contractNames()); near != "" {
			mend = fmt.Sprintf("did you mean %q?", near)
		}
		return written + " reads other rules by a name that is no part of a contract", mend
	}
	for n := 3; n <= 4; n++ { // area and name, where they are written out
		if prefix := ref[:n]; prefix.IsGround() && len(c.GetRulesWithPrefix(prefix)) == 0 {
			return prefix.String() + " is neither a rule nor data", "check the spelling"
		}
	}
	if prefix := ref[:5]; prefix.IsGround() {
		return fmt.Sprintf("the rule read by %s does not define %s", prefix, string(part)), "read a part that it defines"
	}
	return "", ""
}

func resolveCatalogue(ref ast.Ref, written string) (message, mend string) {
	fields := catalogueFields()
	mend = "read data.catalogue.rules[name].<field>, the field one of " + strings.Join(fields, ", ")
	if len(ref) < 5 || !ref[2].Equal(ast.StringTerm("rules")) {
		return written + " does not read one field of a rule in the catalogue", mend
	}
	field, ok := ref[4].Value.(ast.String)
	if !ok || !slices.Contains(fields, string(field)) {
		if near := nearest(string(field), fields); near != "" {
			mend = fmt.Sprintf("did you mean %q?", near)
		}
		return written + " reads a field that the catalogue does not have", mend
	}
	return "", ""
}

// asWritten prints a reference with the variables that its author gave it, not
// those the compiler did.
func asWritten(c *ast.Compiler, ref ast.Ref) string {
	plain := ref.Copy()
	for _, t := range plain {
		if v, ok := t.Value.(ast.Var); ok {
			if own, ok := c.RewrittenVars[v]; ok {
				t.Value = own
			}
		}
	}
	return plain.String()
}
