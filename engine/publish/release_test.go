package publish_test

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"testing/fstest"

	"github.com/visitgauge/visitgauge/engine/compare"
	"github.com/visitgauge/visitgauge/engine/publish"
	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/engine/ruleset"
	"github.com/visitgauge/visitgauge/schema"
)

// approval is one that nothing is wrong with.
func approval(change func(*publish.Approval)) publish.Approval {
	a := publish.Approval{
		From: "2026-06-02", Author: "lead-01", ApprovedBy: "lead-02", Told: "technicians",
		Reason: "readings near the limit were repeated without a finding", Note: "gravity 1.255", Today: "2026-06-01",
	}
	if change != nil {
		change(&a)
	}
	return a
}

func options(t *testing.T, checks ...publish.Check) publish.Options {
	t.Helper()
	decoder, err := newDecoder()
	if err != nil {
		t.Fatal(err)
	}
	return publish.Options{Decoder: decoder, Checks: checks}
}

var newDecoder = sync.OnceValues(func() (*record.Decoder, error) {
	visits, err := schema.Compile("visit")
	if err != nil {
		return nil, err
	}
	return record.NewDecoder(visits, record.Limits{}), nil
})

// passes is a check that finds nothing, and sees what it is given.
func passes(t *testing.T) publish.Check {
	return publish.Check{Name: "look", Run: func(_ context.Context, c publish.Candidate) ([]publish.Finding, error) {
		if c.Set == nil || c.Files == nil || c.Version == "" {
			t.Errorf("the check was given %+v", c)
		}
		return nil, nil
	}}
}

// edition is what a draft of a version is made of: a text of the smallest release
// replaced.
type edition struct{ version, file, old, now string }

var (
	looser   = edition{"1.1.0", "limits.yaml", "min: 1.260", "min: 1.255"}
	stricter = edition{"1.1.0", "limits.yaml", "min: 1.260", "min: 1.262"}
	reworded = edition{"1.0.2", "condition/battery/full_charge_gravity.rego", "# title: Each", "# title: Every"}
)

// drafted is a house with one draft more, whose catalogue is up to date. Each is
// made once and then copied.
func drafted(t *testing.T, e edition) string {
	t.Helper()
	if houses[e] == nil {
		dir := house(t)
		f := open(t, dir)
		if _, err := f.Draft(t.Context(), e.version, "1.0.0"); err != nil {
			t.Fatal(err)
		}
		replace(t, filepath.Join(dir, e.version, e.file), e.old, e.now)
		if _, err := f.Catalogues(t.Context()); err != nil {
			t.Fatal(err)
		}
		houses[e] = fstest.MapFS{}
		for name, content := range picture(t, dir) {
			name, err := filepath.Rel(dir, name)
			if err != nil {
				t.Fatal(err)
			}
			houses[e][filepath.ToSlash(name)] = &fstest.MapFile{Data: []byte(content), Mode: 0o644}
		}
	}
	dir := t.TempDir()
	if err := os.CopyFS(dir, houses[e]); err != nil {
		t.Fatal(err)
	}
	return dir
}

// houses are the files of houses that were made. No test here is parallel.
var houses = map[edition]fstest.MapFS{}

