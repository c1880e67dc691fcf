package main

import (
	"io/fs"

	"github.com/spf13/pflag"

	"github.com/visitgauge/visitgauge/engine/stream"
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
	releases, folder, err := openPolicies(f.policies)
	if err != nil {
		return nil, err
	}
	if releases == nil {
		if f.release != "" {
			return nil, usage("--policies %s is one release, so --release cannot choose another", f.policies)
		}
		// Whoever names a frozen release's folder means the release.
		s, err := folderSource(f.policies)
		if err == nil && s.frozen() {
			err = s.releases.Unaltered(s.entry)
		}
		if err != nil {
			return nil, err
		}
		return stream.ByFolder(folder, native), nil
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
