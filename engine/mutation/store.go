package mutation

import (
	"context"
	"fmt"

	"github.com/open-policy-agent/opa/v1/ast"
	"github.com/open-policy-agent/opa/v1/storage"
	"github.com/open-policy-agent/opa/v1/storage/inmem"
)

// shelf is the data of a release where numbers can be moved. It is for one goroutine at
// a time.
type shelf struct{ storage.Store }

func newShelf(data map[string]any) *shelf {
	return &shelf{inmem.NewFromObjectWithOpts(data, inmem.OptRoundTripOnWrite(false), inmem.OptReturnASTValuesOnRead(true))}
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
