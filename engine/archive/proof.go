package archive

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"

	"golang.org/x/mod/sumdb/tlog"

	"github.com/visitgauge/visitgauge/engine/verdict"
)

// What the schema field of proofs says.
const (
	ProofSchema       = "archive-proof/1"
	ConsistencySchema = "archive-consistency/1"
)

// A Proof shows, without the archive, that entries about one visit are among
// those that a checkpoint is of.
type Proof struct {
	Schema  string         `json:"schema"` // ProofSchema
	Visit   string         `json:"visit"`
	Entries []EntryInProof `json:"entries"`
	// Checkpoint is as [Archive.Checkpoint] wrote it.
	Checkpoint string `json:"checkpoint"`
}

// EntryInProof is one entry with its path to the head of the tree: an inclusion
// proof of RFC 9162, section 2.1.3.
type EntryInProof struct {
	Index int64 `json:"index"`
	// Leaf is the canonical JSON of an [Entry].
	Leaf   string      `json:"leaf"`
	Hashes []tlog.Hash `json:"hashes"` // base64
}

// A Consistency shows, without the archive, that what an old checkpoint is of
// begins what a new one is of: RFC 9162, section 2.1.4.
type Consistency struct {
	Schema string      `json:"schema"` // ConsistencySchema
	Old    string      `json:"old"`
	New    string      `json:"new"`
	Hashes []tlog.Hash `json:"hashes"` // base64
}

// Prove writes a proof of all entries about a visit, as canonical JSON. The
// private key is for the checkpoint in it: see [Archive.Checkpoint].
func (a *Archive) Prove(ctx context.Context, visit, privateKey string) ([]byte, error) {
	v, err := a.Visit(ctx, visit)
	if err != nil {
		return nil, err
	}
	text, c, err := a.Checkpoint(ctx, privateKey)
	if err != nil {
		return nil, err
	}
	p := Proof{Schema: ProofSchema, Visit: visit, Checkpoint: string(text)}
	for _, e := range v.Entries {
		leaf, err := e.Leaf()
		if err != nil {
			return nil, err
		}
		hashes, err := tlog.ProveRecord(c.Size, e.Index, stored(ctx, a.db))
		if err != nil {
			return nil, a.failed("reading", err)
		}
		p.Entries = append(p.Entries, EntryInProof{Index: e.Index, Leaf: string(leaf), Hashes: append([]tlog.Hash{}, hashes...)})
	}
	return verdict.Canonical(p)
}

// ProveSince writes a proof that the archive as it is begins with what an old
// checkpoint is of, as canonical JSON. It is an error if it does not. Old is as it
// was written, whose signatures stay for who checks the proof.
func (a *Archive) ProveSince(ctx context.Context, old []byte, privateKey string) ([]byte, error) {
	was, err := ReadCheckpoint(old, nil)
	if err != nil {
		return nil, err
	}
	text, now, err := a.Checkpoint(ctx, privateKey)
	if err != nil {
		return nil, err
	}
	c := Consistency{Schema: ConsistencySchema, Old: string(old), New: string(text), Hashes: []tlog.Hash{}}
	if was.Size > now.Size {
		return nil, fmt.Errorf("proving consistency: the checkpoint is of %d entries, and the archive has %d\nhave the archive verified with that checkpoint", was.Size, now.Size)
	}
	if was.Size > 0 {
		hashes, err := tlog.ProveTree(now.Size, was.Size, stored(ctx, a.db))
		if err != nil {
			return nil, a.failed("reading", err)
		}
		c.Hashes = append(c.Hashes, hashes...)
	}
	if err := c.check(was, now); err != nil {
		return nil, fmt.Errorf("proving consistency: %w\nhave the archive verified with that checkpoint", err)
	}
	return verdict.Canonical(c)
}

func (c Consistency) check(was, now Checkpoint) error {
	switch {
	case was.Size > now.Size:
		return fmt.Errorf("the old checkpoint is of %d entries, the new one of %d", was.Size, now.Size)
	case was.Size == 0:
		// Nothing begins everything; the head of nothing is a fixed one.
		if empty, err := tlog.TreeHash(0, nil); err != nil || was.Hash != empty {
			return errors.New("the old checkpoint is of no entry and its hash is not that of nothing")
		}
		return nil
	}
	if err := tlog.CheckTree(c.Hashes, now.Size, now.Hash, was.Size, was.Hash); err != nil {
		return errors.New("what the new checkpoint is of does not begin with what the old one is of")
	}
	return nil
}

