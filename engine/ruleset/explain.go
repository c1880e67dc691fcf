package ruleset

import (
	"errors"
	"fmt"
	"strings"

	"github.com/open-policy-agent/opa/v1/ast"
)

// addRego turns errors of the Rego parser and compiler into problems.
func (l *loader) addRego(file string, err error) {
	var list ast.Errors
	var one *ast.Error
	switch {
	case errors.As(err, &list):
	case errors.As(err, &one):
		list = ast.Errors{one}
	default:
		l.add(Problem{File: file, Message: err.Error()})
		return
	}
	for _, e := range list {
		p := Problem{File: file, Message: e.Message}
		if e.Location != nil {
			p.Line, p.Column = e.Location.Row, e.Location.Col
			if e.Location.File != "" {
				p.File = e.Location.File
			}
		}
		p.Message, p.Mend = explain(e)
		places := []*ast.Location{}
		if d, ok := e.Details.(*ast.RefErrInvalidDetail); ok {
			places = l.placesOf(p.File, d)
		}
		for _, at := range places {
			p.Line, p.Column = at.Row, at.Col
			l.add(p)
		}
		if len(places) == 0 {
			l.add(p)
		}
	}
}

// placesOf finds where an invalid reference is written. The compiler gives all
// references through one import the place of the last of them.
func (l *loader) placesOf(file string, d *ast.RefErrInvalidDetail) []*ast.Location {
	var places []*ast.Location
	if d.Pos >= len(d.Ref) {
		return nil
	}
	for _, m := range l.modules {
		if m.file != file {
			continue
		}
		ast.WalkRefs(m.parsed, func(ref ast.Ref) bool {
			for i := 1; i < len(ref) && i <= d.Pos; i++ {
				if ref[i].Location != nil && sameTail(ref[1:i+1], d.Ref[:d.Pos+1]) {
					places = append(places, ref[i].Location)
				}
			}
			return false
		})
	}
	return places
}

// sameTail reports whether ref ends in tail, whose variables stand for any.
func sameTail(tail, ref ast.Ref) bool {
	ref = ref[len(ref)-len(tail):]
	for i, t := range tail {
		if t.IsGround() && ref[i].IsGround() && !t.Equal(ref[i]) {
			return false
		}
	}
	return tail[len(tail)-1].Equal(ref[len(ref)-1])
}

// explain says a compiler's error so that the author of a rule knows what to do.
func explain(e *ast.Error) (message, mend string) {
	switch d := e.Details.(type) {
	case *ast.RefErrInvalidDetail:
		return explainRef(d)
	case nil:
	default:
		mend = strings.Join(d.Lines(), "; ")
	}
	message = e.Message
	if name, ok := strings.CutPrefix(message, "undefined function "); ok {
		if _, exists := ast.BuiltinMap[name]; exists {
			return "the built-in function " + name + " is not allowed in a release",
				"a rule computes from input and data alone; what reads a clock, a network, a random number or the machine it runs on is left out, and so is what no rule needed yet"
		}
		return "there is no function " + name, "check the spelling and the import"
	}
	if e.Code == ast.ParseErr && mend != "" {
		return message, "correct the Rego here or just before: " + strings.TrimSpace(mend)
	}
	return message, mend
}

func explainRef(d *ast.RefErrInvalidDetail) (message, mend string) {
	path := d.Ref[:min(d.Pos+1, len(d.Ref))].String()
	message = path + " is not there"
	if d.Pos >= len(d.Ref) {
		return message, ""
	}
	name, _ := d.Ref[d.Pos].Value.(ast.String)
	var known []string
	for _, v := range d.OneOf {
		if s, ok := v.(ast.String); ok {
			known = append(known, string(s))
		}
	}
	switch near := nearest(string(name), known); {
	case near != "":
		mend = fmt.Sprintf("did you mean %q? ", near)
		fallthrough
	case len(known) > 0:
		mend += "the names there are " + strings.Join(known, ", ")
	case d.Want != nil:
		mend = "what is read here must be of type " + d.Want.String()
	}
	return message, mend
}
