package main

import (
	"context"
	"io/fs"
	"os"
	"runtime/debug"
	"strings"

	"github.com/spf13/cobra"

	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/engine/ruleset"
	"github.com/visitgauge/visitgauge/engine/ruletest"
	"github.com/visitgauge/visitgauge/reports/workshop"
)

// rulesTestFlags are the flags of rules test.
type rulesTestFlags struct {
	sourceFlags
	formatFlag
	rules      []string
	noMutation bool
}

func newRulesTest() *cobra.Command {
	var flags rulesTestFlags
	cmd := &cobra.Command{
		Use:   "test [RELEASE]",
		Short: "Run the examples of a release, and find out what they would not notice",
		Long: `Run the examples of every rule, and tests for OPA's own tester in files
<name>_test.rego beside the rules. Say of each rule what it was seen to answer, and
which lines no example reaches.

Then change one thing at a time: each number that rules hold readings against by a
step to either side, each comparison turned (< into <=, == into !=), each body left
out. A change that no example notices is a hole: a mistake of that kind could stand
in the rules and nobody would know. One that can make no difference is listed in the
release's examples/unnoticed.yaml, with the reason.

` + rulesSource + `

Exit codes:
  0  fine
  1  an example or a test fails, a line is not reached, or there is a hole
  2  wrong usage; nothing was done
  3  it could not be done: the release cannot be loaded, the run was interrupted,
     or the output could not be written`,
		Example: `  visitgauge rules test
  visitgauge rules test policies/1.1.0 --rule condition.battery.weak_cell
  visitgauge rules test 1.0.0 --no-mutation --format json`,
		Args: arguments(0, 1),
		RunE: func(cmd *cobra.Command, args []string) error {
			return flags.run(cmd, strings.Join(args, ""))
		},
	}
	f := cmd.Flags()
	f.SortFlags = false
	flags.sourceFlags.add(f)
	f.StringSliceVar(&flags.rules, "rule", nil, "only these `RULES`, such as condition.battery.weak_cell")
	f.BoolVar(&flags.noMutation, "no-mutation", false, "run the examples and tests alone")
	flags.formatFlag.add(cmd, workshop.Text, workshop.JSON)
	return cmd
}

func (f *rulesTestFlags) run(cmd *cobra.Command, argument string) error {
	if err := f.formatFlag.check(); err != nil {
		return err
	}
	from, err := f.source(argument)
	if err != nil {
		return err
	}
	ctx, stop := interruptible(cmd)
	defer stop()
	set, err := from.load(ctx, false)
	if err != nil {
		return err
	}
	if err := knownRules(set, f.rules); err != nil {
		return err
	}
	decoder, err := (&caseFlags{limits: record.Limits{}}).decoder()
	if err != nil {
		return err
	}
	shown := newStages(cmd.ErrOrStderr())
	result, err := tested(ctx, from.files, set, decoder, ruletest.Options{
		Rules: f.rules, NoMutation: f.noMutation, Progress: shown.step,
	})
	shown.end()
	if err != nil {
		return err
	}
	report := workshop.NewTrial(from.name(), set.Digest(), result)
	if err := f.write(cmd, "result of the tests", report, report.Page); err != nil {
		return err
	}
	if result.Open() || result.NotTried != "" {
		return &exitError{code: exitFailed}
	}
	return nil
}

// tested puts a release through its tests.
func tested(ctx context.Context, release fs.FS, set *ruleset.Set, decoder *record.Decoder, opt ruletest.Options) (*ruletest.Result, error) {
	defer roomForTrials()()
	return ruletest.Run(ctx, release, set, decoder, opt)
}

// heapGrowth is how far the heap may grow between two collections where thousands of
// answers are asked for and thrown away, in percent of what is in use. With Go's own 100,
// a third of the processor time went into collecting some 150 MB again and again.
const heapGrowth = 300

// roomForTrials lets the heap grow so far until back is called, unless GOGC says how far
// it may.
func roomForTrials() (back func()) {
	if os.Getenv("GOGC") != "" {
		return func() {}
	}
	was := debug.SetGCPercent(heapGrowth)
	return func() { debug.SetGCPercent(was) }
}
