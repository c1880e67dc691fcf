package plan_test

import (
	"sync"
	"testing"

	"github.com/visitgauge/visitgauge/engine/plan"
)

const resting = `package r

base := input.a

helper(x) := (x + base) + input.c

top contains helper(1)

through := sum(top)

keyed["x"] := base

keyed["y"] := input.b

aside := input.b

none if base == 3
`

// TestAnswersAreTaken puts one input before the plan and then another, as if something had
// changed in base: what rests on it is that of the second input, all else that of the
// first.
func TestAnswersAreTaken(t *testing.T) {
	names := []string{"r.base", "r.top", "r.through", "r.keyed", "r.aside", "r.none"}
	p, err := plan.New(t.Context(), made(t, map[string]string{"r.rego": resting}), limits, names)
	if err != nil {
		t.Fatal(err)
	}
	first := p.Over(t.Context(), valueOf(t, `{"a": 1, "b": 10, "c": 100}`))
	for _, name := range names {
		if _, err := first.Ask(name); err != nil {
			t.Fatal(err)
		}
	}
	answers := first.Answers()
	first.Close()
	for _, c := range []struct {
		changed string
		want    map[string]string
	}{
		{"r.base", map[string]string{"r.base": "3", "r.top": "{304}", "r.through": "304", "r.keyed": `{"x": 3, "y": 10}`, "r.aside": "10", "r.none": "true"}},
		{"r.helper", map[string]string{"r.base": "1", "r.top": "{302}", "r.through": "302", "r.keyed": `{"x": 1, "y": 10}`, "r.aside": "10", "r.none": ""}},
		{"r.keyed", map[string]string{"r.base": "1", "r.top": "{102}", "r.through": "102", "r.keyed": `{"x": 1, "y": 30}`, "r.aside": "10", "r.none": ""}},
		{"r.aside", map[string]string{"r.base": "1", "r.keyed": `{"x": 1, "y": 10}`, "r.aside": "30"}},
		{"r.ba", map[string]string{"r.base": "1", "r.aside": "10"}}, // which is no document
	} {
		run := p.Over(t.Context(), valueOf(t, `{"a": 3, "b": 30, "c": 300}`))
		run.Take(answers, p.Resting(c.changed))
		for name, want := range c.want {
			got, err := run.Ask(name)
			if err != nil {
				t.Fatal(err)
			}
			text := ""
			if got != nil {
				text = got.String()
			}
			if text != want {
				t.Errorf("%s changed: %s is %q, want %q", c.changed, name, text, want)
			}
		}
		run.Close()
	}
	run := p.Over(t.Context(), valueOf(t, `{"a": 3, "b": 30, "c": 300}`))
	defer run.Close()
	if got, err := run.Ask("r.aside"); err != nil || got.String() != "30" {
		t.Errorf("answers that were taken are still there in the next run: %v, %v", got, err)
	}
}

// TestAnswersAreShared has two goroutines use the same answers, one to walk a set and one
// to join it with another: each sees all of its members.
func TestAnswersAreShared(t *testing.T) {
	p, err := plan.New(t.Context(), made(t, map[string]string{"s.rego": `package s

big contains sprintf("m%v", [i * 7919 % 1000]) if some i in numbers.range(1, 300)

pairs contains {"of": big} if input.a

joined := count(big | {"other"})

common := count(big & {x | some x in big})

walked := count([x | some x in big])

nested := count([x | some p in pairs; some x in p.of & big])
`}), limits, []string{"s.big", "s.pairs", "s.joined", "s.common", "s.walked", "s.nested"})
	if err != nil {
		t.Fatal(err)
	}
	in := valueOf(t, `{"a": 1}`)
	for range 300 {
		first := p.Over(t.Context(), in)
		for _, name := range []string{"s.big", "s.pairs"} {
			if _, err := first.Ask(name); err != nil {
				t.Fatal(err)
			}
		}
		answers := first.Answers()
		first.Close()
		var all sync.WaitGroup
		for name, want := range map[string]string{"s.joined": "301", "s.common": "300", "s.walked": "300", "s.nested": "300"} {
			all.Go(func() {
				run := p.Over(t.Context(), in)
				defer run.Close()
				run.Take(answers, p.Resting("nothing"))
				if got, err := run.Ask(name); err != nil || got.String() != want {
					t.Errorf("%s is %v (%v), want %s", name, got, err, want)
				}
			})
		}
		all.Wait()
	}
}
