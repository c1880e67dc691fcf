package main

import (
	"cmp"
	"context"
	"fmt"
	"maps"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/open-policy-agent/opa/v1/profiler"
	"github.com/open-policy-agent/opa/v1/rego"

	"github.com/visitgauge/visitgauge/engine/ruleset"
)

// BenchmarkCosts shows what the files of the release, and their lines, cost in a
// stock query for the sets of every rule: the share of all time, and how often a
// line is evaluated a visit. The profiler makes all of it slower, and short lines
// more so; take shares from it, not times.
//
//	go test ./cmd/visitgauge -run '^$' -bench Costs -benchtime 20x -v
func BenchmarkCosts(b *testing.B) {
	ctx := context.Background()
	set, err := ruleset.Load(ctx, releaseFolder(b), ruleset.Options{})
	if err != nil {
		b.Fatal(err)
	}
	folder := filepath.Join(released(b), benchRelease)
	s := newStock(b, folder, set)
	cases := benchCases(b)
	type cost struct{ time, evaluations int64 }
	files, lines := map[string]cost{}, map[string]cost{}
	visits := 0
	for b.Loop() {
		for _, c := range cases {
			visits++
			p := profiler.New()
			if _, err := s.query.Eval(ctx, rego.EvalInput(c.input), rego.EvalQueryTracer(p)); err != nil {
				b.Fatal(err)
			}
			for file, report := range p.ReportByFile().Files {
				name := strings.TrimPrefix(filepath.ToSlash(strings.TrimPrefix(file, folder)), "/")
				for _, e := range report.Result {
					for to, key := range map[*map[string]cost]string{&files: name, &lines: fmt.Sprintf("%s:%d", name, e.Location.Row)} {
						was := (*to)[key]
						(*to)[key] = cost{was.time + e.ExprTimeNs, was.evaluations + int64(e.NumEval)}
					}
				}
			}
		}
	}
	var all int64
	for _, c := range files {
		all += c.time
	}
	table := func(of map[string]cost, most int) string {
		names := slices.SortedFunc(maps.Keys(of), func(x, y string) int {
			return cmp.Or(cmp.Compare(of[y].time, of[x].time), strings.Compare(x, y))
		})
		var out strings.Builder
		for _, name := range names[:min(most, len(names))] {
			fmt.Fprintf(&out, "%5.1f %% %7d  %s\n", 100*float64(of[name].time)/float64(all), of[name].evaluations/int64(visits), path.Clean(name))
		}
		return out.String()
	}
	b.Logf("by file\n%s\nby line\n%s", table(files, 30), table(lines, 40))
}
