package main

import (
	"context"
	"os"
	"os/signal"
	"syscall"

	"github.com/spf13/cobra"
)

// interruptible is the context of a command that ends in its own way when it is
// interrupted; a second Ctrl-C ends it at once. It is for work that looks at its context:
// what waits for input that may never come is left to be ended by the first.
func interruptible(cmd *cobra.Command) (ctx context.Context, stop context.CancelFunc) {
	ctx, stop = signal.NotifyContext(cmd.Context(), os.Interrupt, syscall.SIGTERM)
	context.AfterFunc(ctx, stop)
	return ctx, stop
}
