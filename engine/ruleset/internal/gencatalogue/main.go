// Command gencatalogue writes the catalogue.json of each draft in a policies
// folder, from the metadata of its rules, and prints the digest of each
// release. It is run by go generate ./policies.
//
// A release is frozen with
//
//	go run ./engine/ruleset/internal/gencatalogue -release 1.0.0 policies
//
// which also writes the digest into releases.yaml. Author, approval and state
// are written by the people they name; a digest that a released entry already
// has is never changed.
package main

import (
	"bytes"
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"os/signal"
	"path/filepath"
	"regexp"
	"slices"
	"strings"

	"github.com/visitgauge/visitgauge/engine/ruleset"
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
	releases, err := ruleset.ReadReleases(os.DirFS(dir))
	if err != nil {
		return err
	}
	if *version != "" {
		if _, err := releases.Find(*version); err != nil {
			return err
		}
	}
	var faults []error
	for _, entry := range releases.All() {
		digest, err := refresh(ctx, dir, entry)
		if err != nil {
			faults = append(faults, err)
			continue
		}
		if entry.Version == *version && entry.Digest != digest {
			if err := writeDigest(filepath.Join(dir, ruleset.ReleasesFile), entry, digest); err != nil {
				return err
			}
		}
		if _, err := fmt.Fprintf(stdout, "%s %s %s\n", entry.Version, entry.State, digest); err != nil {
			return err
		}
	}
	return errors.Join(faults...)
}

// refresh writes the catalogue of a draft, and gives the digest of the folder.
// A frozen release is looked at and left alone.
func refresh(ctx context.Context, dir string, entry ruleset.Release) (string, error) {
	folder := filepath.Join(dir, entry.Version)
	if entry.State == ruleset.Draft {
		want, err := ruleset.BuildCatalogue(ctx, os.DirFS(folder))
		if err != nil {
			return "", fmt.Errorf("making the catalogue of %s:\n%w", entry.Version, err)
		}
		file := filepath.Join(folder, ruleset.CatalogueFile)
		have, err := os.ReadFile(file)
		if err != nil && !errors.Is(err, os.ErrNotExist) {
			return "", err
		}
		if !bytes.Equal(have, want) {
			if err := os.WriteFile(file, want, 0o644); err != nil {
				return "", err
			}
		}
	}
	digest, err := ruleset.Digest(os.DirFS(folder))
	if err != nil {
		return "", fmt.Errorf("hashing %s: %w", entry.Version, err)
	}
	if entry.State != ruleset.Draft && digest != entry.Digest {
		return "", fmt.Errorf("release %s is %s with the digest %s, its folder has %s\n    mend: put the files back; a correction is a new version", entry.Version, entry.State, entry.Digest, digest)
	}
	return digest, nil
}

var (
	entryLine   = regexp.MustCompile(`^(\s*)- version:\s*["']?([0-9.]+)["']?\s*$`)
	digestLine  = regexp.MustCompile(`^\s*digest:`)
	anotherLine = regexp.MustCompile(`^\s*- `)
)

// writeDigest puts the digest into the entry, and leaves every other line of
// the file, comments too, as its authors wrote it.
func writeDigest(file string, entry ruleset.Release, digest string) error {
	data, err := os.ReadFile(file)
	if err != nil {
		return err
	}
	lines := strings.Split(string(data), "\n")
	for i, line := range lines {
		m := entryLine.FindStringSubmatch(line)
		if m == nil || m[2] != entry.Version {
			continue
		}
		written := m[1] + "  digest: " + digest
		for j := i + 1; j < len(lines) && !anotherLine.MatchString(lines[j]); j++ {
			if digestLine.MatchString(lines[j]) {
				lines[j] = written
				return os.WriteFile(file, []byte(strings.Join(lines, "\n")), 0o644)
			}
		}
		lines = slices.Insert(lines, i+1, written)
		return os.WriteFile(file, []byte(strings.Join(lines, "\n")), 0o644)
	}
	return fmt.Errorf("writing the digest of %s into %s: its entry does not begin with a line \"- version: %s\"", entry.Version, file, entry.Version)
}
