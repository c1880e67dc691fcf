// Command visitgauge judges maintenance visits to battery floor scrubbers by
// released rules, and says of each whether the visit is accepted and in what
// state it left the machine. Start with "visitgauge check --help".
package main

import (
	"context"
	"os"
	"os/signal"
	"syscall"
)

func main() {
	// A closed pipe is then an error of writing, which is told apart.
	signal.Ignore(syscall.SIGPIPE)
	os.Exit(run(context.Background(), os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
}
