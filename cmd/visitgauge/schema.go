package main

import (
	"strings"

	"github.com/spf13/cobra"

	"github.com/visitgauge/visitgauge/schema"
)

func newSchema() *cobra.Command {
	return &cobra.Command{
		Use:   "schema [NAME]",
		Short: "Print the JSON Schema of a document, or list them",
		Long: `Print one of the JSON Schemas (draft 2020-12) of the documents that are read and
written: of a visit, say. Without a name, list the names.

"schema input" prints the schema of the document that the rules see (see
"visitgauge input") in one piece, with what it takes from other schemas.`,
		Args: arguments(0, 1),
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) == 0 {
				return emit(cmd.OutOrStdout(), "names of schemas", []byte(strings.Join(schema.Names(), "\n")+"\n"))
			}
			read := schema.Read
			if args[0] == "input" {
				read = schema.Bundle
			}
			data, err := read(args[0])
			if err != nil {
				return usage("%w", err)
			}
			return emit(cmd.OutOrStdout(), "schema", data)
		},
	}
}
