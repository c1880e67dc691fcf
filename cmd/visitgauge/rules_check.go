package main

import (
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"runtime"
	"strings"

	"github.com/spf13/cobra"

	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/engine/review"
	"github.com/visitgauge/visitgauge/engine/ruleset"
	"github.com/visitgauge/visitgauge/reports/workshop"
)

// rulesCheckFlags are the flags of rules check.
type rulesCheckFlags struct {
	sourceFlags
	formatFlag
	workers int
}

func newRulesCheck() *cobra.Command {
	var flags rulesCheckFlags
	cmd := &cobra.Command{
		Use:   "check [RELEASE]",
		Short: "Look at a release as a careful reviewer would",
		Long: `Check all that a release must be to be loaded, and what is allowed but not meant: a
limit no rule reads, a field of the record or of a class nothing uses, a step no class
requires, a rule that answers two ways at once, a number without a source, a guarded
limit that leaves less than a quarter of its band for the instruments of the base
visits, wording that leaves a placeholder empty, Rego that OPA's formatter would write
otherwise, and a file that an editor is not told the schema of. Each finding has its
file and line, and what would mend it.

That a rule cannot answer two ways, and leaves no placeholder empty, is looked for in
its text and its examples; it is not proven.

` + rulesSource + `

` + rulesExitCodes,
		Example: `  visitgauge rules check policies/1.1.0
  visitgauge rules check 1.0.0 --format json`,
		Args: arguments(0, 1),
		RunE: func(cmd *cobra.Command, args []string) error {
			return flags.run(cmd, strings.Join(args, ""))
		},
	}
	f := cmd.Flags()
	f.SortFlags = false
	flags.sourceFlags.add(f)
	flags.formatFlag.add(cmd, workshop.Text, workshop.Markdown, workshop.JSON)
	f.IntVar(&flags.workers, "workers", runtime.GOMAXPROCS(0), "ask `N` rules at a time")
	return cmd
}

func (f *rulesCheckFlags) run(cmd *cobra.Command, argument string) error {
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
	if from.frozen() {
		// What was altered is no release, and not worth a look.
		if err := from.releases.Unaltered(from.entry); err != nil {
			return err
		}
	}
	decoder, err := (&caseFlags{limits: record.Limits{}}).decoder()
	if err != nil {
		return err
	}
	bar := newProgress(cmd.ErrOrStderr())
	bar.doing, bar.what = "asking", "rules"
	defer bar.end()
	ctx, stop := interruptible(cmd)
	defer stop()
	findings, err := review.Check(ctx, from.files, decoder, review.Options{
		Workers:  f.workers,
		Progress: func(int, int) { bar.step() },
		Resolves: resolver(from.folder),
	})
	if err != nil {
		return err
	}
	bar.end()
	if line := listModeline(from); line != nil {
		findings = append(findings, *line)
	}
	result := workshop.Findings{Release: from.name(), Findings: findings}
	if err := f.write(cmd, "findings", result, result.Page); err != nil {
		return err
	}
	if len(findings) > 0 {
		return &exitError{code: exitFailed}
	}
	return nil
}

// resolver finds files by paths that stand in files of a folder on disk; nil where
// there is none.
func resolver(folder string) func(file, to string) bool {
	if folder == "" {
		return nil
	}
	return func(file, to string) bool {
		info, err := os.Stat(filepath.Join(folder, filepath.FromSlash(path.Join(path.Dir(file), to))))
		return err == nil && info.Mode().IsRegular()
	}
}

// listModeline looks at the first line of the releases.yaml that lists a release on
// disk.
func listModeline(s source) *review.Finding {
	if s.releases == nil || s.folder == "" {
		return nil
	}
	above := filepath.Dir(filepath.Clean(s.folder))
	data, err := fs.ReadFile(os.DirFS(above), ruleset.ReleasesFile)
	if err != nil {
		return nil // it was read a moment ago; the release itself was checked
	}
	message, mend := review.Modeline(ruleset.ReleasesFile, data, resolver(above))
	if message == "" {
		return nil
	}
	return &review.Finding{Check: review.Modelines, File: "../" + ruleset.ReleasesFile, Line: 1, Message: message, Mend: mend}
}
