package mutation

import (
	"strings"

	"github.com/open-policy-agent/opa/v1/ast"

	"github.com/visitgauge/visitgauge/engine/ruleset"
)

// site is one place in the rules where one thing can be changed by a switch.
type site struct {
	Change
	number int    // of the switch
	place  string // of the rule or helper
}

// turned says what each comparison is turned into, by the name of its built-in.
var turned = map[string]struct{ from, to string }{
	"lt":    {"<", "<="},
	"lte":   {"<=", "<"},
	"gt":    {">", ">="},
	"gte":   {">=", ">"},
	"equal": {"==", "!="},
	"neq":   {"!=", "=="},
	member2: {"in", "not in"},
	member3: {"in", "not in"},
}

// What is done to a body or to a value.
const (
	leftOut   = "left out"
	leftEmpty = "left empty"
)

// wiring puts switches into modules as they were parsed.
type wiring struct {
	sites []site
	// judged tells of a rule, by its place, whether outcomes can depend on it, and
	// whether only those can whose examples are run.
	judged func(*ast.Location) (any, mine bool)
	unsaid int // places in rules that only words depend on

	file, rule, place string // of what is being wired
}

// module wires a copy of a module.
func (w *wiring) module(file string, m *ast.Module) *ast.Module {
	m = m.Copy()
	w.file = file
	for _, r := range m.Rules {
		w.rule = ruleset.PackageName(m) + "." + ruleset.HeadName(r)
		w.place = placeOf(r.Location)
		if neverHolds(r) {
			continue
		}
		any, mine := w.judged(r.Location)
		if mine {
			w.one(r)
			continue
		}
		if !any {
			before := w.sites
			w.one(r.Copy())
			w.unsaid += len(w.sites) - len(before)
			w.sites = before
		}
	}
	return m
}

func (w *wiring) one(r *ast.Rule) {
	for part := r; part != nil; part = part.Else {
		if r.Default {
			return
		}
		w.comparisons(part)
		w.body(r, part)
	}
}

// add makes a site with a switch of its own, whose number it returns.
func (w *wiring) add(kind Kind, at *ast.Location, text, what string) *ast.Term {
	n := len(w.sites)
	w.sites = append(w.sites, site{number: n, place: w.place, Change: Change{
		Kind: kind, File: w.file, Line: at.Row, Rule: w.rule, Text: folded(text), What: what,
	}})
	return ast.IntNumberTerm(n)
}

// comparisons puts a switch into every comparison below a rule.
func (w *wiring) comparisons(r *ast.Rule) {
	var at *ast.Location // of the expression that is looked at
	var visitor *ast.GenericVisitor
	visitor = ast.NewGenericVisitor(func(x any) bool {
		switch x := x.(type) {
		case *ast.Rule:
			return true // an else is wired by itself
		case *ast.SomeDecl:
			// some x in xs is no comparison; xs may hold one.
			for _, s := range x.Symbols {
				if call, ok := s.Value.(ast.Call); ok {
					visitor.Walk(call[len(call)-1])
				}
			}
			return true
		case *ast.Expr:
			at = x.Location
			if terms, ok := x.Terms.([]*ast.Term); ok {
				x.Terms = w.compared(terms, x.Location, x.Location)
			}
		case *ast.Term:
			if call, ok := x.Value.(ast.Call); ok {
				x.Value = ast.Call(w.compared(call, x.Location, at))
			}
		}
		return false
	})
	visitor.Walk(r.Head)
	visitor.Walk(r.Body)
}

// compared is a call with a switch in it, if it is a comparison.
func (w *wiring) compared(call []*ast.Term, own, around *ast.Location) []*ast.Term {
	operator, ok := call[0].Value.(ast.Ref)
	if !ok {
		return call
	}
	turn, ok := turned[operator.String()]
	if !ok {
		return call
	}
	at := own
	if at == nil || len(at.Text) == 0 {
		at = around
	}
	if at == nil {
		at = operator[0].Location
	}
	number := w.add(Comparison, at, string(at.Text), turn.from+" turned into "+turn.to)
	out := []*ast.Term{ast.NewTerm(ruleset.Reference(switchOf(operator.String()))).SetLocation(call[0].Location), number}
	return append(out, call[1:]...)
}

// body puts a switch behind the body of a rule, or around its value where that is
// made of more than words.
func (w *wiring) body(whole, r *ast.Rule) {
	kind := Body
	if name := ruleset.HeadName(whole); name == "subjects" {
		kind = Source
	}
	at := r.Location
	if at == nil {
		at = whole.Location
	}
	text := string(at.Text)
	if isEmpty(r.Head.Value) {
		return // as in spared := set()
	}
	if r == whole && r.Else == nil && hasValue(r) {
		number := w.add(kind, at, text, leftEmpty)
		r.Head.Value = ast.CallTerm(ast.NewTerm(ruleset.Reference(valueSwitch)), number, r.Head.Value).SetLocation(r.Head.Value.Location)
		return
	}
	last := r.Body[len(r.Body)-1]
	number := w.add(kind, at, text, leftOut)
	r.Body.Append(ast.NewExpr([]*ast.Term{ast.NewTerm(ruleset.Reference(bodySwitch)), number}).SetLocation(last.Location))
}

// hasValue recognises name := value, the value being no single word or number.
func hasValue(r *ast.Rule) bool {
	if len(r.Head.Args) > 0 || r.Head.RuleKind() != ast.SingleValue || len(r.Head.Ref()) != 1 || r.Head.Value == nil {
		return false
	}
	switch r.Head.Value.Value.(type) {
	case ast.Boolean, ast.String, ast.Number, ast.Null:
		return false
	}
	return true
}

// isEmpty recognises set().
func isEmpty(t *ast.Term) bool {
	if t == nil {
		return false
	}
	set, ok := t.Value.(ast.Set)
	return ok && set.Len() == 0
}

// neverHolds recognises a rule that says of itself that it never holds.
func neverHolds(r *ast.Rule) bool {
	for _, e := range r.Body {
		if t, ok := e.Terms.(*ast.Term); ok && !e.Negated && t.Value.Compare(ast.Boolean(false)) == 0 {
			return true
		}
	}
	return false
}

// folded is text on one line.
func folded(text string) string { return strings.Join(strings.Fields(text), " ") }
