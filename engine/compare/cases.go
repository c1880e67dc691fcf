package compare

import (
	"crypto/sha256"
	"fmt"
	"reflect"

	"github.com/visitgauge/visitgauge/engine/examples"
	"github.com/visitgauge/visitgauge/engine/judge"
)

// example is the visit of one example.
type example = examples.Case

// cases are the visits of a rule's examples in both releases, each once. Unbuilt
// counts the examples that make no visit that could be handed in.
func (t *trial) cases(rule string) (out []example, unbuilt int, err error) {
	seen := map[[sha256.Size]byte]bool{}
	for _, s := range []*side{t.a, t.b} {
		if _, ok := s.rules[rule]; !ok || len(s.examples[rule]) == 0 {
			continue
		}
		cases, broken, err := s.runner.Some(rule, func(name string) bool { return s == t.a || !t.sameExample(rule, name) })
		if err != nil {
			return nil, 0, fmt.Errorf("release %s: %w", s.Name, err)
		}
		unbuilt += broken
		for _, c := range cases {
			key, err := keyOf(c.Case)
			if err != nil {
				return nil, 0, err
			}
			if !seen[key] {
				seen[key] = true
				out = append(out, c)
			}
		}
	}
	return out, unbuilt, nil
}

// sameExample tells whether both releases have an example, made of the same base
// visits, so that it need not be built twice.
func (t *trial) sameExample(rule, name string) bool {
	old, ok := t.a.examples[rule][name]
	return ok && t.a.bases == t.b.bases && reflect.DeepEqual(old, t.b.examples[rule][name])
}

// keyOf is the same for two cases that no rule can tell apart.
func keyOf(c judge.Case) ([sha256.Size]byte, error) {
	data, err := judge.Input(c)
	return sha256.Sum256(data), err
}
