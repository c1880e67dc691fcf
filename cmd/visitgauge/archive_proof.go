package main

import (
	"fmt"
	"os"

	"github.com/spf13/cobra"

	"github.com/visitgauge/visitgauge/engine/archive"
	"github.com/visitgauge/visitgauge/engine/record"
	words "github.com/visitgauge/visitgauge/reports/archive"
	"github.com/visitgauge/visitgauge/reports/workshop"
)

// archiveProveFlags are the flags of archive prove.
type archiveProveFlags struct {
	archiveFlag
	key, since string
}

func newArchiveProve() *cobra.Command {
	var flags archiveProveFlags
	cmd := &cobra.Command{
		Use:   "prove --archive FILE [ID]",
		Short: "Write a proof that can be checked without the archive",
		Long: `Write a proof that all entries about the visit ID are in the archive: an inclusion
proof of RFC 9162 for each, with a checkpoint. With --since, write a proof that the
archive begins with what an older checkpoint is of: nothing of that was changed. Both
are JSON, and "archive verify-proof" checks them.

` + archiveExitCodes,
		Example: `  visitgauge archive prove --archive visits.archive --key archive.key V-0106 > proof.json
  visitgauge archive prove --archive visits.archive --key archive.key --since january.txt > proof.json`,
		Args: arguments(0, 1),
		RunE: func(cmd *cobra.Command, args []string) error { return flags.run(cmd, args) },
	}
	f := cmd.Flags()
	f.SortFlags = false
	flags.archiveFlag.add(f)
	f.StringVar(&flags.key, "key", "", "sign the checkpoint in it with the private key in `FILE`")
	f.StringVar(&flags.since, "since", "", "prove that nothing was changed since the checkpoint in `FILE`")
	return cmd
}

func (f *archiveProveFlags) run(cmd *cobra.Command, ids []string) error {
	if (f.since == "") == (len(ids) == 0) {
		return usage("archive prove: name either the ID of a visit or a checkpoint with --since")
	}
	key, err := readKey("key", f.key)
	if err != nil {
		return err
	}
	var old []byte
	if f.since != "" {
		if old, err = os.ReadFile(f.since); err != nil {
			return usage("--since: %w", err)
		}
	}
	return f.with(cmd.Context(), archive.Options{ReadOnly: true}, func(a *archive.Archive) error {
		var proof []byte
		var err error
		if f.since != "" {
			proof, err = a.ProveSince(cmd.Context(), old, key)
		} else {
			proof, err = a.Prove(cmd.Context(), ids[0], key)
		}
		if err != nil {
			return err
		}
		return emit(cmd.OutOrStdout(), "proof", append(proof, '\n'))
	})
}

// archiveVerifyProofFlags are the flags of archive verify-proof.
type archiveVerifyProofFlags struct {
	formatFlag
	public, files []string
}

func newArchiveVerifyProof() *cobra.Command {
	var flags archiveVerifyProofFlags
	cmd := &cobra.Command{
		Use:   "verify-proof FILE",
		Short: "Check a proof, without the archive",
		Long: `Check a proof that "archive prove" wrote. No archive is needed. With --public, the
checkpoint in it must be signed with that key; without, the proof is only as good as
the checkpoint, which must be held against one that is known otherwise. With --file,
a record or verdict must be one of those that the proof is about, byte for byte.

Exit codes:
  0  the proof holds
  1  it does not hold, or a file is not what it is about
  2  wrong usage; nothing was checked
  3  the output could not be written`,
		Args: arguments(1, 1),
		RunE: func(cmd *cobra.Command, args []string) error { return flags.run(cmd, args[0]) },
	}
	f := cmd.Flags()
	f.SortFlags = false
	f.StringArrayVar(&flags.public, "public", nil, "demand a signature with the public key in `FILE`; may be repeated")
	f.StringArrayVar(&flags.files, "file", nil, "demand that the record or verdict in `FILE` is one of those; may be repeated")
	flags.formatFlag.add(cmd, workshop.Text, workshop.JSON)
	return cmd
}

func (f *archiveVerifyProofFlags) run(cmd *cobra.Command, path string) error {
	if err := f.formatFlag.check(); err != nil {
		return err
	}
	keys, err := readKeys(f.public)
	if err != nil {
		return err
	}
	data, err := os.ReadFile(path)
	if err != nil {
		return usage("verify-proof: %w", err)
	}
	proven, err := archive.CheckProof(data, keys)
	if err != nil {
		return &exitError{code: exitFailed, err: err}
	}
	var files []words.ProvenFile
	for _, name := range f.files {
		data, err := os.ReadFile(name)
		if err != nil {
			return usage("--file: %w", err)
		}
		entry, as, ok := proven.Of(record.Digest(data))
		if !ok {
			return &exitError{code: exitFailed, err: fmt.Errorf("%s is none of the records and verdicts that the proof is about\nits digest is %s", name, record.Digest(data))}
		}
		files = append(files, words.ProvenFile{File: name, Entry: entry.Index, As: as})
	}
	result := words.NewProven(proven, files)
	return f.write(cmd, "result", result, result.Page)
}
