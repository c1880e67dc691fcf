package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/rogpeppe/go-internal/testscript"

	"github.com/visitgauge/visitgauge/engine/ruleset"
)

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"visitgauge": main})
}

// TestScripts runs what people type, one topic a file. Scripts have, besides the
// usual commands:
//
//	exitcode N program args…     runs a program, which must end with code N
//	visit FILE [change…]         writes testdata/visit.json with changes; to a
//	                             .jsonl file it is added as one more line
//	policies DIR entry…          writes a policies folder with copies of the
//	                             smallest release; an entry is version:state:from
//	house DIR                    writes a policies folder with the smallest release
//	                             and examples of its rules, released as 1.0.0
//	manual FILE                  follows a manual: its commands print what it shows
//	keys NAME                    writes a pair of keys, NAME.pem and NAME-public.pem
//	refused DIR TEXT             every command that would use the altered release
//	                             1.0.0 of a house with a draft 1.1.0 refuses it with
//	                             code 3 and a text like TEXT, and writes nothing
//	edit FILE old new…           replaces text in a file, which must hold it; \n
//	                             stands for the end of a line
//	tamper HOW DIR               changes the release in a folder: byte, added,
//	                             removed, mode or link
//	alter FILE                   changes the last byte of a file
//	closedpipe N program args…   as exitcode, but the reader of standard output
//	                             leaves after the first byte
//	interrupt N FILE TEXT program args…
//	                             as exitcode, but fed from FILE by a pipe that
//	                             stays open, and interrupted once TEXT was
//	                             written; output is in the files out and err
//	verdicts FILE id…            FILE holds the verdicts of these visits, in this
//	                             order, one a line; more may follow a last …
//
// A change is /pointer=JSON, or -/pointer to remove.
func TestScripts(t *testing.T) {
	scripts, err := filepath.Glob("testdata/*.txtar")
	if err != nil || len(scripts) == 0 {
		t.Fatalf("there are no scripts: %v", err)
	}
	base, err := os.ReadFile("testdata/visit.json")
	if err != nil {
		t.Fatal(err)
	}
	testscript.Run(t, testscript.Params{
		Files:               scripts,
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"exitcode":   exitcode,
			"visit":      func(ts *testscript.TestScript, _ bool, args []string) { writeVisit(ts, base, args) },
			"policies":   writePolicies,
			"house":      writeHouse,
			"keys":       writeKeys,
			"manual":     runManual,
			"refused":    refusedByAll,
			"alter":      alter,
			"edit":       edit,
			"tamper":     tamper,
			"closedpipe": closedPipe,
			"interrupt":  interrupt,
			"verdicts":   verdicts,
		},
		Condition: func(cond string) (bool, error) {
			if cond == "root" {
				return os.Geteuid() == 0, nil
			}
			return false, fmt.Errorf("unknown condition %q", cond)
		},
	})
}

func exitcode(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: exitcode N program args…")
	}
	demandCode(ts, args[0], ts.Exec(args[1], args[2:]...))
}

// demandCode demands that a program ended with a code.
func demandCode(ts *testscript.TestScript, want string, err error) {
	got := 0
	var exit *exec.ExitError
	switch {
	case errors.As(err, &exit):
		got = exit.ExitCode()
	case err != nil:
		ts.Fatalf("%v", err)
	}
	if strconv.Itoa(got) != want {
		ts.Fatalf("exit code %d, want %s", got, want)
	}
}

