package main

import (
	"context"
	"errors"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"golang.org/x/mod/semver"

	"github.com/visitgauge/visitgauge/engine/explain"
	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/reports/workshop"
)

// rulesExplainFlags are the flags of rules explain.
type rulesExplainFlags struct {
	sourceFlags
	formatFlag
}

func newRulesExplain() *cobra.Command {
	var flags rulesExplainFlags
	cmd := &cobra.Command{
		Use:   "explain RULE [RELEASE]",
		Short: "Say all that there is to say of one rule",
		Long: `Say what a rule asks for and why, which limits, numbers of the classes of machines and
fields of the record it reads, itself or through what it uses, what it answers to its
examples, and in which releases it changed, by its own text or by something that it
rests on.

` + rulesSource + `

` + rulesExitCodes,
		Example: `  visitgauge rules explain condition.battery.full_charge_gravity
  visitgauge rules explain condition.battery.post_torque 1.0.0 --format markdown`,
		Args: arguments(1, 2),
		RunE: func(cmd *cobra.Command, args []string) error {
			return flags.run(cmd, args[0], strings.Join(args[1:], ""))
		},
	}
	f := cmd.Flags()
	f.SortFlags = false
	flags.sourceFlags.add(f)
	flags.formatFlag.add(cmd, workshop.Text, workshop.Markdown, workshop.JSON)
	return cmd
}

func (f *rulesExplainFlags) run(cmd *cobra.Command, rule, argument string) error {
	if err := f.formatFlag.check(); err != nil {
		return err
	}
	from, err := f.source(argument)
	if err != nil {
		return err
	}
	all, err := from.siblings(cmd.Context())
	if err != nil {
		return err
	}
	i := slices.IndexFunc(all, func(r explain.Release) bool { return r.Entry.Version == from.entry.Version })
	of := all[i]
	if from.releases == nil {
		all = nil
	}
	decoder, err := (&caseFlags{limits: record.Limits{}}).decoder()
	if err != nil {
		return err
	}
	x, err := explain.Rule(cmd.Context(), of, rule, decoder, all)
	var unknown *explain.UnknownError
	if errors.As(err, &unknown) {
		return usage("%w", err)
	}
	if err != nil {
		return err
	}
	return f.write(cmd, "explanation", x, workshop.Explanation(x))
}

// siblings loads the release and all that are listed beside it, in ascending order
// of version.
func (s source) siblings(ctx context.Context) ([]explain.Release, error) {
	if s.releases == nil {
		set, err := s.load(ctx, false)
		return []explain.Release{{Files: s.files, Set: set}}, err
	}
	var out []explain.Release
	for _, entry := range s.releases.All() {
		one := s
		one.entry = entry
		files, err := s.releases.Folder(entry)
		if err != nil {
			return nil, err
		}
		set, err := one.load(ctx, false)
		if err != nil {
			return nil, err
		}
		out = append(out, explain.Release{Entry: entry, Files: files, Set: set})
	}
	slices.SortFunc(out, func(a, b explain.Release) int { return semver.Compare("v"+a.Entry.Version, "v"+b.Entry.Version) })
	return out, nil
}