func TestRelease(t *testing.T) {
	dir := drafted(t, looser)
	list := read(t, filepath.Join(dir, ruleset.ReleasesFile))
	done, err := open(t, dir).Release(t.Context(), "1.1.0", approval(func(a *publish.Approval) { a.Told = "technicians,\n at the machine" }), options(t, passes(t)))
	if err != nil {
		t.Fatal(err)
	}
	digest, err := ruleset.Digest(os.DirFS(filepath.Join(dir, "1.1.0")))
	if err != nil {
		t.Fatal(err)
	}
	const review = "minor against 1.0.0: rules added 0, dropped 0, tried 2, 1 of 17 outcomes turned; no finding by look"
	want := ruleset.Release{
		Version: "1.1.0", State: ruleset.Released, From: "2026-06-02", Digest: digest, Author: "lead-01", ApprovedBy: "lead-02",
		ApprovedOn: "2026-06-01", Told: "technicians, at the machine", Reason: "readings near the limit were repeated without a finding",
		Review: review, Note: "gravity 1.255",
	}
	if done.Entry != want {
		t.Errorf("got %+v\nwant %+v", done.Entry, want)
	}
	if done.Difference == nil || done.Difference.Level != compare.Minor {
		t.Errorf("the difference is %+v", done.Difference)
	}
	text := strings.Replace(list, "  - version: 1.1.0\n    state: draft\n    note: drafted from 1.0.0\n", `  - version: 1.1.0
    digest: `+digest+`
    state: released
    from: "2026-06-02"
    author: lead-01
    approved_by: lead-02
    approved_on: "2026-06-01"
    told: technicians, at the machine
    reason: readings near the limit were repeated without a finding
    review: '`+review+`'
    note: gravity 1.255
`, 1)
	if got := read(t, filepath.Join(dir, ruleset.ReleasesFile)); got != text {
		t.Errorf("releases.yaml is\n%s\nwant\n%s", got, text)
	}
	releases, err := ruleset.ReadReleases(os.DirFS(dir))
	if err != nil {
		t.Fatal(err)
	}
	for day, version := range map[string]string{"2026-06-01": "1.0.0", "2026-06-02": "1.1.0"} {
		if e, err := releases.InForce(day); err != nil || e.Version != version {
			t.Errorf("on %s %s is in force, %v; want %s", day, e.Version, err, version)
		}
	}
	// It is frozen now.
	before := picture(t, dir)
	if _, err := open(t, dir).Release(t.Context(), "1.1.0", approval(nil), options(t)); err == nil || !strings.Contains(err.Error(), "it is released already, and frozen") {
		t.Errorf("released again: %v", err)
	}
	demandSame(t, dir, before)
}

// An entry in braces becomes one with a line a field, and keeps what is said of it.
func TestReleaseOfAnEntryInBraces(t *testing.T) {
	dir := house(t)
	replace(t, filepath.Join(dir, "1.0.1", reworded.file), reworded.old, reworded.now)
	if _, err := open(t, dir).Release(t.Context(), "1.0.1", approval(nil), options(t)); err != nil {
		t.Fatal(err)
	}
	text := read(t, filepath.Join(dir, ruleset.ReleasesFile))
	if !strings.Contains(text, "  - version: 1.0.1 # not yet out\n    digest: h1:") || !strings.HasSuffix(text, "    note: gravity 1.255\n") {
		t.Errorf("releases.yaml is\n%s", text)
	}
	if !strings.Contains(read(t, filepath.Join(dir, "1.0.1", ruleset.CatalogueFile)), "Every cell") {
		t.Error("the catalogue has the old title")
	}
}

// Before there were rules, nobody was judged by any: a first release may be in force
// from any day.
func TestFirstRelease(t *testing.T) {
	dir := house(t)
	file := filepath.Join(dir, ruleset.ReleasesFile)
	write(t, file, "releases:\n- version: 1.0.0\n  state: draft\n- version: 1.0.1\n  state: draft\n")
	done, err := open(t, dir).Release(t.Context(), "1.0.0", approval(func(a *publish.Approval) { a.From = "2026-01-01" }), options(t))
	if err != nil {
		t.Fatal(err)
	}
	if done.Difference != nil || done.Entry.Review != "first release, 3 rules" {
		t.Errorf("got %+v", done)
	}
	if text := read(t, file); !strings.Contains(text, "- version: 1.0.0\n  digest: h1:") || !strings.HasSuffix(text, "- version: 1.0.1\n  state: draft\n") {
		t.Errorf("releases.yaml is\n%s", text)
	}
}

