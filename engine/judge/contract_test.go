package judge

import (
	"slices"
	"strings"
	"testing"

	"github.com/open-policy-agent/opa/v1/ast"
)

func TestWordsOf(t *testing.T) {
	for _, test := range []struct {
		answer string
		want   []string
		fault  string // part of the error
	}{
		{`{"cell B1.10", "cell B1.2"}`, []string{"cell B1.2", "cell B1.10"}, ""},
		{`["cell B1.2", "cell B1.1", "cell B1.2"]`, []string{"cell B1.1", "cell B1.2"}, ""},
		{`set()`, nil, ""},
		{`{"cell B1.1", 7}`, nil, "7"},
		{`{"cell B1.1", ""}`, nil, `""`},
		{`{"cell B1.1": true}`, nil, "no set of names"},
		{`"cell B1.1"`, nil, "no set of names"},
	} {
		value := ast.MustParseTerm(test.answer).Value
		if call, ok := value.(ast.Call); ok && call.String() == "set()" {
			value = ast.NewSet()
		}
		got, err := wordsOf(value)
		if test.fault != "" {
			if err == nil || !strings.Contains(err.Error(), test.fault) {
				t.Errorf("%s: error %v, want one that says %s", test.answer, err, test.fault)
			}
			continue
		}
		if err != nil || !slices.Equal(got, test.want) {
			t.Errorf("%s: got %q, %v; want %q", test.answer, got, err, test.want)
		}
	}
}
