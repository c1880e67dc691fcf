package review

import (
	"bytes"
	"fmt"
	"path"
	"slices"
	"strings"

	"github.com/open-policy-agent/opa/v1/ast"
	"github.com/open-policy-agent/opa/v1/format"

	"github.com/visitgauge/visitgauge/engine/ruleset"
)

// plain makes the checks that need no release that can be loaded.
func (r *reviewer) plain() error {
	formatted := r.walk(".rego", func(name string, data []byte) {
		want, err := format.SourceWithOpts(name, data, format.Opts{RegoVersion: ast.RegoV1})
		if err != nil {
			return // the loader says what cannot be parsed
		}
		if bytes.Equal(want, data) {
			return
		}
		line, mend := reformat(string(data), string(want))
		r.add(Format, name, line, "is not formatted as OPA's formatter does", mend+"; or run opa fmt --write on the file, which mends all of it")
	})
	astray := map[string]*strays{}
	lines := r.walk(".yaml", func(name string, data []byte) {
		message, mend := Modeline(name, data, r.opt.Resolves)
		if message == "" {
			return
		}
		target, schema, is := stray(name, data)
		if !is {
			r.add(Modelines, name, 1, message, mend)
			return
		}
		folder := path.Dir(path.Join("policies/release", path.Dir(name), target))
		if astray[folder] == nil {
			astray[folder] = &strays{at: len(r.findings), schema: schema}
			r.add(Modelines, name, 1, message, mend)
		}
		astray[folder].files++
		if schema != astray[folder].schema {
			astray[folder].others = append(astray[folder].others, schema)
		}
	})
	for _, s := range astray {
		s.tell(&r.findings[s.at])
	}
	return firstOf(formatted, lines)
}

// strays are the files of a release that name schemas of a folder, which are not in
// it: mostly for one reason, that the folder was left behind, so that one finding
// tells of them all.
type strays struct {
	at     int    // the finding of the first of the files
	schema string // which that file names
	others []string
	files  int
}

func (s *strays) tell(f *Finding) {
	if s.files > 1 {
		f.Message += fmt.Sprintf("; %d files lead to that folder, and to nothing in it", s.files)
	}
	slices.Sort(s.others)
	if others := slices.Compact(s.others); len(others) > 0 {
		f.Mend += ", and likewise " + strings.Join(others, ", ")
	}
}

// stray tells which schema the first line of a file names, if it names the one that
// the file follows.
func stray(file string, data []byte) (target, schema string, is bool) {
	schema, _ = schemaOf(file)
	first, _, _ := strings.Cut(string(data), "\n")
	target, ok := strings.CutPrefix(first, modeline)
	return target, schema, ok && path.Base(target) == schema+".v1.json"
}

// reformat says where a text first differs from what the formatter makes of it, as
// a line from 1 on, and what to write there: for somebody who has an editor alone.
func reformat(text, formatted string) (line int, mend string) {
	have, want := strings.Split(text, "\n"), strings.Split(formatted, "\n")
	same := 0
	for same < len(have) && same < len(want) && have[same] == want[same] {
		same++
	}
	line = min(same, strings.Count(strings.TrimSuffix(text, "\n"), "\n")) + 1
	gone, come := meet(have[same:], want[same:])
	old, fresh := have[same:same+gone], want[same:same+come]
	switch {
	case same == len(have):
		return line, "end it with a line break"
	case gone == 1 && come == 1 && old[0] == fresh[0]+"\r":
		return line, "save it with the line ends of Unix (LF), not those of Windows (CRLF)"
	case gone == 1 && come == 1 && strings.TrimRight(old[0], " \t") == fresh[0]:
		return line, "take out the spaces at its end"
	case come == 0 && blank(old):
		return line, "take out " + counted(gone, "this empty line", "%d empty lines here")
	case come == 0:
		return line, "take out " + counted(gone, "this line", "these %d lines")
	case gone == 0 && blank(fresh):
		return line, "put " + counted(come, "an empty line", "%d empty lines") + " before it"
	case gone == 0:
		mend = "write before it: "
	default:
		mend = "write" + counted(gone, "", " for these %d lines") + ": "
	}
	written := strings.Join(fresh, "`, then `")
	mend += "`" + strings.ReplaceAll(written, "\t", "⇥") + "`"
	if strings.Contains(written, "\t") {
		mend += " (⇥ is a tab)"
	}
	return line, mend
}