func TestReleaseIsRefused(t *testing.T) {
	with := func(change func(*publish.Approval)) func(*publish.Approval) { return change }
	announced := func(t *testing.T, dir string) {
		f := open(t, dir)
		if _, err := f.Draft(t.Context(), "1.5.0", "1.0.0"); err != nil {
			t.Fatal(err)
		}
		if _, err := f.Release(t.Context(), "1.5.0", approval(func(a *publish.Approval) { a.From = "2026-07-01" }), options(t)); err != nil {
			t.Fatal(err)
		}
	}
	for _, test := range []struct {
		name    string
		draft   edition
		version string // of the draft if empty
		prepare func(t *testing.T, dir string)
		change  func(*publish.Approval)
		checks  []publish.Check
		says    string
		misuse  bool
		refusal bool
	}{
		{name: "an unknown version", draft: looser, version: "7.0.0", says: "there is no such release", misuse: true},
		{name: "a release", draft: looser, version: "1.0.0", says: "it is released already, and frozen", misuse: true},
		{name: "no author", draft: looser, change: with(func(a *publish.Approval) { a.Author = " " }), says: "nobody is named as its author", misuse: true},
		{name: "no approver", draft: looser, change: with(func(a *publish.Approval) { a.ApprovedBy = "" }), says: "nobody is named who approved it", misuse: true},
		{name: "the author as approver", draft: looser, change: with(func(a *publish.Approval) { a.ApprovedBy = "Lead-01 " }), says: "lead-01 wrote it and cannot approve it too", misuse: true},
		{name: "nobody told", draft: looser, change: with(func(a *publish.Approval) { a.Told = "\n" }), says: "nobody is named who was told", misuse: true},
		{name: "no reason", draft: looser, change: with(func(a *publish.Approval) { a.Reason = "" }), says: "there is no reason", misuse: true},
		{name: "no note", draft: looser, change: with(func(a *publish.Approval) { a.Note = "" }), says: "there is no note", misuse: true},
		{name: "no day", draft: looser, change: with(func(a *publish.Approval) { a.From = "2026-02-30" }), says: `"2026-02-30" is no day`, misuse: true},
		{name: "a day that is over", draft: looser, change: with(func(a *publish.Approval) { a.From = "2026-05-31" }), says: "2026-05-31 has begun, and visits of that day are judged by 1.0.0", misuse: true},
		{name: "today", draft: looser, change: with(func(a *publish.Approval) { a.From = "2026-06-01" }), says: "2026-06-01 has begun", misuse: true},
		{name: "before the first", draft: looser, change: with(func(a *publish.Approval) { a.From = "2025-12-31" }), says: "2025-12-31 lies before 2026-01-01, the day from which 1.0.0 is in force", misuse: true},
		{
			name: "before one that is announced", draft: edition{"2.0.0", "limits.yaml", "min: 1.260", "min: 1.262"}, prepare: announced,
			says: "2026-06-02 lies before 2026-07-01", misuse: true,
		},
		{
			name: "on the day of one that is announced", draft: edition{"2.0.0", "limits.yaml", "min: 1.260", "min: 1.262"}, prepare: announced,
			change: with(func(a *publish.Approval) { a.From = "2026-07-01" }), says: "2026-07-01 is the day from which 1.5.0 is in force", misuse: true,
		},
		{
			name: "a lower version behind a higher one", draft: looser, prepare: announced, change: with(func(a *publish.Approval) { a.From = "2026-08-01" }),
			says: "1.5.0 is in force from 2026-07-01 on, and is the higher version", misuse: true,
		},
		{name: "a version that says too little", draft: stricter, says: "from 1.0.0 to 1.1.0 is a minor step, the change is major", refusal: true},
		{name: "a patch that asks otherwise", draft: edition{"1.0.2", looser.file, looser.old, looser.now}, says: "is a patch step, the change is minor", refusal: true},
		{
			name: "a finding", draft: reworded, says: "look: a hole\n    mend: fill it", refusal: true,
			checks: []publish.Check{{Name: "look", Run: func(context.Context, publish.Candidate) ([]publish.Finding, error) {
				return []publish.Finding{{What: "a hole", Mend: "fill it"}}, nil
			}}},
		},
		{
			name: "a check that failed", draft: reworded, says: "releasing 1.0.2: look: the lamp is out",
			checks: []publish.Check{{Name: "look", Run: func(context.Context, publish.Candidate) ([]publish.Finding, error) {
				return nil, errors.New("the lamp is out")
			}}},
		},
		{
			name: "a broken draft", draft: looser, says: "has no steps.yaml",
			prepare: func(t *testing.T, dir string) {
				if err := os.Remove(filepath.Join(dir, "1.1.0/steps.yaml")); err != nil {
					t.Fatal(err)
				}
			},
		},
		{
			name: "another command at work", draft: looser, says: "another command is at work",
			prepare: func(t *testing.T, dir string) { write(t, filepath.Join(dir, ".releases.yaml.part"), "") },
		},
	} {
		t.Run(test.name, func(t *testing.T) {
			dir := drafted(t, test.draft)
			if test.prepare != nil {
				test.prepare(t, dir)
			}
			f := open(t, dir)
			before := picture(t, dir)
			version := test.version
			if version == "" {
				version = test.draft.version
			}
			_, err := f.Release(t.Context(), version, approval(test.change), options(t, test.checks...))
			if err == nil || !strings.Contains(err.Error(), test.says) {
				t.Errorf("got %v, want %q", err, test.says)
			}
			if misuse := (*publish.Misuse)(nil); errors.As(err, &misuse) != test.misuse {
				t.Errorf("misuse: %t", !test.misuse)
			}
			if refusal := (*publish.Refusal)(nil); errors.As(err, &refusal) != test.refusal {
				t.Errorf("refusal: %t", !test.refusal)
			}
			demandSame(t, dir, before)
		})
	}
}

