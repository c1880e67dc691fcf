package reports_test

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"encoding/xml"
	"fmt"
	"io"
	"reflect"
	"regexp"
	"strings"
	"testing"
	"unicode"

	"github.com/yuin/goldmark"
	"github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/extension"
	markdown "github.com/yuin/goldmark/text"

	"github.com/visitgauge/visitgauge/engine/verdict"
	"github.com/visitgauge/visitgauge/reports"
)

// payloads are texts that a report must show and never obey: HTML, Markdown in
// its dialects, SARIF messages, formulas, JSON, XML, and what terminals obey.
var payloads = []string{
	`<script>alert(1)</script>`, `<img src=x onerror=alert(1)>`, `"><svg/onload=alert(1)>`, `</testcase></testsuite>]]>`, `<!-- x -->`, `&lt;b&gt; &#60;`,
	`[click](https://example.invalid/)`, `![p](https://example.invalid/p.png)`, `<https://example.invalid/>`, `https://example.invalid/x`, `www.example.invalid/x`,
	`someone@example.invalid`, `@someone`, `[a]: https://example.invalid/`, `[a][a]`, "`code`", "``` fence", `# heading`, `- item`, `+ item`, `1. item`, `2) item`, `> quote`,
	`**bold** __bold__ _x_ ~~gone~~`, `a | b | c`, `| - | - |`, `[ ] task`, `***`, `---`, `===`, `a\`, `:tada:`, `$x$`, `[^1]`, `    indented`, `#12`,
	`{0} {{1}}`, `[link](0)`, `[a\](1)`, `[text](sarif:/runs/0)`,
	`=1+1`, `=HYPERLINK("https://example.invalid/","x")`, `+1+1`, `-1+1`, `@SUM(1+1)`, "\t=1+1", "\r=1+1", ` =1+1`, `x;=1+1`, `x; @SUM(1)`, `"=1+1`, "\uff1d1+1",
	`","x":"y`, `\u0022`, `a,b;c`, "line one\nline two\r\n=1+1",
	"\x1b[2J\x1b]0;title\x07", "\x1b]8;;https://example.invalid/\x1b\\x", "\u202egnihtyna\u202c", "a\u2066b", "nul\x01\x7f\u0085", "\ufffe\uffff",
}

// laden puts a text of its own into every field of a value that is free text. The
// words that the schema lists are left as they are.
func laden(v *verdict.Verdict, put func(field string) string) *verdict.Verdict {
	out := *v
	fixed := map[string]bool{"Schema": true, "Kind": true, "Started": true, "Ended": true, "EndedAs": true, "Digest": true, "Received": true,
		"Slot": true, "Rule": true, "Concern": true, "Severity": true, "Outcome": true, "Because": true, "Value": true, "Serviceability": true,
		"Completion": true, "Cause": true, "Until": true, "Who": true, "Concession": true, "Mark": true, "Earlier": true}
	var walk func(from, to reflect.Value, name string)
	walk = func(from, to reflect.Value, name string) {
		switch from.Kind() {
		case reflect.String:
			if !fixed[name] && from.String() != "" {
				to.SetString(put(name))
			}
		case reflect.Slice:
			to.Set(reflect.MakeSlice(from.Type(), from.Len(), from.Len()))
			reflect.Copy(to, from)
			for i := range from.Len() {
				walk(from.Index(i), to.Index(i), name)
			}
		case reflect.Struct:
			for i := range from.NumField() {
				walk(from.Field(i), to.Field(i), from.Type().Field(i).Name)
			}
		}
	}
	walk(reflect.ValueOf(*v), reflect.ValueOf(&out).Elem(), "")
	return &out
}

// harmless says of each format what would be an effect of a payload, given the
// report with it and one of the same verdict with plain words. A format that is
// not in it fails the test.
var harmless = map[string]func(t *testing.T, got, plain string){
	".txt":      func(*testing.T, string, string) {}, // what is obeyed is looked for in all formats
	".all.txt":  func(*testing.T, string, string) {},
	".lead.txt": func(*testing.T, string, string) {},
	".md":       sameMarkdown,
	".all.md":   sameMarkdown,
	".jsonl":    sameJSON,
	".sarif": func(t *testing.T, got, plain string) {
		sameJSON(t, got, plain)
		messages(t, got)
	},
	".xml": sameXML,
	".csv": cells,
}

