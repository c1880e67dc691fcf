package main

import (
	"errors"
	"io/fs"
	"os"

	"github.com/spf13/pflag"

	"github.com/visitgauge/visitgauge/engine/ruleset"
	"github.com/visitgauge/visitgauge/engine/stream"
	"github.com/visitgauge/visitgauge/policies"
)

// ruleFlags say by which rules visits are judged.
type ruleFlags struct {
	policies string
	release  string
}

func (f *ruleFlags) add(flags *pflag.FlagSet) {
	flags.StringVar(&f.release, "release", "",
		"judge every visit by this `VERSION` (default: the one in force on the local day the visit started)")
	flags.StringVar(&f.policies, "policies", "",
		"take releases from `DIR`, which holds releases.yaml, or is one release to be checked whole (default: those built in)")
}

// rules opens what the flags name. Releases themselves are loaded when a visit
// asks for them.
func (f *ruleFlags) rules() (*stream.Rules, error) {
	const native = true
	folder := fs.FS(policies.FS)
	if f.policies != "" {
		folder = os.DirFS(f.policies)
		_, err := fs.Stat(folder, ruleset.ReleasesFile)
		if errors.Is(err, fs.ErrNotExist) && isRelease(folder) {
			if f.release != "" {
				return nil, usage("--policies %s is one release, so --release cannot choose another", f.policies)
			}
			return stream.ByFolder(folder, native), nil
		}
		if err != nil {
			return nil, usage("--policies %s: %w\nname a folder that holds %s, or one release's own folder", f.policies, err, ruleset.ReleasesFile)
		}
	}
	releases, err := ruleset.ReadReleases(folder)
	if err != nil {
		return nil, err
	}
	if f.release == "" {
		return stream.InForce(releases, native), nil
	}
	entry, err := releases.Find(f.release)
	if err != nil {
		return nil, usage("--release: %w", err)
	}
	return stream.ByRelease(releases, entry, native), nil
}

// isRelease tells whether a folder looks like a release's own.
func isRelease(folder fs.FS) bool {
	_, err := fs.Stat(folder, "limits.yaml")
	return err == nil
}
