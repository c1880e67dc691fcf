package archive

import (
	"context"
	"database/sql"
	"errors"
	"fmt"

	"golang.org/x/mod/sumdb/tlog"
)

// stored reads the hashes of the tree.
func stored(ctx context.Context, q querier) tlog.HashReader {
	return tlog.HashReaderFunc(func(indexes []int64) ([]tlog.Hash, error) {
		hashes := make([]tlog.Hash, len(indexes))
		for i, index := range indexes {
			var raw []byte
			err := q.QueryRowContext(ctx, "SELECT hash FROM hashes WHERE idx = ?", index).Scan(&raw)
			if errors.Is(err, sql.ErrNoRows) {
				return nil, fmt.Errorf("hash %d is missing\nhave the archive verified", index)
			}
			if err != nil {
				return nil, err
			}
			if copy(hashes[i][:], raw) != tlog.HashSize || len(raw) != tlog.HashSize {
				return nil, fmt.Errorf("hash %d has %d bytes, not %d\nhave the archive verified", index, len(raw), tlog.HashSize)
			}
		}
		return hashes, nil
	})
}

// size is how many entries there are: one more than the last index.
func size(ctx context.Context, q querier) (int64, error) {
	var n int64
	err := q.QueryRowContext(ctx, "SELECT coalesce(max(seq) + 1, 0) FROM entries").Scan(&n)
	return n, err
}
