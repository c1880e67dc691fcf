package ruleset

import (
	"fmt"
	"strings"

	"github.com/open-policy-agent/opa/v1/ast"
	"github.com/open-policy-agent/opa/v1/rego"
	"github.com/open-policy-agent/opa/v1/types"
)

// Helpers of a release that are pure arithmetic cost most of an evaluation.
// With [Options.Native], calls of those named here go to Go code of the same
// meaning: same answer for the same arguments, undefined where the helper is,
// an error where it is one. The release is not changed by it: under stock OPA
// the helpers' own Rego gives the answers, and a property test holds the two
// together.

// nativeFunction takes the place of one helper. It returns nil where the helper
// is undefined.
type nativeFunction func(args []*ast.Term) (*ast.Term, error)

// nativeName is what the built-in is called that stands in for a helper.
func nativeName(helper string) string { return "native." + helper }

// nativeKey names a helper by its path and the number of its arguments.
func nativeKey(helper string, arity int) string { return fmt.Sprintf("%s/%d", helper, arity) }

// nativeBuiltins declares the built-ins that stand in for helpers.
func nativeBuiltins() []*ast.Builtin {
	declared := make([]*ast.Builtin, 0, len(nativeFunctions))
	for _, n := range nativeFunctions {
		declared = append(declared, &ast.Builtin{Name: nativeName(n.helper), Decl: nativeType(n.arity)})
	}
	return declared
}

func nativeType(arity int) *types.Function {
	args := make([]types.Type, arity)
	for i := range args {
		args[i] = types.A
	}
	return types.NewFunction(args, types.A)
}

// nativeOptions gives a query the implementations.
func nativeOptions() []func(*rego.Rego) {
	options := make([]func(*rego.Rego), 0, len(nativeFunctions))
	for _, n := range nativeFunctions {
		f := n.function
		options = append(options, rego.FunctionDyn(
			&rego.Function{Name: nativeName(n.helper), Decl: nativeType(n.arity)},
			func(_ rego.BuiltinContext, args []*ast.Term) (*ast.Term, error) { return f(args) },
		))
	}
	return options
}

// nativeModules gives copies of the modules in which every call of a helper
// that has a native implementation, and that the modules define, goes to it.
func nativeModules(modules map[string]*ast.Module) map[string]*ast.Module {
	defined := map[string]bool{}
	for _, m := range modules {
		for _, r := range m.Rules {
			defined[nativeKey(PackageName(m)+"."+HeadName(r), len(r.Head.Args))] = true
		}
	}
	known := map[string]bool{}
	for _, n := range nativeFunctions {
		if key := nativeKey(n.helper, n.arity); defined[key] {
			known[key] = true
		}
	}
	out := make(map[string]*ast.Module, len(modules))
	for file, m := range modules {
		m = m.Copy()
		imports := map[ast.Var]string{}
		for _, i := range m.Imports {
			if ref, ok := i.Path.Value.(ast.Ref); ok {
				imports[i.Name()] = Dotted(ref)
			}
		}
		redirect := func(call []*ast.Term) {
			operator, ok := call[0].Value.(ast.Ref)
			if !ok {
				return
			}
			path := calledPath(operator, PackageName(m), imports)
			if known[nativeKey(path, len(call)-1)] {
				call[0] = ast.NewTerm(Reference(nativeName(path))).SetLocation(call[0].Location)
			}
		}
		ast.WalkExprs(m, func(e *ast.Expr) bool {
			if terms, ok := e.Terms.([]*ast.Term); ok && len(terms) > 0 {
				redirect(terms)
			}
			return false
		})
		ast.WalkTerms(m, func(t *ast.Term) bool {
			if call, ok := t.Value.(ast.Call); ok {
				redirect(call)
			}
			return false
		})
		out[file] = m
	}
	return out
}

// calledPath is the path of the function that an operator names: through an
// import, by its full path, or in the same package.
func calledPath(operator ast.Ref, pkg string, imports map[ast.Var]string) string {
	path := Dotted(operator)
	head, ok := operator[0].Value.(ast.Var)
	if !ok {
		return path
	}
	if to, ok := imports[head]; ok {
		return strings.TrimPrefix(to+strings.TrimPrefix(path, string(head)), "data.")
	}
	if rest, ok := strings.CutPrefix(path, "data."); ok {
		return rest
	}
	if len(operator) == 1 {
		return pkg + "." + path
	}
	return path
}