func writeVisit(ts *testscript.TestScript, base []byte, args []string) {
	if len(args) == 0 {
		ts.Fatalf("usage: visit FILE [change…]")
	}
	dec := json.NewDecoder(bytes.NewReader(base))
	dec.UseNumber()
	var doc any
	ts.Check(dec.Decode(&doc))
	for _, change := range args[1:] {
		pointer, text, set := strings.Cut(change, "=")
		var value any
		if set {
			dec := json.NewDecoder(strings.NewReader(text))
			dec.UseNumber()
			if err := dec.Decode(&value); err != nil {
				ts.Fatalf("change %s: %v", change, err)
			}
		} else if pointer, set = strings.CutPrefix(change, "-"); !set {
			ts.Fatalf("change %s is neither /pointer=JSON nor -/pointer", change)
		} else {
			value = removed{}
		}
		var err error
		if doc, err = changed(doc, strings.Split(pointer, "/")[1:], value); err != nil {
			ts.Fatalf("change %s: %v", change, err)
		}
	}
	line, err := json.Marshal(doc)
	ts.Check(err)
	file := ts.MkAbs(args[0])
	ts.Check(os.MkdirAll(filepath.Dir(file), 0o777))
	mode := os.O_WRONLY | os.O_CREATE | os.O_TRUNC
	if filepath.Ext(file) == ".jsonl" {
		mode = os.O_WRONLY | os.O_CREATE | os.O_APPEND
	}
	f, err := os.OpenFile(file, mode, 0o666)
	ts.Check(err)
	_, err = f.Write(append(line, '\n'))
	ts.Check(errors.Join(err, f.Close()))
}

// removed stands for what a change takes away.
type removed struct{}

// changed sets, adds or removes what a path leads to.
func changed(doc any, path []string, value any) (any, error) {
	if len(path) == 0 {
		return value, nil
	}
	switch v := doc.(type) {
	case map[string]any:
		inner, err := changed(v[path[0]], path[1:], value)
		if inner == (removed{}) {
			delete(v, path[0])
			return v, err
		}
		v[path[0]] = inner
		return v, err
	case []any:
		i := len(v)
		if path[0] != "-" {
			var err error
			if i, err = strconv.Atoi(path[0]); err != nil || i < 0 || i >= len(v) {
				return nil, fmt.Errorf("no element %q", path[0])
			}
		} else {
			v = append(v, nil)
		}
		inner, err := changed(v[i], path[1:], value)
		if inner == (removed{}) {
			return slices.Delete(v, i, i+1), err
		}
		v[i] = inner
		return v, err
	}
	return nil, fmt.Errorf("there is nothing to hold %q", path[0])
}

func writePolicies(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: policies DIR version:state:from…")
	}
	small := os.DirFS(smallRelease())
	digest, err := ruleset.Digest(small)
	ts.Check(err)
	list := "releases:\n"
	for _, entry := range args[1:] {
		parts := strings.Split(entry, ":")
		if len(parts) != 3 {
			ts.Fatalf("entry %q is not version:state:from", entry)
		}
		ts.Check(os.CopyFS(filepath.Join(ts.MkAbs(args[0]), parts[0]), small))
		list += fmt.Sprintf("  - {version: %s, state: %s, from: %q, digest: %q, author: tester, approved_by: lead, told: all, note: for a test}\n",
			parts[0], parts[1], parts[2], digest)
	}
	ts.Check(os.WriteFile(filepath.Join(ts.MkAbs(args[0]), ruleset.ReleasesFile), []byte(list), 0o666))
}

// scriptDir is where this package lies; scripts run elsewhere.
var scriptDir, _ = os.Getwd()

// smallRelease is the folder of a release of three rules.
func smallRelease() string { return filepath.Join(scriptDir, "../../engine/ruleset/testdata/small") }

func alter(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 1 {
		ts.Fatalf("usage: alter FILE")
	}
	file := ts.MkAbs(args[0])
	data, err := os.ReadFile(file)
	ts.Check(err)
	data[len(data)-1] = ' '
	ts.Check(os.WriteFile(file, data, 0o666))
}

func edit(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 3 || len(args)%2 != 1 {
		ts.Fatalf("usage: edit FILE old new…")
	}
	text := ts.ReadFile(args[0])
	for i := 1; i < len(args); i += 2 {
		old, fresh := strings.ReplaceAll(args[i], `\n`, "\n"), strings.ReplaceAll(args[i+1], `\n`, "\n")
		if !strings.Contains(text, old) {
			ts.Fatalf("%s does not hold %q", args[0], old)
		}
		text = strings.ReplaceAll(text, old, fresh)
	}
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), []byte(text), 0o666))
}

