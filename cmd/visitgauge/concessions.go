package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"github.com/visitgauge/visitgauge/engine/judge"
	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/schema"
)

// readConcessions reads concessions from files, and from the .json files of
// directories.
func readConcessions(paths []string) ([]judge.Concession, error) {
	if len(paths) == 0 {
		return nil, nil
	}
	concession, err := schema.Compile("concession")
	if err != nil {
		return nil, err
	}
	decoder := record.NewDecoder(concession, record.Limits{})
	var files []string
	for _, path := range paths {
		found, err := jsonFiles(path)
		if err != nil {
			return nil, err
		}
		files = append(files, found...)
	}
	var out []judge.Concession
	from := map[string]string{} // file by id
	for _, file := range files {
		data, err := os.ReadFile(file)
		if err != nil {
			return nil, fmt.Errorf("reading concession: %w", err)
		}
		c, err := judge.DecodeConcession(decoder, file, data)
		if err != nil {
			return nil, err
		}
		if other, twice := from[c.ID]; twice {
			return nil, fmt.Errorf("%s: concession %q stands in %s too\ngive each its own id", file, c.ID, other)
		}
		from[c.ID] = file
		out = append(out, c)
	}
	return out, nil
}

// jsonFiles is the file itself, or those of a directory, sorted by name.
func jsonFiles(path string) ([]string, error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, fmt.Errorf("reading concessions: %w", err)
	}
	if !info.IsDir() {
		return []string{path}, nil
	}
	entries, err := os.ReadDir(path)
	if err != nil {
		return nil, fmt.Errorf("reading concessions: %w", err)
	}
	var files []string
	for _, e := range entries {
		if !e.IsDir() && strings.EqualFold(filepath.Ext(e.Name()), ".json") {
			files = append(files, filepath.Join(path, e.Name()))
		}
	}
	if len(files) == 0 {
		return nil, fmt.Errorf("reading concessions: %s holds no file that ends in .json", path)
	}
	return files, nil
}
