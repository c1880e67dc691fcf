package main

import (
	"crypto/rand"
	"errors"
	"io/fs"
	"os"

	"github.com/spf13/cobra"

	"github.com/visitgauge/visitgauge/engine/archive"
)

func newArchiveCheckpoint() *cobra.Command {
	var at archiveFlag
	var keyFile string
	cmd := &cobra.Command{
		Use:   "checkpoint --archive FILE",
		Short: "Write what the archive holds now, to be kept elsewhere",
		Long: `Write a checkpoint: the number of entries and the head of the tree over them, signed
where a key is given. Keep it where whoever can write the archive cannot reach, or
send it to somebody else: it shows later that nothing was changed.

` + archiveExitCodes,
		Args: arguments(0, 0),
		RunE: func(cmd *cobra.Command, _ []string) error {
			key, err := readKey("key", keyFile)
			if err != nil {
				return err
			}
			return at.with(cmd.Context(), archive.Options{ReadOnly: true}, func(a *archive.Archive) error {
				text, _, err := a.Checkpoint(cmd.Context(), key)
				if err != nil {
					return err
				}
				return emit(cmd.OutOrStdout(), "checkpoint", text)
			})
		},
	}
	f := cmd.Flags()
	f.SortFlags = false
	at.add(f)
	f.StringVar(&keyFile, "key", "", "sign it with the private key in `FILE`")
	return cmd
}

func newArchiveKey() *cobra.Command {
	var private, public string
	cmd := &cobra.Command{
		Use:   "key NAME",
		Short: "Make a pair of keys for signing checkpoints",
		Long: `Make a pair of keys (Ed25519) called NAME, and write each to a new file. Keep the
private one from whoever can write the archive; give the public one to everybody.

Exit codes are 0, 2 for wrong usage, and 3 if a file could not be written.`,
		Example: `  visitgauge archive key archive.example.org --private archive.key --public archive.pub`,
		Args:    arguments(1, 1),
		RunE: func(_ *cobra.Command, args []string) error {
			if private == "" || public == "" {
				return usage("archive key: name the two files with --private and --public")
			}
			secret, open, err := archive.NewKey(rand.Reader, args[0])
			if err != nil {
				return usage("%w", err)
			}
			if err := writeNew(private, secret, 0o600); err != nil {
				return err
			}
			return writeNew(public, open, 0o644)
		},
	}
	f := cmd.Flags()
	f.SortFlags = false
	f.StringVar(&private, "private", "", "write the private key to `FILE`, which its owner alone may read")
	f.StringVar(&public, "public", "", "write the public key to `FILE`")
	return cmd
}

// writeNew writes a line to a file that must not be there yet.
func writeNew(path, line string, mode fs.FileMode) error {
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, mode)
	if errors.Is(err, fs.ErrExist) {
		return usage("%s is there already\nname a new file", path)
	}
	if err != nil {
		return usage("%w", err)
	}
	_, err = f.WriteString(line + "\n")
	return errors.Join(err, f.Close())
}
