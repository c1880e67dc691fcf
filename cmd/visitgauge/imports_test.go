package main

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

const module = "github.com/visitgauge/visitgauge/"

// may says which packages of this module a folder may import; the longest folder
// that holds a file counts. Arrows point one way: from the command to reports and
// engine, from there to the documents.
var may = map[string][]string{
	"cmd":              {"engine/", "reports", "reports/archive", "reports/replay", "reports/workshop", "schema", "policies"},
	"reports":          {"engine/verdict", "engine/sheet", "reports/internal/"},
	"reports/archive":  {"engine/archive", "reports/internal/", "reports/workshop"},
	"reports/replay":   {"engine/replay", "engine/ruleset", "engine/turn", "engine/verdict", "reports/internal/", "reports/workshop"},
	"reports/workshop": {"engine/", "reports/internal/"},
	"engine":           {"engine/", "schema"},
	"engine/verdict":   {},
	"schema":           {},
	"policies":         {},
}

// TestArrowsPointOneWay holds what is not a test to the order of packages, and all
// but the commands to printing nothing and reading no flag.
func TestArrowsPointOneWay(t *testing.T) {
	seen := map[string]bool{}
	err := filepath.WalkDir("../..", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || filepath.Ext(path) != ".go" || strings.HasSuffix(path, "_test.go") {
			return err
		}
		name, err := filepath.Rel("../..", path)
		if err != nil {
			return err
		}
		name = filepath.ToSlash(name)
		folder := ""
		for f := range may {
			if strings.HasPrefix(name, f+"/") && len(f) > len(folder) {
				folder = f
			}
		}
		if folder == "" {
			t.Errorf("%s lies in no known folder", name)
			return nil
		}
		seen[folder] = true
		file, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.SkipObjectResolution)
		if err != nil {
			return err
		}
		for _, i := range file.Imports {
			imported, err := strconv.Unquote(i.Path.Value)
			if err != nil {
				return err
			}
			own, isOwn := strings.CutPrefix(imported, module)
			allowed := func(prefix string) bool {
				return own == prefix || strings.HasSuffix(prefix, "/") && strings.HasPrefix(own, prefix)
			}
			if isOwn && !slices.ContainsFunc(may[folder], allowed) {
				t.Errorf("%s imports %s, which %s may not", name, own, folder)
			}
			if file.Name.Name != "main" && (imported == "flag" || strings.HasPrefix(imported, "github.com/spf13/")) {
				t.Errorf("%s imports %s: only commands read flags", name, imported)
			}
		}
		if file.Name.Name != "main" {
			for _, use := range printing(file) {
				t.Errorf("%s uses %s: only commands print", name, use)
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	for folder := range may {
		if !seen[folder] {
			t.Errorf("there is no code in %s", folder)
		}
	}
}

// printing lists what a file uses that writes to the process's own streams.
func printing(file *ast.File) []string {
	var found []string
	ast.Inspect(file, func(n ast.Node) bool {
		s, ok := n.(*ast.SelectorExpr)
		if !ok {
			return true
		}
		x, ok := s.X.(*ast.Ident)
		if ok && slices.Contains([]string{"fmt.Print", "fmt.Printf", "fmt.Println", "os.Stdout", "os.Stderr", "os.Exit"}, x.Name+"."+s.Sel.Name) || ok && x.Name == "log" {
			found = append(found, x.Name+"."+s.Sel.Name)
		}
		return true
	})
	return found
}
