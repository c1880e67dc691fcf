package main

import (
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"github.com/visitgauge/visitgauge/engine/ruleset"
	"github.com/visitgauge/visitgauge/reports/workshop"
)

// rulesListFlags are the flags of rules list.
type rulesListFlags struct {
	sourceFlags
	formatFlag
	concern, area, severity []string
}

func newRulesList() *cobra.Command {
	var flags rulesListFlags
	cmd := &cobra.Command{
		Use:   "list [RELEASE]",
		Short: "List the rules of a release",
		Long: `List the rules of a release by concern and area, with the severity each has and
what it asks for.

` + rulesSource + `

` + rulesExitCodes,
		Example: `  visitgauge rules list --area battery
  visitgauge rules list 1.0.0 --concern condition --severity critical,major --format json`,
		Args: arguments(0, 1),
		RunE: func(cmd *cobra.Command, args []string) error {
			return flags.run(cmd, strings.Join(args, ""))
		},
	}
	f := cmd.Flags()
	f.SortFlags = false
	flags.sourceFlags.add(f)
	f.StringSliceVar(&flags.concern, "concern", nil, "only rules of these `CONCERNS`: procedure, condition, programme")
	f.StringSliceVar(&flags.area, "area", nil, "only rules of these `AREAS`, such as battery")
	f.StringSliceVar(&flags.severity, "severity", nil, "only rules of these `SEVERITIES`: critical, major, minor")
	flags.formatFlag.add(cmd, workshop.Text, workshop.JSON)
	return cmd
}

func (f *rulesListFlags) run(cmd *cobra.Command, argument string) error {
	if err := f.formatFlag.check(); err != nil {
		return err
	}
	from, err := f.source(argument)
	if err != nil {
		return err
	}
	set, err := from.load(cmd.Context(), false)
	if err != nil {
		return err
	}
	rules := set.Rules()
	for _, filter := range []struct {
		flag   string
		wanted []string
		of     func(ruleset.Rule) string
	}{
		{"concern", f.concern, func(r ruleset.Rule) string { return r.Concern }},
		{"area", f.area, func(r ruleset.Rule) string { return r.Area }},
		{"severity", f.severity, func(r ruleset.Rule) string { return r.Severity }},
	} {
		if err := known(filter.flag, filter.wanted, set.Rules(), filter.of); err != nil {
			return err
		}
		rules = slices.DeleteFunc(rules, func(r ruleset.Rule) bool {
			return len(filter.wanted) > 0 && !slices.Contains(filter.wanted, filter.of(r))
		})
	}
	result := workshop.NewList(from.name(), set.Digest(), rules)
	return f.write(cmd, "list of rules", result, result.Page)
}

// known refuses words that no rule of the release has.
func known(flag string, wanted []string, rules []ruleset.Rule, of func(ruleset.Rule) string) error {
	var words []string
	for _, r := range rules {
		words = append(words, of(r))
	}
	slices.Sort(words)
	words = slices.Compact(words)
	for _, w := range wanted {
		if !slices.Contains(words, w) {
			return usage("--%s %q: no rule of the release has it\nit is any of %s", flag, w, strings.Join(words, ", "))
		}
	}
	return nil
}
