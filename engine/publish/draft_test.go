package publish_test

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/visitgauge/visitgauge/engine/publish"
	"github.com/visitgauge/visitgauge/engine/ruleset"
)

func TestDraft(t *testing.T) {
	dir := house(t)
	list := read(t, filepath.Join(dir, ruleset.ReleasesFile))
	entry, err := open(t, dir).Draft(t.Context(), "1.1.0", "1.0.0")
	if err != nil {
		t.Fatal(err)
	}
	if want := (ruleset.Release{Version: "1.1.0", State: ruleset.Draft, Note: "drafted from 1.0.0"}); entry != want {
		t.Errorf("got %+v", entry)
	}
	want := list + "  - version: 1.1.0\n    state: draft\n    note: drafted from 1.0.0\n"
	if got := read(t, filepath.Join(dir, ruleset.ReleasesFile)); got != want {
		t.Errorf("releases.yaml is\n%s\nwant\n%s", got, want)
	}
	old, err := ruleset.Digest(os.DirFS(filepath.Join(dir, "1.0.0")))
	if err != nil {
		t.Fatal(err)
	}
	if now, err := ruleset.Digest(os.DirFS(filepath.Join(dir, "1.1.0"))); err != nil || now != old {
		t.Errorf("the copy has the digest %s, %v; want %s", now, err, old)
	}
	releases, err := ruleset.ReadReleases(os.DirFS(dir))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := releases.Open(t.Context(), entry, false); err != nil {
		t.Error(err)
	}
	left, err := filepath.Glob(filepath.Join(dir, ".*"))
	if err != nil || len(left) > 0 {
		t.Errorf("left behind: %q, %v", left, err)
	}
}

// A draft is made from a draft too, and gets the catalogue that its texts ask for.
func TestDraftOfADraft(t *testing.T) {
	dir := house(t)
	const rule = "condition/battery/full_charge_gravity.rego"
	replace(t, filepath.Join(dir, "1.0.1", rule), "# title: Each", "# title: Every")
	if err := os.Remove(filepath.Join(dir, "1.0.1", ruleset.CatalogueFile)); err != nil {
		t.Fatal(err)
	}
	if _, err := open(t, dir).Draft(t.Context(), "2.0.0", "1.0.1"); err != nil {
		t.Fatal(err)
	}
	if text := read(t, filepath.Join(dir, "2.0.0", ruleset.CatalogueFile)); !strings.Contains(text, `"title": "Every cell`) {
		t.Errorf("the catalogue is\n%s", text)
	}
}

func TestDraftIsRefused(t *testing.T) {
	for _, test := range []struct {
		name, version, from string
		prepare             func(t *testing.T, dir string)
		says                string
		misuse              bool
	}{
		{name: "no version", version: "1.1", from: "1.0.0", says: `"1.1" is no version`, misuse: true},
		{name: "a version with a name", version: "1.1.0-rc1", from: "1.0.0", says: "is no version", misuse: true},
		{name: "a version with a zero before", version: "1.01.0", from: "1.0.0", says: "is no version", misuse: true},
		{name: "a way out of the folder", version: "../1.1.0", from: "1.0.0", says: "is no version", misuse: true},
		{name: "an old version", version: "0.9.0", from: "1.0.0", says: "0.9.0 does not come after 1.0.0", misuse: true},
		{name: "the same version", version: "1.0.0", from: "1.0.0", says: "does not come after", misuse: true},
		{name: "a version that is there", version: "1.0.1", from: "1.0.0", says: "there is a release 1.0.1 already", misuse: true},
		{name: "an unknown release", version: "1.1.0", from: "0.1.0", says: `there is no release "0.1.0"`, misuse: true},
		{
			name: "a file of that name", version: "1.1.0", from: "1.0.0", says: "something else is called 1.1.0", misuse: true,
			prepare: func(t *testing.T, dir string) { write(t, filepath.Join(dir, "1.1.0"), "") },
		},
		{
			name: "half a copy", version: "1.1.0", from: "1.0.0", says: ".1.1.0.part is there: half a copy", misuse: true,
			prepare: func(t *testing.T, dir string) {
				if err := os.Mkdir(filepath.Join(dir, ".1.1.0.part"), 0o755); err != nil {
					t.Fatal(err)
				}
			},
		},
		{
			name: "another command at work", version: "1.1.0", from: "1.0.0", says: "another command is at work, or one was broken off",
			prepare: func(t *testing.T, dir string) { write(t, filepath.Join(dir, ".releases.yaml.part"), "") },
		},
		{
			name: "a broken draft", version: "1.1.0", from: "1.0.1", says: "has no steps.yaml",
			prepare: func(t *testing.T, dir string) {
				if err := os.Remove(filepath.Join(dir, "1.0.1/steps.yaml")); err != nil {
					t.Fatal(err)
				}
			},
		},
		{
			name: "a list in braces", version: "1.1.0", from: "1.0.1", says: "does not begin with a dash",
			prepare: func(t *testing.T, dir string) {
				write(t, filepath.Join(dir, ruleset.ReleasesFile), "releases: [{version: 1.0.0, state: draft}, {version: 1.0.1, state: draft}]\n")
			},
		},
	} {
		t.Run(test.name, func(t *testing.T) {
			dir := house(t)
			if test.prepare != nil {
				test.prepare(t, dir)
			}
			before := picture(t, dir)
			_, err := open(t, dir).Draft(t.Context(), test.version, test.from)
			if err == nil || !strings.Contains(err.Error(), test.says) || !strings.Contains(err.Error(), "mend:") {
				t.Errorf("got %v, want %q and a mend", err, test.says)
			}
			if misuse := (*publish.Misuse)(nil); errors.As(err, &misuse) != test.misuse {
				t.Errorf("got %T, misuse: %t", err, !test.misuse)
			}
			demandSame(t, dir, before)
		})
	}
}

