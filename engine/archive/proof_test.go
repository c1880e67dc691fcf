package archive

import (
	"bytes"
	"crypto/rand"
	"encoding/json"
	"errors"
	"slices"
	"strings"
	"testing"

	"github.com/transparency-dev/merkle/proof"
	"github.com/transparency-dev/merkle/rfc6962"
	"github.com/transparency-dev/merkle/testonly"
	"golang.org/x/mod/sumdb/tlog"

	"github.com/visitgauge/visitgauge/engine/verdict"
)

// TestPublishedVectors builds the tree over the inputs that the reference code of
// Certificate Transparency (RFC 6962) tests with, and holds leaves, nodes and heads
// against the hashes published with them; they stand in package testonly of
// github.com/transparency-dev/merkle v0.0.2, which comes from that code. The
// proofs that are made here are checked there too.
func TestPublishedVectors(t *testing.T) {
	var leaves []tlog.Hash
	roots := testonly.RootHashes()
	if empty, err := headOf(nil, 0); err != nil || !bytes.Equal(empty[:], roots[0]) {
		t.Errorf("the head of nothing is %v, %v", empty, err)
	}
	for n, input := range testonly.LeafInputs() {
		leaves = append(leaves, tlog.RecordHash(input))
		all, err := treeOf(leaves)
		if err != nil {
			t.Fatal(err)
		}
		size := int64(n + 1)
		head, err := headOf(all, size)
		if err != nil || !bytes.Equal(head[:], roots[size]) {
			t.Errorf("the head over %d leaves is %x, want %x", size, head, roots[size])
		}
		for level, nodes := range testonly.NodeHashes() {
			for i, want := range nodes {
				if at := tlog.StoredHashIndex(level, int64(i)); at < int64(len(all)) && !bytes.Equal(all[at][:], want) {
					t.Errorf("over %d leaves, node %d of level %d is %x, want %x", size, i, level, all[at], want)
				}
			}
		}
		for i := range size {
			path, err := tlog.ProveRecord(size, i, from(all))
			if err != nil {
				t.Fatal(err)
			}
			if err := proof.VerifyInclusion(rfc6962.DefaultHasher, uint64(i), uint64(size), leaves[i][:], plain(path), roots[size]); err != nil {
				t.Errorf("leaf %d of %d: %v", i, size, err)
			}
		}
		for old := range size {
			path, err := tlog.ProveTree(size, old+1, from(all))
			if err != nil {
				t.Fatal(err)
			}
			if err := proof.VerifyConsistency(rfc6962.DefaultHasher, uint64(old+1), uint64(size), plain(path), roots[old+1], roots[size]); err != nil {
				t.Errorf("%d of %d: %v", old+1, size, err)
			}
		}
	}
}

func plain(hashes []tlog.Hash) [][]byte {
	out := make([][]byte, len(hashes))
	for i, h := range hashes {
		out[i] = h[:]
	}
	return out
}

// keys are a new pair.
func keys(t *testing.T) (private, public string) {
	t.Helper()
	private, public, err := NewKey(rand.Reader, "archive.test")
	if err != nil {
		t.Fatal(err)
	}
	return private, public
}

// TestProofsStandAlone proves each visit, has an independent library check the
// paths, and demands that no single change to a proof is let through.
func TestProofsStandAlone(t *testing.T) {
	a, _ := filled(t, 5)
	private, public := keys(t)
	_, stranger := keys(t)
	if _, err := a.Redact(t.Context(), "V-003", Decision{By: "lead-02", On: "2026-06-01", Reason: "asked for"}); err != nil {
		t.Fatal(err)
	}
	for _, id := range []string{"V-000", "V-003", "V-004"} {
		data, err := a.Prove(t.Context(), id, private)
		if err != nil {
			t.Fatal(err)
		}
		got, err := CheckProof(data, []string{public})
		if err != nil {
			t.Fatal(err)
		}
		v, err := a.Visit(t.Context(), id)
		if err != nil || got.Visit != id || len(got.Entries) != len(v.Entries) || !slices.Equal(got.Checkpoint.SignedBy, []string{"archive.test"}) {
			t.Errorf("%s: proven %+v, %v", id, got, err)
		}
		if _, err := CheckProof(data, []string{stranger}); err == nil {
			t.Error("a stranger's key passes")
		}
		var p Proof
		if err := json.Unmarshal(data, &p); err != nil {
			t.Fatal(err)
		}
		for _, e := range p.Entries {
			leaf := tlog.RecordHash([]byte(e.Leaf))
			if err := proof.VerifyInclusion(rfc6962.DefaultHasher, uint64(e.Index), uint64(got.Checkpoint.Size), leaf[:], plain(e.Hashes), got.Checkpoint.Hash[:]); err != nil {
				t.Errorf("%s, entry %d: %v", id, e.Index, err)
			}
		}
		for i := range data {
			changed := slices.Clone(data)
			changed[i] ^= 1
			if got, err := CheckProof(changed, []string{public}); err == nil && !slices.EqualFunc(got.Entries, v.Entries, same) {
				t.Fatalf("%s: a proof changed at byte %d shows %+v", id, i, got)
			}
		}
	}
	_, err := a.Prove(t.Context(), "V-777", "")
	refusal(t, err, "no such visit")
}

