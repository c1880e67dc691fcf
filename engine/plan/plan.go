package plan

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"sync"

	"github.com/open-policy-agent/opa/v1/ast"
	"github.com/open-policy-agent/opa/v1/ir"
	"github.com/open-policy-agent/opa/v1/rego"
)

// Plan is what a release's rules were planned into. It is read only and may be used by
// several goroutines at once.
type Plan struct {
	functions []*function
	documents map[string]document // by dotted name, below data
	data      *ast.Term           // nil if it comes with the input
	idle      sync.Pool           // of *Run
}

// New plans the documents named, dotted and below data, with all that they rest on. The
// options are those of every query over the release, with a compiler that nobody else
// uses meanwhile; data is what its rules read, which
// is looked up as far as can be while the plan is laid out. If data is nil, nothing is,
// and they are given with each input: see [Plan.OverData].
func New(ctx context.Context, options []func(*rego.Rego), data map[string]any, documents []string) (*Plan, error) {
	p, err := planned(ctx, options, documents)
	if err != nil {
		return nil, fmt.Errorf("planning the rules: %w", err)
	}
	c := &compiler{policy: p.policy, builtins: p.builtins}
	if data != nil {
		value, err := ast.InterfaceToValue(data)
		if err != nil {
			return nil, fmt.Errorf("reading the data to plan with: %w", err)
		}
		c.data = Settled(ast.NewTerm(value))
	}
	functions, err := c.compile()
	if err != nil {
		return nil, fmt.Errorf("laying out the plan of the rules: %w", err)
	}
	return &Plan{functions: functions, documents: documentsOf(p.policy, functions), data: c.data}, nil
}

// document is what can be asked for: the value of one function, or, where a rule
// writes its keys out one by one, an object of the values of several.
type document struct {
	whole *function
	parts map[string]*function // by key
}

// documentsOf finds the functions that stand for documents. A rule's function comes
// with the path of the rule; where that names a key, the document is one step up.
func documentsOf(policy *ir.Policy, functions []*function) map[string]document {
	out := map[string]document{}
	for i, f := range policy.Funcs.Funcs {
		if len(f.Params) != shared || len(f.Path) < 2 {
			continue
		}
		last := len(f.Path) - 1
		above, key := strings.Join(f.Path[1:last], "."), f.Path[last]
		d := out[above]
		if d.parts == nil {
			d.parts = map[string]*function{}
		}
		d.parts[key] = functions[i]
		out[above] = d
		name := strings.Join(f.Path[1:], ".")
		d = out[name]
		d.whole = functions[i]
		out[name] = d
	}
	return out
}

// shared is the number of arguments that every function has: the input and the data.
const shared = 2

// target is the name under which OPA hands its plans to this package.
const target = "visitgauge"

// planner takes a plan over from OPA, which has no other way to give it.
type planner struct{}

func init() { rego.RegisterPlugin(target, planner{}) }

func (planner) IsTarget(name string) bool { return name == target }

// PrepareForEval keeps the plan in the place that the context holds for it.
func (planner) PrepareForEval(ctx context.Context, policy *ir.Policy, options ...rego.PrepareOption) (rego.TargetPluginEval, error) {
	into, ok := ctx.Value(handover{}).(*material)
	if !ok {
		return nil, errors.New("a plan was asked for by another than this package")
	}
	config := &rego.PrepareConfig{}
	for _, o := range options {
		o(config)
	}
	into.policy, into.builtins = policy, config.BuiltinFuncs()
	return unused{}, nil
}

// unused stands where OPA wants an evaluator; its queries are never asked.
type unused struct{}

func (unused) Eval(context.Context, *rego.EvalContext, ast.Value) (ast.Value, error) {
	return nil, errors.New("a plan answers by documents, not by queries")
}

// handover is the key under which a context holds the place for a plan.
type handover struct{}

// planned asks OPA's planner for the functions of documents.
func planned(ctx context.Context, options []func(*rego.Rego), documents []string) (*material, error) {
	body := make(ast.Body, 0, len(documents))
	for i, name := range documents {
		ref, err := ast.ParseRef("data." + name)
		if err != nil {
			return nil, err
		}
		body.Append(ast.Equality.Expr(ast.VarTerm(fmt.Sprintf("answer_%d", i)), ast.NewTerm(ref)))
	}
	into := &material{}
	options = append(options[:len(options):len(options)], rego.ParsedQuery(body), rego.Target(target))
	_, err := rego.New(options...).PrepareForEval(context.WithValue(ctx, handover{}, into))
	return into, err
}
