package ruleset

import (
	"errors"
	"io/fs"
	"strings"
	"testing"
	"testing/fstest"
)

// house is a policies folder with the small release under each of the versions.
func house(t *testing.T, releases string, versions ...string) fstest.MapFS {
	t.Helper()
	policies := fstest.MapFS{ReleasesFile: {Data: []byte(releases), Mode: 0o644}}
	for _, v := range versions {
		for name, f := range small(t) {
			policies[v+"/"+name] = f
		}
	}
	return policies
}

const someReleases = `
releases:
  - {version: 1.0.0, state: released, from: "2026-01-01", digest: DIGEST, author: a, approved_by: b, note: first}
  - {version: 1.1.0, state: withdrawn, from: "2026-02-01", digest: DIGEST, author: a, approved_by: b, note: a mistake}
  - {version: 1.2.0, state: released, from: "2026-03-01", digest: DIGEST, author: a, approved_by: b, note: second}
  - {version: 1.10.0, state: released, from: "2026-05-01", digest: DIGEST, author: a, approved_by: b, told: all, note: third}
  - {version: 2.0.0, state: draft, from: "2026-01-01", note: still worked on}
`

func readSome(t *testing.T, policies fs.FS) *Releases {
	t.Helper()
	r, err := ReadReleases(policies)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func TestInForce(t *testing.T) {
	digest, err := Digest(small(t))
	if err != nil {
		t.Fatal(err)
	}
	r := readSome(t, house(t, strings.ReplaceAll(someReleases, "DIGEST", digest), "1.0.0", "1.1.0", "1.2.0", "1.10.0", "2.0.0"))
	for day, want := range map[string]string{
		"2026-01-01": "1.0.0",
		"2026-02-10": "1.0.0", // the withdrawn one is passed over
		"2026-02-28": "1.0.0",
		"2026-03-01": "1.2.0", // from its first day on
		"2026-04-30": "1.2.0",
		"2026-05-01": "1.10.0", // ten is more than two
		"2030-01-01": "1.10.0", // a draft is never in force
	} {
		got, err := r.InForce(day)
		if err != nil || got.Version != want {
			t.Errorf("on %s: got %s, %v, want %s", day, got.Version, err, want)
		}
	}
	if _, err := r.InForce("2025-12-31"); err == nil || !strings.Contains(err.Error(), "1.0.0 is released from 2026-01-01 on") {
		t.Errorf("before the first: %v", err)
	}
	if _, err := r.InForce("4 May 2026"); err == nil {
		t.Error("a day in words was taken")
	}
	if _, err := r.Find("3.0.0"); err == nil || !strings.Contains(err.Error(), "1.10.0") {
		t.Errorf("finding what is not there: %v", err)
	}
	e, err := r.Find("1.10.0")
	if err != nil || e.Told != "all" || e.ApprovedBy != "b" || e.Note != "third" || len(r.All()) != 5 {
		t.Errorf("got %+v, %v", e, err)
	}
	for _, version := range []string{"1.10.0", "1.1.0", "2.0.0"} {
		e, err := r.Find(version)
		if err != nil {
			t.Fatal(err)
		}
		set, err := r.Open(t.Context(), e, false)
		if err != nil {
			t.Fatal(err)
		}
		if set.Version() != version || set.Digest() != digest {
			t.Errorf("opened %s, digest %s", set.Version(), set.Digest())
		}
	}
}

func TestOpenRefusesAnAlteredRelease(t *testing.T) {
	digest, err := Digest(small(t))
	if err != nil {
		t.Fatal(err)
	}
	policies := house(t, strings.ReplaceAll(someReleases, "DIGEST", digest), "1.0.0", "1.1.0", "1.2.0", "1.10.0", "2.0.0")
	altered := *policies["1.2.0/steps.yaml"]
	altered.Data = append([]byte("#\n"), altered.Data...)
	policies["1.2.0/steps.yaml"] = &altered
	r := readSome(t, policies)
	e, err := r.Find("1.2.0")
	if err != nil {
		t.Fatal(err)
	}
	_, err = r.Open(t.Context(), e, false)
	var problems Problems
	if !errors.As(err, &problems) || !strings.Contains(err.Error(), "release 1.2.0 was altered") || !strings.Contains(err.Error(), digest) {
		t.Errorf("got %v", err)
	}
}

func TestBrokenReleasesFile(t *testing.T) {
	released := `
releases:
  - {version: 1.0.0, state: released, from: "2026-01-01", author: a, approved_by: b, note: first}
`
	for _, b := range []struct {
		name, content string
		versions      []string
		says          string
	}{
		{"released without a digest", released, []string{"1.0.0"}, "line 3, column 5: /releases/0: the member \"digest\" is missing\n    mend: add digest; wanted there: "},
		{"no folder", "releases:\n  - {version: 1.0.0, state: draft, from: \"2026-01-01\", note: x}\n", nil, "line 2, column 15: there is no folder for release 1.0.0"},
		{"no entry", "releases:\n  - {version: 1.0.0, state: draft, from: \"2026-01-01\", note: x}\n", []string{"1.0.0", "1.1.0"}, "the folder 1.1.0 has no entry"},
		{"no day", "releases:\n  - {version: 1.0.0, state: draft, from: \"2026-02-30\", note: x}\n", []string{"1.0.0"}, "line 2, column 42: /releases/0/from: '2026-02-30' is not valid 'date'"},
		{"unknown state", "releases:\n  - {version: 1.0.0, state: final, from: \"2026-02-01\", note: x}\n", []string{"1.0.0"}, "line 2, column 29: /releases/0/state: value must be one of"},
		{"version twice", "releases:\n  - {version: 1.0.0, state: draft, from: \"2026-02-01\", note: x}\n  - {version: 1.0.0, state: draft, from: \"2026-02-01\", note: x}\n", []string{"1.0.0"}, "/releases"},
		{"no YAML", "releases: [", []string{"1.0.0"}, "correct the YAML"},
	} {
		t.Run(b.name, func(t *testing.T) {
			r, err := ReadReleases(house(t, b.content, b.versions...))
			if err == nil || !strings.Contains(err.Error(), b.says) {
				t.Errorf("wanted %q, got %v", b.says, err)
			}
			if r != nil {
				t.Error("releases came with the error")
			}
		})
	}
	if _, err := ReadReleases(fstest.MapFS{}); err == nil || !strings.Contains(err.Error(), ReleasesFile) {
		t.Errorf("without a file: %v", err)
	}
}