// The release that a draft is compared with must be what was released; so must one
// that is to be withdrawn.
func TestNoReleaseOnAnAlteredOne(t *testing.T) {
	for name, tamper := range tamperings {
		t.Run(name, func(t *testing.T) {
			dir := drafted(t, looser)
			tamper(t, filepath.Join(dir, "1.0.0"))
			before := picture(t, dir)
			for _, version := range []string{"1.1.0", "1.0.0"} {
				folder, err := publish.Open(dir)
				if err == nil {
					_, err = folder.Release(t.Context(), version, approval(nil), options(t))
					_, withdrawn := folder.Withdraw("1.0.0", "altered", "2026-06-01")
					if withdrawn == nil {
						t.Error("it was withdrawn")
					}
					err = errors.Join(err, folder.Close())
				}
				if misuse := (*publish.Misuse)(nil); err == nil || errors.As(err, &misuse) {
					t.Errorf("%s: got %v", version, err)
				}
			}
			demandSame(t, dir, before)
		})
	}
}

// What is changed while it is looked at is not released.
func TestReleaseWhileTheDraftChanges(t *testing.T) {
	for name, change := range map[string]func(dir string){
		"the folder": func(dir string) { write(t, filepath.Join(dir, "1.1.0", "more.md"), "more\n") },
		"the list": func(dir string) {
			file := filepath.Join(dir, ruleset.ReleasesFile)
			write(t, file, strings.Replace(read(t, file), "first release", "the first release", 1))
		},
	} {
		t.Run(name, func(t *testing.T) {
			dir := drafted(t, looser)
			_, err := open(t, dir).Release(t.Context(), "1.1.0", approval(nil), options(t, publish.Check{Name: "look", Run: func(context.Context, publish.Candidate) ([]publish.Finding, error) {
				change(dir)
				return nil, nil
			}}))
			if err == nil || !strings.Contains(err.Error(), "do it again") {
				t.Errorf("got %v", err)
			}
			if text := read(t, filepath.Join(dir, ruleset.ReleasesFile)); !strings.Contains(text, "- version: 1.1.0\n    state: draft") {
				t.Errorf("releases.yaml is\n%s", text)
			}
		})
	}
}

func TestWithdraw(t *testing.T) {
	dir := house(t)
	file := filepath.Join(dir, ruleset.ReleasesFile)
	list := read(t, file)
	f := open(t, dir)
	for _, test := range []struct{ version, reason, today, says string }{
		{"1.0.0", " ", "2026-06-01", "there is no reason"},
		{"1.0.0", "a slip", "1 June", `"1 June" is no day`},
		{"3.0.0", "a slip", "2026-06-01", "there is no such release"},
		{"1.0.1", "a slip", "2026-06-01", "its state is draft"},
	} {
		_, err := f.Withdraw(test.version, test.reason, test.today)
		if misuse := (*publish.Misuse)(nil); !errors.As(err, &misuse) || !strings.Contains(err.Error(), test.says) {
			t.Errorf("%+v: got %v", test, err)
		}
	}
	entry, err := f.Withdraw("1.0.0", "a slip: 1.260 was meant", "2026-06-01")
	if err != nil {
		t.Fatal(err)
	}
	want := strings.Replace(list, "state: released", "state: withdrawn", 1)
	want = strings.Replace(want, "note: first release\n", "note: first release\n    withdrawn_on: \"2026-06-01\"\n    withdrawn_because: 'a slip: 1.260 was meant'\n", 1)
	if got := read(t, file); got != want {
		t.Errorf("releases.yaml is\n%s\nwant\n%s", got, want)
	}
	releases, err := f.Releases()
	if err != nil {
		t.Fatal(err)
	}
	if _, err := releases.InForce("2026-06-01"); err == nil {
		t.Error("it is in force still")
	}
	if _, err := releases.Open(t.Context(), entry, false); err != nil {
		t.Errorf("it cannot be had for replay: %v", err)
	}
	if _, err := f.Withdraw("1.0.0", "again", "2026-06-01"); err == nil {
		t.Error("it was withdrawn twice")
	}
}
