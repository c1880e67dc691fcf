package main

import (
	"context"
	"fmt"
	"os"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"github.com/visitgauge/visitgauge/engine/archive"
)

// archiveExitCodes is the part of the help of an archive command that lists them.
const archiveExitCodes = `Exit codes:
  0  fine
  1  there is at least one finding, or something was refused by the archive
  2  wrong usage; nothing was done
  3  it could not be done: the file is no archive, is held by another process or
     cannot be written, a record was refused, or the output could not be written`

func newArchive() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "archive",
		Short: "Keep visits and verdicts, and prove that they are as they were",
		Long: `Keep visits and verdicts in one file: byte for byte, in order, with every change
beside what it changes. Each addition is a leaf of a Merkle tree (RFC 9162), so that
what was changed, removed, moved or put in by other means is found and named, and
what is there can be proven without the archive.

"check --archive FILE" judges visits against those in an archive, and keeps both.`,
		SuggestionsMinimumDistance: 2, // edits
		Args:                       knownCommand,
		RunE: func(cmd *cobra.Command, _ []string) error {
			return usage("archive: no command given\n%s", strings.TrimSpace(cmd.UsageString()))
		},
	}
	cmd.AddCommand(newArchiveAdd(), newArchiveList(), newArchiveShow(), newArchiveDispose(), newArchiveRedact(),
		newArchiveVerify(), newArchiveCheckpoint(), newArchiveProve(), newArchiveVerifyProof(), newArchiveExport(), newArchiveKey())
	return cmd
}

// archiveFlag names the archive.
type archiveFlag struct{ path string }

func (f *archiveFlag) add(flags *pflag.FlagSet) {
	flags.StringVar(&f.path, "archive", "", "the archive is `FILE`")
}

// check refuses a command without an archive.
func (f *archiveFlag) check() error {
	if f.path == "" {
		return usage("no archive named\nname its file with --archive")
	}
	return nil
}

// with opens the archive, has something done with it and closes it.
func (f *archiveFlag) with(ctx context.Context, opt archive.Options, do func(*archive.Archive) error) (err error) {
	if err := f.check(); err != nil {
		return err
	}
	a, err := archive.Open(ctx, f.path, opt)
	if err != nil {
		return err
	}
	defer func() {
		if closed := a.Close(); err == nil {
			err = closed
		}
	}()
	return refusedByArchive(do(a))
}

// decisionFlags say who decided something, when and why.
type decisionFlags struct{ by, on, reason string }

func (f *decisionFlags) add(flags *pflag.FlagSet) {
	flags.StringVar(&f.by, "by", "", "it was decided by this `ROLE` id, lead-02 say")
	flags.StringVar(&f.on, "on", "", "on this `DAY`, 2026-05-04 say")
	flags.StringVar(&f.reason, "reason", "", "why, in a `SENTENCE`; no names, for it is never taken away")
}

func (f *decisionFlags) decision() archive.Decision {
	return archive.Decision{By: f.by, On: f.on, Reason: f.reason}
}

// readKey reads a key from a file; nothing where none is named.
func readKey(flag, path string) (string, error) {
	if path == "" {
		return "", nil
	}
	data, err := os.ReadFile(path)
	if err != nil {
		return "", usage("--%s: %w\nname the file of a key, as archive key writes it", flag, err)
	}
	return strings.TrimSpace(string(data)), nil
}

// readKeys reads public keys from files.
func readKeys(paths []string) ([]string, error) {
	var keys []string
	for _, path := range paths {
		key, err := readKey("public", path)
		if err != nil {
			return nil, err
		}
		keys = append(keys, key)
	}
	return keys, nil
}

// told writes one line for people.
func told(cmd *cobra.Command, format string, args ...any) error {
	return emit(cmd.OutOrStdout(), "report", fmt.Appendf(nil, format+"\n", args...))
}
