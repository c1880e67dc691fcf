package mutation

import (
	"context"
	"fmt"
	"slices"

	"github.com/open-policy-agent/opa/v1/ast"
	"github.com/open-policy-agent/opa/v1/storage"
	"github.com/open-policy-agent/opa/v1/storage/inmem"
)

// shelf is the data of a release where numbers can be moved, and that notes what
// is read of it. It is for one goroutine at a time.
type shelf struct {
	storage.Store
	noting bool
	read   map[string]storage.Path
}

func newShelf(data map[string]any) *shelf {
	return &shelf{
		Store: inmem.NewFromObjectWithOpts(data, inmem.OptRoundTripOnWrite(false), inmem.OptReturnASTValuesOnRead(true)),
		read:  map[string]storage.Path{},
	}
}

// Read reads a path of the data.
func (s *shelf) Read(ctx context.Context, txn storage.Transaction, path storage.Path) (any, error) {
	if s.noting {
		s.read[path.String()] = slices.Clone(path)
	}
	return s.Store.Read(ctx, txn, path)
}

// set writes a number wherever it stands.
func (s *shelf) set(ctx context.Context, paths [][]string, to any) error {
	for _, p := range paths {
		if err := storage.WriteOne(ctx, s.Store, storage.ReplaceOp, storage.Path(p), to); err != nil {
			return err
		}
	}
	return nil
}

// all is the data as they stand, until a number is moved again.
func (s *shelf) all(ctx context.Context) (ast.Value, error) {
	data, err := storage.ReadOne(ctx, s.Store, storage.Path{})
	if err != nil {
		return nil, fmt.Errorf("reading the data with a number moved: %w", err)
	}
	return ast.InterfaceToValue(data)
}

// storagePath writes a path as the store does.
func storagePath(parts []string) string { return storage.Path(parts).String() }
