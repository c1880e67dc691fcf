package ruleset

import "github.com/open-policy-agent/opa/v1/ast"

func nativeModules(m map[string]*ast.Module) (map[string]*ast.Module, []*ast.Builtin) { return m, nil }