// meet is how many lines go and how many come until two texts, of which the first
// lines differ, are alike again.
func meet(have, want []string) (gone, come int) {
	spaceless := func(line string) string { return strings.Join(strings.Fields(line), "") }
	if len(have) > 0 && len(want) > 0 && spaceless(have[0]) != "" && spaceless(have[0]) == spaceless(want[0]) {
		return 1, 1 // one line that is spaced otherwise; the next may be too
	}
	for sum := 0; sum <= len(have)+len(want); sum++ {
		for gone = max(0, sum-len(want)); gone <= min(sum, len(have)); gone++ {
			come = sum - gone
			switch {
			case gone < len(have) && come < len(want):
				last := gone == len(have)-1 && come == len(want)-1
				if have[gone] == want[come] && (last || spaceless(have[gone]) != "") {
					return gone, come
				}
			case gone == len(have) && come == len(want):
				return gone, come
			}
		}
	}
	return len(have), len(want)
}

// blank tells whether nothing stands in lines.
func blank(lines []string) bool { return strings.TrimSpace(strings.Join(lines, "")) == "" }

// counted words a number of lines.
func counted(n int, one, many string) string {
	if n == 1 {
		return one
	}
	return fmt.Sprintf(many, n)
}

// modeline begins the comment by which an editor finds the schema of a file.
const modeline = "# yaml-language-server: $schema="

// Modeline says what is wrong with the first line of a YAML file of a policies
// folder or of a release, and what would mend it; both are empty if nothing is. The
// file is named by its path in the release, or is releases.yaml. Resolves is as in
// [Options].
func Modeline(file string, data []byte, resolves func(file, path string) bool) (message, mend string) {
	schema, depth := schemaOf(file)
	if schema == "" {
		return "", "" // the loader says that the file has no place
	}
	want := strings.Repeat("../", depth) + "schema/" + schema + ".v1.json"
	mend = "let its first line be " + modeline + want
	first, _, _ := strings.Cut(string(data), "\n")
	target, ok := strings.CutPrefix(first, modeline)
	switch {
	case !ok:
		return "does not say by which schema an editor can check it", mend
	case path.Base(target) != schema+".v1.json":
		return "names the schema " + target + ", but follows " + schema, mend
	case resolves != nil && !resolves(file, target):
		message = "names the schema " + target + ", which is not there"
		if target == want {
			return message, "by that line an editor finds the schema: copy the folder schema there, beside the folder that holds the releases, or write the file: visitgauge schema " + schema + " > schema/" + schema + ".v1.json"
		}
		return message, mend + ", or write the schema to where it leads: visitgauge schema " + schema + " > PATH"
	}
	return "", ""
}

// schemaOf is the schema that a file follows, and how many folders lie between it
// and the one that holds policies and schema.
func schemaOf(file string) (schema string, depth int) {
	const release = 2 // policies/<version>
	switch dir, name := path.Split(file); {
	case file == ruleset.ReleasesFile:
		return "releases", 1
	case file == ruleset.UnnoticedFile:
		return "unnoticed", release + 1
	case file == ruleset.UnreadFile:
		return "unread", release + 1
	case dir == "":
		return strings.TrimSuffix(name, ".yaml"), release
	case dir == "classes/":
		return "classes", release + 1
	case strings.HasPrefix(dir, "examples/"):
		return "examples", release + strings.Count(dir, "/")
	}
	return "", 0
}
