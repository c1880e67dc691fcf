package main

import (
	"context"
	"errors"

	"github.com/spf13/cobra"

	"github.com/visitgauge/visitgauge/engine/publish"
)

// publishExitCodes is the part of the help of a command that writes into a policies
// folder that lists them.
const publishExitCodes = `Exit codes:
  0  done
  1  the draft is not ready; nothing was written
  2  wrong usage; nothing was written
  3  it could not be done: a release was altered, or the folder cannot be written
     to; what was begun was taken back`

// folderFlag names the policies folder that a command writes into.
type folderFlag struct{ policies string }

func (f *folderFlag) add(cmd *cobra.Command) {
	cmd.Flags().StringVar(&f.policies, "policies", "", "write into `DIR`, which holds releases.yaml; must be given")
}

// do opens the folder for one piece of work. An interrupt ends it, and what was
// begun is taken back.
func (f *folderFlag) do(cmd *cobra.Command, work func(context.Context, *publish.Folder) error) error {
	if f.policies == "" {
		return usage("rules %s: --policies is missing\nname the folder that holds releases.yaml; the rules built in are never changed", cmd.Name())
	}
	ctx, stop := interruptible(cmd)
	defer stop()
	folder, err := publish.Open(f.policies)
	if err != nil {
		return err
	}
	err = errors.Join(work(ctx, folder), folder.Close())
	var misuse *publish.Misuse
	if errors.As(err, &misuse) {
		return &exitError{code: exitUsage, err: err}
	}
	var refusal *publish.Refusal
	if errors.As(err, &refusal) {
		return &exitError{code: exitFailed, err: err}
	}
	return err
}
