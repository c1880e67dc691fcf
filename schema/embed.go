// Package schema holds the JSON Schemas (draft 2020-12) of every document that
// crosses the border of this program, and compiles them.
//
// Start at [NewValidator], which holds documents against one schema, and at
// [Read], which gives a schema as it is written. [Compile] gives a schema in the
// form of the schema library, which explains what is wrong; [Bundle] gives one in
// one piece, with what it refers to in other files taken in. [ParseDateTime] and
// [ParseDate] are the one meaning that the formats date-time and date have in
// all of them.
//
// The package judges no visit, and its errors are the schema library's: the
// plain sentences with line and column are written by engine/record.
package schema

import (
	"embed"
	"fmt"
	"strings"
)

// FS holds the schema files as they are written, each <name>.v1.json.
//
//go:embed *.v1.json
var FS embed.FS

// Base is what the $id of every schema starts with. It lies under a name that
// is reserved never to exist (RFC 2606), since nothing is ever fetched from it.
const Base = "https://visitgauge.invalid/schema/"

const suffix = ".v1.json"

// Names returns the names of all schemas, sorted: "visit" for visit.v1.json.
func Names() []string {
	// The root of an embed.FS can always be listed, and is sorted by file name.
	entries, err := FS.ReadDir(".")
	if err != nil {
		panic(fmt.Sprintf("listing the embedded schemas: %v", err))
	}
	names := make([]string, 0, len(entries))
	for _, e := range entries {
		names = append(names, strings.TrimSuffix(e.Name(), suffix))
	}
	return names
}

// Read returns the schema of that name as it is written. The bytes are the
// caller's own. An unknown name is an error that lists the names there are.
func Read(name string) ([]byte, error) {
	data, err := FS.ReadFile(name + suffix)
	if err != nil {
		return nil, fmt.Errorf("reading schema %q: no such schema\nuse one of %s", name, strings.Join(Names(), ", "))
	}
	return data, nil
}

// ID returns the $id of the schema of that name.
func ID(name string) string { return Base + name + suffix }
