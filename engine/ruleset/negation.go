package ruleset

import (
	"fmt"

	"github.com/open-policy-agent/opa/v1/ast"
)

// checkNegation finds every not, and every default, that conforming rests on.
// What is undefined for want of a field is true under not, so absence would be
// taken for proof. One idiom is allowed: a reading as found counts where there
// is none as left.
func (l *loader) checkNegation(c *ast.Compiler) {
	reached := map[*ast.Rule]bool{}
	for _, m := range l.modules {
		if m.kind != ruleFile {
			continue
		}
		// The other rules that a rule reads are held to the same, each where it
		// conforms; what they say beside that proves nothing here.
		own := func(r *ast.Rule) bool {
			return r.Location.File == m.file || l.places[r.Location.File].kind == sharedFile
		}
		for _, r := range c.Modules[m.file].Rules {
			if HeadName(r) == Conforming {
				reach(c, r, reached, own)
			}
		}
	}
	type position struct {
		file     string
		row, col int
	}
	rests := map[position]bool{}
	for r := range reached {
		rests[position{r.Location.File, r.Location.Row, r.Location.Col}] = true
	}
	for _, m := range l.modules {
		for _, r := range m.parsed.Rules {
			if !rests[position{m.file, r.Location.Row, r.Location.Col}] || mayNegate(m.pkg+"."+HeadName(r)) {
				continue
			}
			name := HeadName(r)
			if r.Default {
				l.add(Problem{File: m.file, Line: r.Location.Row, Column: r.Location.Col,
					Message: fmt.Sprintf("conforming rests on the default of %s, so absence may count as proof", name),
					Mend:    "write out every case; what fits none is indeterminate"})
			}
			for rule := r; rule != nil; rule = rule.Else {
				l.checkNegatedTerms(m, rule)
			}
		}
	}
}

func (l *loader) checkNegatedTerms(m module, r *ast.Rule) {
	var negated []*ast.Expr
	// The else branches are walked as rules of their own.
	alone := *r
	alone.Else = nil
	ast.WalkExprs(&alone, func(e *ast.Expr) bool {
		if e.Negated {
			negated = append(negated, e)
		}
		return false
	})
	if len(negated) == 1 && isAsLeft(negated[0]) {
		return
	}
	for _, e := range negated {
		written := e.String()
		if e.Location != nil && len(e.Location.Text) > 0 {
			written = string(e.Location.Text)
		}
		l.add(Problem{File: m.file, Line: e.Location.Row, Column: e.Location.Col,
			Message: fmt.Sprintf("conforming rests on %q, so absence may count as proof", written),
			Mend:    "compare with what must be there, as in x == false; only a reading as found may say: not ….as_left"})
	}
}

// isAsLeft recognises not ….as_left.
func isAsLeft(e *ast.Expr) bool {
	t, ok := e.Terms.(*ast.Term)
	if !ok {
		return false
	}
	ref, ok := t.Value.(ast.Ref)
	return ok && ref[len(ref)-1].Equal(ast.StringTerm("as_left"))
}

func mayNegate(name string) bool {
	for _, e := range negationExemptions {
		if e.name == name {
			return true
		}
	}
	return false
}