// Proven is what a proof shows.
type Proven struct {
	// Visit and Entries are what the proof is about; empty in one of consistency.
	Visit   string
	Entries []Entry
	// Old is the earlier checkpoint, in a proof of consistency alone.
	Old *Checkpoint
	// Checkpoint is what it rests on.
	Checkpoint Checkpoint
}

// Of finds the entry that adds the record or the verdict of a digest, and says
// which of the two it is.
func (p Proven) Of(digest string) (e Entry, as string, ok bool) {
	for _, e := range p.Entries {
		switch {
		case e.version() && e.Record == digest:
			return e, "record", true
		case e.judgement() && e.Verdict == digest:
			return e, "verdict", true
		}
	}
	return Entry{}, "", false
}

// CheckProof checks a proof of either kind by itself. With public keys, one of
// them must have signed each checkpoint in it; with none, the proof is only as
// good as the checkpoint in it, which must be held against one known otherwise.
// An error says what does not hold.
func CheckProof(data []byte, publicKeys []string) (Proven, error) {
	var kind struct{ Schema string }
	if err := json.Unmarshal(data, &kind); err != nil {
		return Proven{}, fmt.Errorf("reading proof: %w\nhand in a file that archive prove wrote", err)
	}
	switch kind.Schema {
	case ProofSchema:
		return checkInclusion(data, publicKeys)
	case ConsistencySchema:
		return checkConsistency(data, publicKeys)
	}
	return Proven{}, fmt.Errorf("reading proof: its schema is %q\nhand in a file that archive prove wrote", kind.Schema)
}

func checkInclusion(data []byte, publicKeys []string) (Proven, error) {
	var p Proof
	if err := readStrictly(data, &p); err != nil {
		return Proven{}, fmt.Errorf("reading proof: %w", err)
	}
	c, err := ReadCheckpoint([]byte(p.Checkpoint), publicKeys)
	if err != nil {
		return Proven{}, err
	}
	out := Proven{Visit: p.Visit, Checkpoint: c}
	if len(p.Entries) == 0 {
		return Proven{}, fmt.Errorf("checking proof of visit %q: it is of no entry", p.Visit)
	}
	for _, entry := range p.Entries {
		e, err := decodeEntry(entry.Index, []byte(entry.Leaf))
		if err != nil {
			return Proven{}, fmt.Errorf("checking proof of visit %q: %w", p.Visit, err)
		}
		if e.Visit != p.Visit {
			return Proven{}, fmt.Errorf("checking proof of visit %q: entry %d is about visit %q", p.Visit, entry.Index, e.Visit)
		}
		if err := tlog.CheckRecord(entry.Hashes, c.Size, c.Hash, entry.Index, tlog.RecordHash([]byte(entry.Leaf))); err != nil {
			return Proven{}, fmt.Errorf("checking proof of visit %q: entry %d, %s, is not among those that the checkpoint is of", p.Visit, entry.Index, e.Kind)
		}
		out.Entries = append(out.Entries, e)
	}
	return out, nil
}

func checkConsistency(data []byte, publicKeys []string) (Proven, error) {
	var c Consistency
	if err := readStrictly(data, &c); err != nil {
		return Proven{}, fmt.Errorf("reading proof: %w", err)
	}
	was, err := ReadCheckpoint([]byte(c.Old), publicKeys)
	if err != nil {
		return Proven{}, fmt.Errorf("old checkpoint: %w", err)
	}
	now, err := ReadCheckpoint([]byte(c.New), publicKeys)
	if err != nil {
		return Proven{}, fmt.Errorf("new checkpoint: %w", err)
	}
	if err := c.check(was, now); err != nil {
		return Proven{}, fmt.Errorf("checking proof of consistency: %w", err)
	}
	return Proven{Old: &was, Checkpoint: now}, nil
}

func readStrictly(data []byte, into any) error {
	dec := json.NewDecoder(bytes.NewReader(data))
	dec.DisallowUnknownFields()
	return dec.Decode(into)
}
