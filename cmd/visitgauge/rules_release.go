package main

import (
	"context"
	"fmt"
	"os"
	"strconv"
	"time"

	"github.com/spf13/cobra"

	"github.com/visitgauge/visitgauge/engine/publish"
	"github.com/visitgauge/visitgauge/reports/workshop"
)

func newRulesRelease() *cobra.Command {
	var folder folderFlag
	var a publish.Approval
	cmd := &cobra.Command{
		Use:   "release VERSION --policies DIR",
		Short: "Freeze a draft as a release, with its day and who approved it",
		Long: `Freeze a draft. It is checked and tested first, and compared with the release before
it: the version must not say less than the change is. What may turn an accepted visit,
or a machine that may be used, into one that is not is major; a new question that
bears on neither, or a looser one, is minor; another wording is a patch.

The day must lie after today, so that no visit of a day that has begun is judged by
other rules than those in force when it was made, and not before that of a release
that is in force or announced. Today is that of this machine, or of
SOURCE_DATE_EPOCH where it is set.

What ISO 9001, 8.5.6 asks to be kept of a change is written into releases.yaml: what
the review found, who authorised it, why, and who was told.

` + publishExitCodes,
		Example: `  visitgauge rules release 1.1.0 --policies policies --from-date 2027-01-04 \
    --author lead-01 --approved-by lead-02 --told "technicians, at the machine" \
    --reason "readings near the limit were repeated without a finding" \
    --note "gravity of a full charge 1.255 instead of 1.260"`,
		Args: arguments(1, 1),
		RunE: func(cmd *cobra.Command, args []string) error {
			return folder.do(cmd, func(ctx context.Context, f *publish.Folder) error {
				return release(ctx, cmd, f, folder.policies, args[0], a)
			})
		},
	}
	f := cmd.Flags()
	f.SortFlags = false
	folder.add(cmd)
	f.StringVar(&a.From, "from-date", "", "first local `DAY` on which it is in force, as 2027-01-04; must be given, as all below")
	f.StringVar(&a.Author, "author", "", "`ID` of who made the change")
	f.StringVar(&a.ApprovedBy, "approved-by", "", "`ID` of who authorised it, who is not its author")
	f.StringVar(&a.Told, "told", "", "`WHO` was told or trained")
	f.StringVar(&a.Reason, "reason", "", "`WHY` the rules are changed")
	f.StringVar(&a.Note, "note", "", "`WHAT` changed, in a line")
	return cmd
}

// release releases the draft of a version in the folder f, which is named policies.
func release(ctx context.Context, cmd *cobra.Command, f *publish.Folder, policies, version string, a publish.Approval) error {
	var err error
	if a.Today, err = today(); err != nil {
		return err
	}
	var cases caseFlags
	decoder, err := cases.decoder()
	if err != nil {
		return err
	}
	done, err := f.Release(ctx, version, a, publish.Options{Decoder: decoder, Checks: releaseChecks(decoder, policies, cmd.ErrOrStderr())})
	if err != nil {
		return err
	}
	data, err := workshop.Render(workshop.Text, nil, workshop.Released{Released: done}.Page)
	if err != nil {
		return err
	}
	return emit(cmd.OutOrStdout(), "what was done", data)
}

// today is the local day, or the one of SOURCE_DATE_EPOCH, in UTC, where that is
// set: a run can then be repeated to the letter
// (https://reproducible-builds.org/specs/source-date-epoch/).
func today() (string, error) {
	text, set := os.LookupEnv("SOURCE_DATE_EPOCH")
	if !set {
		return time.Now().Format(time.DateOnly), nil
	}
	seconds, err := strconv.ParseInt(text, 10, 64)
	if err != nil {
		return "", usage("SOURCE_DATE_EPOCH is %q\nset it to whole seconds since 1970, or unset it", text)
	}
	return time.Unix(seconds, 0).UTC().Format(time.DateOnly), nil
}

func newRulesWithdraw() *cobra.Command {
	var folder folderFlag
	var reason string
	cmd := &cobra.Command{
		Use:   "withdraw VERSION --reason WHY --policies DIR",
		Short: "Take a release out of force, and keep it for replay",
		Long: `Take a release out of force. Its folder stays as it is, so that visits that were
judged by it can be judged so again by its version. From then on the visits of every
day, past ones too, are judged by the newest of the other releases in force on it.

` + publishExitCodes,
		Example: `  visitgauge rules withdraw 1.1.0 --policies policies --reason "the limit was copied wrongly"`,
		Args:    arguments(1, 1),
		RunE: func(cmd *cobra.Command, args []string) error {
			return folder.do(cmd, func(_ context.Context, f *publish.Folder) error {
				day, err := today()
				if err != nil {
					return err
				}
				if _, err := f.Withdraw(args[0], reason, day); err != nil {
					return err
				}
				releases, err := f.Releases()
				if err != nil {
					return err
				}
				now := "none: no visit can be judged until another is released"
				if e, err := releases.InForce(day); err == nil {
					now = e.Version
				}
				text := fmt.Sprintf("%s is withdrawn\n  reason    %s\n  in force  on %s: %s\n", args[0], reason, day, now)
				return emit(cmd.OutOrStdout(), "what was done", []byte(text))
			})
		},
	}
	f := cmd.Flags()
	f.SortFlags = false
	folder.add(cmd)
	f.StringVar(&reason, "reason", "", "`WHY` it is taken out of force; must be given")
	return cmd
}