// same tells whether two entries say the same.
func same(a, b Entry) bool {
	x, errX := a.Leaf()
	y, errY := b.Leaf()
	return errX == nil && errY == nil && a.Index == b.Index && bytes.Equal(x, y)
}

func TestConsistencyIsProven(t *testing.T) {
	a, w := newArchive(t), newWorkshop()
	private, public := keys(t)
	var olds [][]byte
	for n := range 4 {
		old, _, err := a.Checkpoint(t.Context(), private)
		if err != nil {
			t.Fatal(err)
		}
		olds = append(olds, old)
		add(t, a, w.record(t, "V-"+strings.Repeat("I", n+1), n, "WB-1", nil), "1.0.0", verdict.Accepted)
	}
	var proofs [][]byte
	for i, old := range olds {
		data, err := a.ProveSince(t.Context(), old, private)
		if err != nil {
			t.Fatal(err)
		}
		got, err := CheckProof(data, []string{public})
		if err != nil || got.Old == nil || got.Old.Size != int64(2*i) || got.Checkpoint.Size != 8 {
			t.Errorf("%d: %+v, %v", i, got, err)
		}
		proofs = append(proofs, data)
	}
	// Another archive of the same size is not what the checkpoint is of.
	other, _ := filled(t, 4)
	if _, err := other.ProveSince(t.Context(), olds[2], private); err == nil {
		t.Error("another archive is consistent")
	}
	small, _ := filled(t, 1)
	if _, err := small.ProveSince(t.Context(), olds[3], private); err == nil || !strings.Contains(err.Error(), "6 entries, and the archive has 2") {
		t.Errorf("a smaller archive: %v", err)
	}
	// A proof that was put together from two does not hold.
	var mixed, second Consistency
	if err := errors.Join(json.Unmarshal(proofs[1], &mixed), json.Unmarshal(proofs[2], &second)); err != nil {
		t.Fatal(err)
	}
	mixed.Old = second.Old
	data, err := json.Marshal(mixed)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := CheckProof(data, []string{public}); err == nil || !strings.Contains(err.Error(), "does not begin with") {
		t.Errorf("a mixed proof: %v", err)
	}
}

func TestCheckpointsAreRead(t *testing.T) {
	for text, says := range map[string]string{
		"":                               "three lines",
		"a\n1\n":                         "three lines",
		"a\n-1\nAAAA\n":                  "no number",
		"a\n9223372036854775807\nAAAA\n": "no number",
		"a\n01\nAAAA\n":                  "no number",
		"a\n1\nAAAA\n":                   "no hash",
		"\n1\nAAAA\n":                    "three lines",
		"a\n1\n" + "!" + "AA\n":          "no hash",
	} {
		if _, err := ReadCheckpoint([]byte(text), nil); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%q: %v, want %s", text, err, says)
		}
	}
	private, _ := keys(t)
	if _, err := ReadCheckpoint([]byte("a\n"), []string{private}); err == nil || strings.Contains(err.Error(), private[len(private)-20:]) {
		t.Errorf("a private key in the place of a public one: %v", err)
	}
	if _, _, err := NewKey(rand.Reader, "two words"); err == nil {
		t.Error("a name of two words is a key's")
	}
	a, _ := filled(t, 1)
	if _, _, err := a.Checkpoint(t.Context(), "no key"); err == nil || !strings.Contains(err.Error(), "PRIVATE+KEY") {
		t.Errorf("no key: %v", err)
	}
	text, c, err := a.Checkpoint(t.Context(), "")
	if err != nil {
		t.Fatal(err)
	}
	if got, err := ReadCheckpoint(text, nil); err != nil || got.Text() != c.Text() || got.Text() != string(text) {
		t.Errorf("read back %+v, %v", got, err)
	}
	_, public := keys(t)
	if _, err := ReadCheckpoint(text, []string{public}); err == nil {
		t.Error("an unsigned checkpoint passes where a signature is wanted")
	}
}
