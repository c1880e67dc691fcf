package main

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"

	"github.com/rogpeppe/go-internal/testscript"
)

// The fenced blocks of a manual that are run: lines for the shell that make the
// folder to work in; a command with what it prints and, where it is not 0, its exit
// code; and a change to a file.
var (
	manualBlock   = regexp.MustCompile("(?ms)^```(sh|console|diff)\n(.*?)^```$")
	manualCommand = regexp.MustCompile(`(?s)^\$ visitgauge ([^\n#]+?)(?: +# exit code (\d))?\n(.*)$`)
	manualChange  = regexp.MustCompile(`(?s)^--- (\S+)\n(.*)$`)
)

// runManual follows the manual, from a folder that has what a clone of the source
// has. With -update it writes what the commands print into the manual.
func runManual(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 1 {
		ts.Fatalf("usage: manual FILE, below the folder of the tests")
	}
	file := filepath.Join(scriptDir, args[0])
	text, err := os.ReadFile(file)
	ts.Check(err)
	ts.Setenv("XDG_CACHE_HOME", ts.MkAbs("caches"))
	clone := ts.MkAbs("clone")
	ts.Check(os.Mkdir(clone, 0o777))
	for _, name := range []string{"policies", "schema", "testdata"} {
		ts.Check(os.Symlink(filepath.Join(scriptDir, "../..", name), filepath.Join(clone, name)))
	}
	ts.Check(ts.Chdir(clone))
	folders, commands, changes := 0, 0, 0
	written := manualBlock.ReplaceAllStringFunc(string(text), func(block string) string {
		m := manualBlock.FindStringSubmatch(block)
		if m[1] == "sh" {
			folders++
			followLines(ts, m[2])
			return block
		}
		if m[1] == "diff" {
			changes++
			followChange(ts, m[2])
			return block
		}
		commands++
		return "```console\n" + followCommand(ts, m[2]) + "```"
	})
	if folders == 0 || commands == 0 || changes == 0 {
		ts.Fatalf("%s: %d ways to a folder, %d commands and %d changes were found", args[0], folders, commands, changes)
	}
	if *update {
		ts.Check(os.WriteFile(file, []byte(written), 0o666))
	}
}

// followLines gives lines to the shell, and goes where they end.
func followLines(ts *testscript.TestScript, lines string) {
	ts.Check(ts.Exec("sh", "-e", "-c", lines+"pwd"))
	ts.Check(ts.Chdir(strings.TrimSuffix(ts.ReadFile("stdout"), "\n")))
}

// followCommand runs the command of a block, and gives the block with what it
// printed, standard output before standard error.
func followCommand(ts *testscript.TestScript, block string) string {
	m := manualCommand.FindStringSubmatch(block)
	if m == nil {
		ts.Fatalf("the manual shows no command in\n%s", block)
	}
	want := "0"
	if m[2] != "" {
		want = m[2]
	}
	demandCode(ts, want, ts.Exec("visitgauge", strings.Fields(m[1])...))
	got := digests.ReplaceAllString(ts.ReadFile("stdout")+ts.ReadFile("stderr"), "${1}…")
	if got = strings.TrimRight(got, "\n"); got != "" {
		got += "\n"
	}
	if got != m[3] && !*update {
		ts.Fatalf("visitgauge %s prints\n%s\nand the manual says\n%s\nrun with -update and read the difference", m[1], got, m[3])
	}
	return strings.TrimSuffix(block, m[3]) + got
}

// followChange does the change of a block: a file is named, and of it lines that
// go, with -, lines that come, with +, and lines that stay.
func followChange(ts *testscript.TestScript, block string) {
	m := manualChange.FindStringSubmatch(block)
	if m == nil {
		ts.Fatalf("the manual names no file in\n%s", block)
	}
	var old, changed strings.Builder
	for line := range strings.Lines(m[2]) {
		switch line[0] {
		case '-':
			old.WriteString(line[1:])
		case '+':
			changed.WriteString(line[1:])
		case ' ':
			old.WriteString(line[1:])
			changed.WriteString(line[1:])
		default:
			ts.Fatalf("a line of a change starts with -, + or a space: %s", line)
		}
	}
	file := ts.MkAbs(m[1])
	text, err := os.ReadFile(file)
	ts.Check(err)
	if n := strings.Count(string(text), old.String()); n != 1 {
		ts.Fatalf("%s holds the lines of a change %d times, want once:\n%s", m[1], n, old.String())
	}
	ts.Check(os.WriteFile(file, []byte(strings.Replace(string(text), old.String(), changed.String(), 1)), 0o666))
}