func TestNoDraftOfAnAlteredRelease(t *testing.T) {
	for name, tamper := range tamperings {
		t.Run(name, func(t *testing.T) {
			dir := house(t)
			tamper(t, filepath.Join(dir, "1.0.0"))
			before := picture(t, dir)
			folder, err := publish.Open(dir)
			if err == nil {
				_, err = folder.Draft(t.Context(), "1.1.0", "1.0.0")
				err = errors.Join(err, folder.Close())
			}
			if err == nil {
				t.Error("it was copied")
			}
			demandSame(t, dir, before)
		})
	}
}

func TestDraftThatWasInterrupted(t *testing.T) {
	dir := house(t)
	before := picture(t, dir)
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := open(t, dir).Draft(ctx, "1.1.0", "1.0.0"); err == nil {
		t.Error("it was made all the same")
	}
	demandSame(t, dir, before)
}

func TestFolderThatMayNotBeWritten(t *testing.T) {
	dir := house(t)
	if err := os.Chmod(dir, 0o555); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = os.Chmod(dir, 0o755) })
	if file, err := os.Create(filepath.Join(dir, "x")); err == nil {
		_ = file.Close()
		t.Skip("this user may write anywhere")
	}
	if _, err := open(t, dir).Draft(t.Context(), "1.1.0", "1.0.0"); err == nil || !strings.Contains(err.Error(), "work in a copy") {
		t.Errorf("got %v", err)
	}
}

func TestOpenNeedsAListOfReleases(t *testing.T) {
	for _, dir := range []string{t.TempDir(), filepath.Join(t.TempDir(), "none")} {
		if _, err := publish.Open(dir); err == nil || !strings.Contains(err.Error(), "releases.yaml") {
			t.Errorf("%s: got %v", dir, err)
		}
	}
}

// Each draft gets its catalogue; what is released is held to its digest.
func TestCatalogues(t *testing.T) {
	dir := house(t)
	catalogue := filepath.Join(dir, "1.0.1", ruleset.CatalogueFile)
	want := read(t, catalogue)
	write(t, catalogue, "{}")
	f := open(t, dir)
	for i, written := range []bool{true, false} {
		states, err := f.Catalogues(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		if len(states) != 2 || states[0].Written || states[1].Written != written || states[0].Folder != states[0].Digest {
			t.Errorf("run %d: got %+v", i, states)
		}
		if got := read(t, catalogue); got != want {
			t.Errorf("the catalogue is\n%s", got)
		}
	}
	for name, tamper := range tamperings {
		t.Run(name, func(t *testing.T) {
			dir := house(t)
			tamper(t, filepath.Join(dir, "1.0.0"))
			write(t, filepath.Join(dir, "1.0.1", ruleset.CatalogueFile), "{}")
			folder, err := publish.Open(dir)
			if err != nil {
				return // a link out of the folder is not even followed
			}
			states, err := folder.Catalogues(t.Context())
			if err == nil || len(states) != 1 || !states[0].Written {
				t.Errorf("got %+v, %v; want the draft to be done and the release to be refused", states, err)
			}
			if err := folder.Close(); err != nil {
				t.Error(err)
			}
		})
	}
}
