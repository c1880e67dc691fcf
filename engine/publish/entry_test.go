package publish

import (
	"strings"
	"testing"

	"github.com/visitgauge/visitgauge/engine/ruleset"
)

// TestEntriesAsPeopleWriteThem changes entries that are written in many ways. What
// is changed must then read as it is wanted, and every other line stand as before.
func TestEntriesAsPeopleWriteThem(t *testing.T) {
	want := ruleset.Release{
		Version: "1.0.0", State: ruleset.Withdrawn, From: "2026-01-01", Digest: "h1:" + strings.Repeat("A", 43) + "=",
		Author: "a", ApprovedBy: "b", Note: "yes: # no comment", WithdrawnOn: "2026-05-04", WithdrawnBecause: `it said "1.260"`,
	}
	const fields = "digest: h1:AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA="
	for _, test := range []struct{ name, list, kept string }{
		{"in order", "releases:\n  - version: 1.0.0\n    " + fields + "\n    state: released # for now\n    from: \"2026-01-01\"\n    author: a\n    approved_by: b\n    note: old\n", "state: withdrawn # for now\n"},
		{"out of order", "releases:\n  - state: released\n    note: old\n    version: 1.0.0\n    approved_by: b\n    author: a\n    from: \"2026-01-01\"\n    " + fields + "\n", "  - state: withdrawn\n"},
		{"comments between", "releases:\n  - version: 1.0.0\n    # frozen\n    " + fields + "\n\n    # why\n    state: released\n    from: \"2026-01-01\"\n    author: a\n    approved_by: b\n    note: old\n    # the end\n", "    # why\n    state: withdrawn\n"},
		{"texts over several lines", "releases:\n  - version: 1.0.0\n    " + fields + "\n    note: >-\n      an old\n      note\n    state: released\n    from:\n      \"2026-01-01\"\n    author: a\n    approved_by: b\n", "    approved_by: b\n"},
		{"a list that is not set in", "releases:\n- version: 1.0.0\n  " + fields + "\n  state: released\n  from: \"2026-01-01\"\n  author: a\n  approved_by: b\n  note: old\n", "- version: 1.0.0\n  digest:"},
		{"a list that is set in far", "releases:\n    -   version: 1.0.0\n        " + fields + "\n        state: released\n        from: \"2026-01-01\"\n        author: a\n        approved_by: b\n        note: old\n", "        state: withdrawn\n"},
		{"in braces", "releases:\n  - {version: 1.0.0, " + fields + ", state: released, from: \"2026-01-01\", author: a, approved_by: b, note: old} # first\n", "  - version: 1.0.0 # first\n"},
		{"no line end", "releases:\n  - version: 1.0.0\n    " + fields + "\n    state: released\n    from: \"2026-01-01\"\n    author: a\n    approved_by: b\n    note: old", "state: withdrawn\n"},
		{"among others", "# the list\nreleases:\n  - {version: 0.9.0, state: draft}\n\n  # the first\n  - version: 1.0.0\n    " + fields + "\n    state: released\n    from: \"2026-01-01\"\n    author: a\n    approved_by: b\n    note: old\n\n  # the next\n  - version: 1.1.0\n    state: draft # still\n", "  # the next\n  - version: 1.1.0\n    state: draft # still\n"},
	} {
		t.Run(test.name, func(t *testing.T) {
			content, err := withFields([]byte(test.list), want)
			if err != nil {
				t.Fatal(err)
			}
			l := &list{folder: &Folder{}, old: []byte(test.list)}
			if err := l.check(content, want); err != nil {
				t.Errorf("%v\n%s", err, content)
			}
			if !strings.Contains(string(content), test.kept) {
				t.Errorf("%q is not kept in\n%s", test.kept, content)
			}
			// One entry more, behind the others.
			added := ruleset.Release{Version: "3.0.0", State: ruleset.Draft, Note: "drafted"}
			more, err := withEntry([]byte(test.list), added)
			if err != nil {
				t.Fatal(err)
			}
			if err := l.check(more, added); err != nil {
				t.Errorf("%v\n%s", err, more)
			}
			if !strings.HasPrefix(string(more), strings.TrimRight(test.list, "\n")) {
				t.Errorf("what stood there is another:\n%s", more)
			}
		})
	}
}

// A list that cannot be changed line by line is refused, never written otherwise.
func TestEntriesThatCannotBeChanged(t *testing.T) {
	want := ruleset.Release{Version: "1.0.0", State: ruleset.Draft, Note: "new"}
	for name, content := range map[string]string{
		"a list in brackets":         "releases: [{version: 1.0.0, state: draft}]\n",
		"braces over several lines":  "releases:\n  - {version: 1.0.0,\n     state: draft}\n",
		"two entries on a line":      "releases: [\n  {version: 1.0.0, state: draft}, {version: 1.1.0, state: draft}]\n",
		"an empty list":              "releases: []\n",
		"another version":            "releases:\n  - {version: 1.1.0, state: draft}\n",
		"a field that would be lost": "releases:\n  - version: 1.0.0\n    state: draft\n    told: all\n",
	} {
		changed, err := withFields([]byte(content), want)
		if err == nil {
			t.Errorf("%s became\n%s", name, changed)
		}
	}
}
