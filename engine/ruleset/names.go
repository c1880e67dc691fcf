package ruleset

import (
	"strings"

	"github.com/open-policy-agent/opa/v1/ast"
)

// Dotted writes a reference of names as one name.
func Dotted(ref ast.Ref) string {
	parts := make([]string, len(ref))
	for i, t := range ref {
		switch v := t.Value.(type) {
		case ast.Var:
			parts[i] = string(v)
		case ast.String:
			parts[i] = string(v)
		default:
			parts[i] = t.String()
		}
	}
	return strings.Join(parts, ".")
}

// Reference is the reference of a dotted name.
func Reference(name string) ast.Ref {
	parts := strings.Split(name, ".")
	ref := ast.Ref{ast.VarTerm(parts[0])}
	for _, p := range parts[1:] {
		ref = append(ref, ast.StringTerm(p))
	}
	return ref
}

// HeadName is the name that a rule defines in its package.
func HeadName(r *ast.Rule) string {
	ref := r.Head.Ref()
	return Dotted(ref[:min(1, len(ref))])
}

// PackageName is the dotted path of a module's package, below data.
func PackageName(m *ast.Module) string { return Dotted(m.Package.Path[1:]) }
