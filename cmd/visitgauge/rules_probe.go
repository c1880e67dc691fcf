package main

import (
	"runtime"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"github.com/visitgauge/visitgauge/engine/explain"
	"github.com/visitgauge/visitgauge/engine/probe"
	"github.com/visitgauge/visitgauge/engine/ruleset"
	"github.com/visitgauge/visitgauge/reports/workshop"
)

// rulesProbeFlags are the flags of rules probe.
type rulesProbeFlags struct {
	sourceFlags
	caseFlags
	formatFlag
	rules   []string
	fields  bool
	workers int
}

func newRulesProbe() *cobra.Command {
	var flags rulesProbeFlags
	cmd := &cobra.Command{
		Use:   "probe RECORD [RELEASE]",
		Short: "Find at which values of a record's numbers an outcome turns",
		Long: `Find, for each number in a record, at which values which outcome of which rule turns,
in the record's own unit: by asking the rules, and not by reading their limits. With
--fields, find which single values of the record, taken out or changed, change any
outcome, and which change nothing.

Of each number those rules are asked that read it themselves. It is searched in steps
of one decimal more than its field is written with. Between two values that were tried
and gave the same answers nothing is looked for, so a narrow band that lies far off
may not be seen. RECORD is a file of one record, or - for standard input.

` + rulesSource + `

` + rulesExitCodes,
		Example: `  visitgauge rules probe visit.json --rule condition.battery.full_charge_gravity
  visitgauge rules probe visit.json policies/1.1.0 --earlier archive.jsonl --fields`,
		Args: arguments(1, 2),
		RunE: func(cmd *cobra.Command, args []string) error {
			return flags.run(cmd, args[0], strings.Join(args[1:], ""))
		},
	}
	f := cmd.Flags()
	f.SortFlags = false
	f.StringSliceVar(&flags.rules, "rule", nil, "ask only the rules of these `NAMES`; may be repeated")
	f.BoolVar(&flags.fields, "fields", false, "find what the outcomes hang on, rather than where they turn")
	flags.sourceFlags.add(f)
	flags.caseFlags.add(f)
	flags.formatFlag.add(cmd, workshop.Text, workshop.Markdown, workshop.JSON)
	f.IntVar(&flags.workers, "workers", runtime.GOMAXPROCS(0), "probe `N` numbers or fields at a time")
	return cmd
}

func (f *rulesProbeFlags) run(cmd *cobra.Command, path, argument string) error {
	if err := f.formatFlag.check(); err != nil {
		return err
	}
	if f.workers < 1 {
		return usage("--workers must be 1 or more")
	}
	from, err := f.source(argument)
	if err != nil {
		return err
	}
	set, err := from.load(cmd.Context(), false)
	if err != nil {
		return err
	}
	if err := knownRules(set, f.rules); err != nil {
		return err
	}
	native, err := from.load(cmd.Context(), true)
	if err != nil {
		return err
	}
	one, err := f.one(cmd, path)
	if err != nil {
		return err
	}
	ctx, stop := interruptible(cmd)
	defer stop()
	defer roomForTrials()()
	bar := newProgress(cmd.ErrOrStderr())
	bar.doing, bar.what = "probing", "places"
	defer bar.end()
	p, err := probe.New(ctx, set, one.decoder, one.Case, probe.Options{
		Rules: slices.Clone(f.rules), Native: native, Workers: f.workers, Progress: func(int, int) { bar.step() }, Earlier: one.tracker.Earlier,
	})
	if err != nil {
		return err
	}
	if f.fields {
		fields, err := p.Fields(ctx)
		bar.end()
		if err != nil {
			return err
		}
		result := workshop.Fields{Release: from.name(), Visit: one.Record.ID(), Fields: fields}
		return one.end(f.write(cmd, "fields", result, result.Page))
	}
	numbers, err := p.Numbers(ctx)
	bar.end()
	if err != nil {
		return err
	}
	result := workshop.Numbers{Release: from.name(), Visit: one.Record.ID(), Numbers: numbers}
	return one.end(f.write(cmd, "numbers", result, result.Page))
}

// knownRules refuses names that no rule of the release has.
func knownRules(set *ruleset.Set, names []string) error {
	for _, name := range names {
		if _, ok := set.Rule(name); !ok {
			return usage("--rule: %w", explain.Unknown(set, name))
		}
	}
	return nil
}