// TestInjection renders verdicts that hold nothing but payloads, and refusals of
// records that do.
func TestInjection(t *testing.T) {
	for format := range formats {
		check, ok := harmless[format]
		if !ok {
			t.Errorf("%s: nothing says what would be an effect", format)
			continue
		}
		for name, v := range saved(t) {
			if name != "testdata/tagged" && name != "testdata/conceded" {
				continue
			}
			v.Ignored = []verdict.Ignored{{ID: "C-5", Why: "it is of another visit"}}
			render := func(put func(string) string) string {
				r := reports.Refusal{Problems: []reports.Problem{{Source: put("Source"), Line: 3, Column: 4, Message: put("Message"), Mend: put("Mend")}}}
				visit := at(laden(v, put))
				visit.Source = put("Source")
				report, aside := written(t, format, []reports.Visit{visit}, r)
				obeyed(t, format, report+aside)
				return report
			}
			plain := render(func(string) string { return "word" })
			for i, payload := range payloads {
				t.Run(fmt.Sprintf("%s%s/%d", name, format, i), func(t *testing.T) {
					check(t, render(func(string) string { return payload }), plain)
				})
			}
		}
	}
}

// obeyed looks for what a terminal obeys.
func obeyed(t *testing.T, format, report string) {
	t.Helper()
	for i, r := range report {
		if r != '\n' && r != '\r' && (unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r)) || r == '\r' && format != ".csv" {
			t.Errorf("%s: %q", format, report[max(0, i-40):min(len(report), i+40)])
			return
		}
	}
}

// shape is a Markdown document without its texts, by a parser that makes links of
// bare addresses and knows tables, tasks and footnotes.
func shape(source string) string {
	md := goldmark.New(goldmark.WithExtensions(extension.GFM, extension.Footnote, extension.DefinitionList))
	doc := md.Parser().Parse(markdown.NewReader([]byte(source)))
	var b strings.Builder
	_ = ast.Walk(doc, func(n ast.Node, entering bool) (ast.WalkStatus, error) {
		if n.Kind() == ast.KindText || n.Kind() == ast.KindString {
			return ast.WalkContinue, nil // how many pieces a text is in says nothing
		}
		if entering {
			b.WriteString("(" + n.Kind().String())
		} else {
			b.WriteString(")")
		}
		return ast.WalkContinue, nil
	})
	return b.String()
}

func sameMarkdown(t *testing.T, got, plain string) {
	// Findings that say the same are told in one, whatever that is; so a text that
	// names no subject shapes the report as any other does.
	if a, b := shape(got), shape(plain); a != b {
		t.Errorf("the document has another shape:\n%s\n%s\n%s", a, b, got)
	}
}

func rendered(t *testing.T, source string) string {
	var out bytes.Buffer
	if err := goldmark.New(goldmark.WithExtensions(extension.GFM)).Convert([]byte(source), &out); err != nil {
		t.Fatal(err)
	}
	return out.String()
}

// sameJSON demands the same members and elements in each line.
func sameJSON(t *testing.T, got, plain string) {
	form := func(text string) string {
		dec := json.NewDecoder(strings.NewReader(text))
		var b strings.Builder
		for {
			tok, err := dec.Token()
			if err == io.EOF {
				return b.String()
			}
			if err != nil {
				t.Fatalf("%v\n%s", err, text)
			}
			fmt.Fprintf(&b, "%T", tok)
			if d, ok := tok.(json.Delim); ok {
				b.WriteString(d.String())
			}
		}
	}
	if form(got) != form(plain) {
		t.Errorf("another form:\n%s", got)
	}
}

