// Command gencatalogue writes the catalogue.json of each draft in a policies
// folder, from the metadata of its rules, and prints the digest of each release. It
// is run by go generate ./policies.
//
// For a release that nobody was given yet,
//
//	go run ./engine/ruleset/internal/gencatalogue -release 1.0.0 policies
//
// also writes the digest of the draft into releases.yaml. One that was given away
// is released by visitgauge rules release alone.
package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"os/signal"

	"github.com/visitgauge/visitgauge/engine/publish"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	err := run(ctx, os.Args[1:], os.Stdout)
	stop()
	if err != nil {
		fmt.Fprintln(os.Stderr, "gencatalogue:", err)
		os.Exit(1)
	}
}

func run(ctx context.Context, args []string, stdout io.Writer) error {
	flags := flag.NewFlagSet("gencatalogue", flag.ContinueOnError)
	version := flags.String("release", "", "write the digest of this version into releases.yaml")
	if err := flags.Parse(args); err != nil {
		return err
	}
	dir := "."
	if flags.NArg() > 0 {
		dir = flags.Arg(0)
	}
	folder, err := publish.Open(dir)
	if err != nil {
		return err
	}
	return errors.Join(tell(ctx, folder, *version, stdout), folder.Close())
}

func tell(ctx context.Context, folder *publish.Folder, version string, stdout io.Writer) error {
	states, fault := folder.Catalogues(ctx)
	for _, s := range states {
		if _, err := fmt.Fprintf(stdout, "%s %s %s\n", s.Version, s.State, s.Folder); err != nil {
			return err
		}
	}
	if fault == nil && version != "" {
		fault = folder.NoteDigest(version)
	}
	return fault
}
