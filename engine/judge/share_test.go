package judge

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/open-policy-agent/opa/v1/ast"
)

// TestSharingIsThePlain: the document is the same as of a case by itself, to the way its
// numbers are written, and what two cases have in common is there once.
func TestSharingIsThePlain(t *testing.T) {
	plain, shared := fullCase(t), Sharing{}
	altered := plain
	altered.Record = testRecord(t, allGood, edits{"/kind": "service"})
	var ins []ast.Value
	for _, c := range []Case{plain, altered, plain} {
		want, err := Prepare(c)
		if err != nil {
			t.Fatal(err)
		}
		got, err := shared.Prepare(c)
		if err != nil {
			t.Fatal(err)
		}
		if want.Input().String() != got.Input().String() || want.Input().Compare(got.Input()) != 0 || want.Input().Hash() != got.Input().Hash() {
			t.Errorf("shared:\n%v\nplain:\n%v", got.Input(), want.Input())
		}
		ins = append(ins, got.Input())
	}
	at := func(v ast.Value, path ...string) ast.Value {
		ref := ast.Ref{}
		for _, p := range path {
			ref = append(ref, ast.StringTerm(p))
		}
		found, err := v.Find(ref)
		if err != nil {
			t.Fatal(err)
		}
		return found
	}
	if at(ins[0], "visit", "machine") != at(ins[1], "visit", "machine") {
		t.Error("the machine of two visits, which is the same, is there twice")
	}
	if at(ins[0], "visit") != at(ins[2], "visit") {
		t.Error("a visit that came twice is there twice")
	}
}

// Values that are equal but written otherwise stay apart.
func TestSharingKeepsWriting(t *testing.T) {
	const text = `[95, 95.0, 9.5e1, "95", true, "true", null, "null", [], {}, [[]], {"a": []}, ["a", []], [95.0], [95]]`
	dec := json.NewDecoder(strings.NewReader(text))
	dec.UseNumber()
	var v any
	if err := dec.Decode(&v); err != nil {
		t.Fatal(err)
	}
	var s Sharing
	held, err := s.hold(v)
	if err != nil {
		t.Fatal(err)
	}
	if want := ast.MustParseTerm(text); held.term.String() != want.String() {
		t.Errorf("held %v, want %v", held.term, want)
	}
	if _, err := s.hold([]any{1.5}); err == nil {
		t.Error("a number that does not stand as it was written was held")
	}
}