// messages looks for links and placeholders in the messages of a log: OASIS SARIF
// 2.1.0, 3.11.5 and 3.11.6.
func messages(t *testing.T, report string) {
	var log any
	if err := json.Unmarshal([]byte(report), &log); err != nil {
		t.Fatal(err)
	}
	single := regexp.MustCompile(`(^|[^{])(\{\{)*\{([^{]|$)|(^|[^}])(\}\})*\}([^}]|$)`)
	found := 0
	var walk func(v any)
	walk = func(v any) {
		switch v := v.(type) {
		case map[string]any:
			for name, member := range v {
				if s, ok := member.(string); ok && name == "text" {
					found++
					if strings.Contains(s, "](") {
						t.Errorf("a link: %q", s)
					}
					if single.MatchString(s) {
						t.Errorf("a placeholder: %q", s)
					}
				}
				walk(member)
			}
		case []any:
			for _, element := range v {
				walk(element)
			}
		}
	}
	walk(log)
	if found == 0 {
		t.Error("there is no message")
	}
}

// sameXML demands the same elements and attributes.
func sameXML(t *testing.T, got, plain string) {
	form := func(text string) string {
		dec := xml.NewDecoder(strings.NewReader(text))
		var b strings.Builder
		for {
			tok, err := dec.Token()
			if err == io.EOF {
				return b.String()
			}
			if err != nil {
				t.Fatalf("%v\n%s", err, text)
			}
			switch tok := tok.(type) {
			case xml.StartElement:
				b.WriteString("<" + tok.Name.Local)
				for _, a := range tok.Attr {
					b.WriteString(" " + a.Name.Local)
				}
			case xml.EndElement:
				b.WriteString(">")
			case xml.Comment, xml.Directive:
				fmt.Fprintf(&b, "%T", tok)
			}
		}
	}
	if form(got) != form(plain) {
		t.Errorf("another form:\n%s", got)
	}
}

// cells demands as many rows and columns, and no cell that a spreadsheet takes for
// a formula: also where it splits rows at semicolons.
func cells(t *testing.T, got, plain string) {
	read := func(text string) [][]string {
		rows, err := csv.NewReader(strings.NewReader(text)).ReadAll()
		if err != nil {
			t.Fatalf("%v\n%s", err, text)
		}
		return rows
	}
	rows := read(got)
	if a, b := len(rows), len(read(plain)); a != b {
		t.Errorf("%d rows, not %d", a, b)
	}
	for _, row := range rows[1:] {
		for i, cell := range row {
			if name := rows[0][i]; name == "line" || name == "column" {
				if strings.Trim(cell, "0123456789") != "" {
					t.Errorf("%s is %q", name, cell)
				}
				continue
			}
			for part := range strings.SplitSeq(cell, ";") {
				part = strings.TrimLeft(part, " \"\t\r\n\u00a0")
				if part != "" && strings.ContainsRune("=+-@\uff1d\uff0b\uff0d\uff20", []rune(part)[0]) {
					t.Errorf("%s is %q", rows[0][i], cell)
				}
			}
		}
	}
}

// What Markdown shows is the text itself.
func TestMarkdownShowsTheText(t *testing.T) {
	for _, payload := range payloads {
		if strings.ContainsFunc(payload, func(r rune) bool { return unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r) || r == '@' }) {
			continue
		}
		v := one(verdict.Outcome{Outcome: verdict.Nonconforming, Severity: verdict.Major}, verdict.Rejected, verdict.Serviceable)
		v.Outcomes[0].Statement = "cell B1.2 " + payload
		report, _ := written(t, ".md", []reports.Visit{{Verdict: v}})
		shown := regexp.MustCompile(`<[^>]*>`).ReplaceAllString(rendered(t, report), "")
		shown = strings.NewReplacer("&lt;", "<", "&gt;", ">", "&quot;", `"`, "&amp;", "&").Replace(shown)
		if want := "Cell B1.2 " + strings.Join(strings.Fields(payload), " "); !strings.Contains(shown, want) {
			t.Errorf("%q does not come out: %s", payload, shown)
		}
	}
}
