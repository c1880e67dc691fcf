package archive

import (
	"cmp"
	"context"
	"fmt"
	"slices"

	"golang.org/x/mod/sumdb/tlog"
)

// tree holds the entries against the hashes that are kept of them, and these
// against each other.
func (v *verifier) tree(ctx context.Context) error {
	kept, err := v.kept(ctx)
	if err != nil {
		return err
	}
	found := make([]tlog.Hash, len(v.rows))
	for i, r := range v.rows {
		found[i] = r.hash
	}
	if v.hashes, err = treeOf(found); err != nil {
		return err
	}
	if v.Hash, err = headOf(v.hashes, v.Size); err != nil {
		return err
	}
	leaves := leavesOf(kept)
	if slices.Equal(leaves, found) {
		for i, r := range v.rows {
			if r.seq != int64(i) {
				v.found(int64(i), r.entry.Visit, "%s has number %d, and is entry %d", named(r.entry), r.seq, i)
			}
		}
		v.inner(kept)
		return nil
	}
	for _, d := range differences(leaves, found) {
		switch d.deed {
		case altered:
			e := v.rows[d.is].entry
			v.found(int64(d.was), e.Visit, "%s was changed", named(e))
		case moved:
			e := v.rows[d.is].entry
			v.found(int64(d.was), e.Visit, "%s was moved from place %d to %d", named(e), d.was, d.is)
		case slipped:
			e := v.rows[d.is].entry
			v.found(v.rows[d.is].seq, e.Visit, "%s was put in", named(e))
		case removed:
			v.found(int64(d.was), "", "an entry was removed%s", v.between(int64(d.was)))
		}
	}
	return nil
}

// between says what an entry that is not there stood between.
func (v *verifier) between(was int64) string {
	i, _ := slices.BinarySearchFunc(v.rows, was, func(r row, was int64) int { return cmp.Compare(r.seq, was) })
	switch {
	case len(v.rows) == 0:
		return ""
	case i == 0:
		return ", which stood before " + named(v.rows[0].entry)
	case i == len(v.rows):
		return ", which stood after " + named(v.rows[i-1].entry)
	}
	return fmt.Sprintf(", which stood between %s and %s", named(v.rows[i-1].entry), named(v.rows[i].entry))
}

// inner holds the hashes over two or more entries against those below them.
func (v *verifier) inner(kept []tlog.Hash) {
	for i := range max(len(kept), len(v.hashes)) {
		if i < len(kept) && i < len(v.hashes) && kept[i] == v.hashes[i] {
			continue
		}
		level, n := tlog.SplitStoredHashIndex(int64(i))
		v.found(-1, "", "the hash over entries %d to %d was changed; the entries were not", n<<level, (n+1)<<level-1)
	}
}

// kept reads the hashes in the order of their numbers. One that is missing or no
// hash is told of, and counts as zero.
func (v *verifier) kept(ctx context.Context) ([]tlog.Hash, error) {
	rows, err := v.archive.db.QueryContext(ctx, "SELECT idx, hash FROM hashes ORDER BY idx")
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var out []tlog.Hash
	limit := tlog.StoredHashCount(v.Size + 1<<20) // more would not be worth memory
	for rows.Next() {
		var index int64
		var raw []byte
		if err := rows.Scan(&index, &raw); err != nil {
			return nil, err
		}
		if index < 0 || index > limit {
			v.found(-1, "", "hash %d belongs to no entry", index)
			continue
		}
		for int64(len(out)) < index {
			v.found(-1, "", "hash %d is missing", len(out))
			out = append(out, tlog.Hash{})
		}
		var hash tlog.Hash
		if len(raw) != len(hash) {
			v.found(-1, "", "hash %d has %d bytes, not %d", index, len(raw), len(hash))
		}
		copy(hash[:], raw)
		out = append(out, hash)
	}
	return out, rows.Err()
}

// treeOf is all hashes over leaves, as they are stored.
func treeOf(leaves []tlog.Hash) ([]tlog.Hash, error) {
	var all []tlog.Hash
	for n, leaf := range leaves {
		more, err := tlog.StoredHashesForRecordHash(int64(n), leaf, from(all))
		if err != nil {
			return nil, err
		}
		all = append(all, more...)
	}
	return all, nil
}

// leavesOf is the hashes of single entries among those that are stored.
func leavesOf(all []tlog.Hash) []tlog.Hash {
	var leaves []tlog.Hash
	for n := int64(0); ; n++ {
		i := tlog.StoredHashIndex(0, n)
		if i >= int64(len(all)) {
			return leaves
		}
		leaves = append(leaves, all[i])
	}
}

// headOf is the head of the tree of the first n entries.
func headOf(all []tlog.Hash, n int64) (tlog.Hash, error) { return tlog.TreeHash(n, from(all)) }

// from reads hashes that are at hand.
func from(all []tlog.Hash) tlog.HashReader {
	return tlog.HashReaderFunc(func(indexes []int64) ([]tlog.Hash, error) {
		out := make([]tlog.Hash, len(indexes))
		for i, index := range indexes {
			out[i] = all[index]
		}
		return out, nil
	})
}

// against holds the tree against checkpoints, the smallest first, so that what was
// changed is narrowed down to what came after the last that holds.
func (v *verifier) against(checkpoints []Checkpoint) {
	sorted := slices.Clone(checkpoints)
	slices.SortStableFunc(sorted, func(a, b Checkpoint) int { return cmp.Compare(a.Size, b.Size) })
	good := int64(0)
	for _, c := range sorted {
		if c.Size > v.Size {
			v.found(v.Size, "", "the checkpoint of %d entries by %s knows %d that are not here: entries %d to %d",
				c.Size, c.Origin, c.Size-v.Size, v.Size, c.Size-1)
			continue
		}
		if head, err := headOf(v.hashes, c.Size); err != nil || head != c.Hash {
			v.found(good, "", "the checkpoint of %d entries by %s is not of what lies here: something was changed, removed, moved or put in among entries %d to %d",
				c.Size, c.Origin, good, c.Size-1)
			continue
		}
		v.Checkpoints++
		good = c.Size
	}
}
