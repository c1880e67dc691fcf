// Command stockeval evaluates a query over a folder of policies as a stock
// evaluator does: the policy library loads the folder, compiles and evaluates it,
// and nothing of this program is used. It is what benchmarks compare with.
//
//	stockeval FOLDER INPUT QUERY
package main

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"os"

	"github.com/open-policy-agent/opa/v1/rego"
	"github.com/open-policy-agent/opa/v1/util"
)

func main() {
	if len(os.Args) != 4 {
		fmt.Fprintln(os.Stderr, "usage: stockeval FOLDER INPUT QUERY")
		os.Exit(2)
	}
	if err := eval(os.Args[1], os.Args[2], os.Args[3], os.Stdout); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

// eval writes the results as indented JSON.
func eval(folder, file, query string, out io.Writer) error {
	ctx := context.Background()
	data, err := os.ReadFile(file)
	if err != nil {
		return err
	}
	var input any
	if err := util.Unmarshal(data, &input); err != nil {
		return fmt.Errorf("%s: %w", file, err)
	}
	results, err := rego.New(rego.Load([]string{folder}, nil), rego.Query(query), rego.Input(input)).Eval(ctx)
	if err != nil {
		return err
	}
	enc := json.NewEncoder(out)
	enc.SetIndent("", "  ")
	return enc.Encode(results)
}