// tamper changes a release in one of the ways that must be refused.
func tamper(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: tamper byte|added|removed|mode|link DIR")
	}
	file := filepath.Join(ts.MkAbs(args[1]), "shared", "exact.rego")
	data, err := os.ReadFile(file)
	ts.Check(err)
	switch args[0] {
	case "byte":
		data[len(data)-1] = ' '
		ts.Check(os.WriteFile(file, data, 0o666))
	case "added":
		ts.Check(os.WriteFile(filepath.Join(filepath.Dir(file), "more.md"), []byte("more\n"), 0o666))
	case "removed":
		ts.Check(os.Remove(file))
	case "mode":
		ts.Check(os.Chmod(file, 0o755))
	case "link":
		// What it leads to has the same bytes.
		ts.Check(os.WriteFile(ts.MkAbs("elsewhere.rego"), data, 0o666))
		ts.Check(os.Remove(file))
		ts.Check(os.Symlink(ts.MkAbs("elsewhere.rego"), file))
	default:
		ts.Fatalf("tamper %s: it is byte, added, removed, mode or link", args[0])
	}
}

// start makes a command of the program that runs as in a script.
func start(ts *testscript.TestScript, args []string) *exec.Cmd {
	path, err := exec.LookPath(args[0])
	ts.Check(err)
	cmd := exec.Command(path, args[1:]...)
	cmd.Dir = ts.MkAbs(".")
	return cmd
}

func closedPipe(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: closedpipe N program args…")
	}
	cmd := start(ts, args[1:])
	r, w, err := os.Pipe()
	ts.Check(err)
	var stderr bytes.Buffer
	cmd.Stdout, cmd.Stderr = w, &stderr
	ts.Check(cmd.Start())
	ts.Check(w.Close())
	_, err = io.ReadFull(r, make([]byte, 1))
	ts.Check(errors.Join(err, r.Close()))
	demandCode(ts, args[0], cmd.Wait())
	ts.Check(os.WriteFile(ts.MkAbs("err"), stderr.Bytes(), 0o666))
}

func interrupt(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 4 {
		ts.Fatalf("usage: interrupt N FILE TEXT program args…")
	}
	cmd := start(ts, args[3:])
	in, err := cmd.StdinPipe()
	ts.Check(err)
	out, err := os.Create(ts.MkAbs("out"))
	ts.Check(err)
	defer out.Close()
	var stderr bytes.Buffer
	cmd.Stdout, cmd.Stderr = out, &stderr
	ts.Check(cmd.Start())
	go func() {
		// The pipe stays open, as that of a source that has more to say.
		_, _ = in.Write([]byte(ts.ReadFile(args[1])))
	}()
	ended := make(chan error, 1)
	go func() { ended <- cmd.Wait() }()
	limit := time.After(time.Minute)
	for !bytes.Contains([]byte(ts.ReadFile("out")), []byte(args[2])) {
		select {
		case err := <-ended:
			ts.Fatalf("it ended by itself: %v\n%s", err, stderr.Bytes())
		case <-limit:
			_ = cmd.Process.Kill()
			ts.Fatalf("%q was never written\n%s", args[2], stderr.Bytes())
		case <-time.After(5 * time.Millisecond):
		}
	}
	ts.Check(cmd.Process.Signal(os.Interrupt))
	select {
	case err := <-ended:
		demandCode(ts, args[0], err)
	case <-limit:
		_ = cmd.Process.Kill()
		ts.Fatalf("it did not end when interrupted")
	}
	ts.Check(os.WriteFile(ts.MkAbs("err"), stderr.Bytes(), 0o666))
}

func verdicts(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: verdicts FILE id…")
	}
	want, open := args[1:], false
	if want[len(want)-1] == "…" {
		want, open = want[:len(want)-1], true
	}
	text := ts.ReadFile(args[0])
	if !strings.HasSuffix(text, "\n") {
		ts.Fatalf("the last line is not whole")
	}
	var got []string
	for line := range strings.Lines(text) {
		var v struct {
			Schema string
			Visit  struct{ ID string }
		}
		if err := json.Unmarshal([]byte(line), &v); err != nil || v.Schema != "verdict/1" {
			ts.Fatalf("no verdict: %s", line)
		}
		got = append(got, v.Visit.ID)
	}
	if open && len(got) > len(want) {
		got = got[:len(want)]
	}
	if !slices.Equal(got, want) {
		ts.Fatalf("verdicts of %q, want %q", got, want)
	}
}
