package reports_test

import (
	"encoding/json"
	"fmt"
	"maps"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/joshdk/go-junit"
	"github.com/yuin/goldmark"
	"github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/extension"
	markdown "github.com/yuin/goldmark/text"

	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/engine/stream"
	"github.com/visitgauge/visitgauge/engine/verdict"
	"github.com/visitgauge/visitgauge/reports"
	"github.com/visitgauge/visitgauge/schema"
)

// hostile is one text with something in it for every reader.
const hostile = "=1+1;@x <img src=x onerror=alert(1)> [a](https://example.invalid/) `b` {0} ]]></failure> https://example.invalid/\r\n# c\n\x1b[2J\u202ed"

// fill puts a text into every field of a record that takes it, one after the
// other, and says into how many. The record stays one that is accepted.
func fill(t *testing.T, decoder *record.Decoder, data []byte) (filled *record.Record, fields int) {
	t.Helper()
	accepted := func(doc any) *record.Record {
		line, err := json.Marshal(doc)
		if err != nil {
			t.Fatal(err)
		}
		r, err := decoder.Decode("hostile.json", 1, line)
		if err != nil {
			return nil
		}
		return r
	}
	dec := json.NewDecoder(strings.NewReader(string(data)))
	dec.UseNumber()
	var doc any
	if err := dec.Decode(&doc); err != nil {
		t.Fatal(err)
	}
	refused := map[string]bool{} // fields by name, those of elements alike
	var walk func(v any, name string)
	try := func(was any, name string, set func(any)) {
		if _, isText := was.(string); !isText {
			walk(was, name)
			return
		}
		if refused[name] {
			return
		}
		set(fmt.Sprintf("%s %d", hostile, fields))
		if r := accepted(doc); r != nil {
			filled = r
			fields++
			return
		}
		refused[name] = true
		set(was)
	}
	walk = func(v any, name string) {
		switch v := v.(type) {
		case map[string]any:
			for _, key := range slices.Sorted(maps.Keys(v)) {
				try(v[key], name+"/"+key, func(s any) { v[key] = s })
			}
		case []any:
			for i, element := range v {
				try(element, name, func(s any) { v[i] = s })
			}
		}
	}
	walk(doc, "")
	return filled, fields
}

// TestHostileRecord judges records of the demo with a hostile text in each of
// their free fields, and renders what comes of it.
func TestHostileRecord(t *testing.T) {
	visits, err := schema.Compile("visit")
	if err != nil {
		t.Fatal(err)
	}
	decoder := record.NewDecoder(visits, record.Limits{})
	rules := stream.ByFolder(os.DirFS("../policies/1.0.0"), true)
	for _, id := range []string{"V-0111", "V-0120"} {
		data, err := os.ReadFile("../testdata/demo/" + id + ".json")
		if err != nil {
			t.Fatal(err)
		}
		hostileRecord, fields := fill(t, decoder, data)
		if fields < 5 {
			t.Fatalf("%s: only %d fields took the text", id, fields)
		}
		var v *verdict.Verdict
		items := func(yield func(record.Item) bool) {
			yield(record.Item{Source: "hostile.json", FirstLine: 1, Data: hostileRecord.Raw()})
		}
		if err := stream.Run(t.Context(), items, stream.Options{Decoder: decoder, Rules: rules}, func(r stream.Result) error {
			v = r.Verdict
			return nil
		}); err != nil || v == nil {
			t.Fatalf("%s: %v, %v", id, v, err)
		}
		text, err := verdict.Encode(v)
		if err != nil {
			t.Fatal(err)
		}
		if n := strings.Count(string(text), "<img src=x"); n == 0 {
			t.Errorf("%s: nothing of %d fields is in the verdict", id, fields)
		} else {
			t.Logf("%s: %d fields, %d places in the verdict", id, fields, n)
		}
		for format := range formats {
			check, ok := inert[format]
			if !ok {
				t.Errorf("%s: nothing says what would be an effect", format)
				continue
			}
			report, aside := written(t, format, []reports.Visit{{Verdict: v, Source: "hostile.json", Place: hostileRecord.Position}})
			obeyed(t, format, report+aside)
			check(t, report)
		}
	}
}

// inert says of each format what would be an effect of the text.
var inert = map[string]func(t *testing.T, report string){
	".txt":      func(*testing.T, string) {}, // what is obeyed is looked for in all formats
	".all.txt":  func(*testing.T, string) {},
	".lead.txt": func(*testing.T, string) {},
	".md":       onlyLists,
	".all.md":   onlyLists,
	".jsonl":    func(t *testing.T, report string) { sameJSON(t, report, report) },
	".sarif":    messages,
	".xml": func(t *testing.T, report string) {
		suites, err := junit.Ingest([]byte(report))
		if err != nil || len(suites) != 2 {
			t.Errorf("%d suites, want 2: %v", len(suites), err)
		}
	},
	".csv": func(t *testing.T, report string) { cells(t, report, report) },
}

// onlyLists demands that a document has headings, lists and paragraphs, and in
// them words, code and what is set in bold.
func onlyLists(t *testing.T, report string) {
	doc := goldmark.New(goldmark.WithExtensions(extension.GFM, extension.Footnote)).Parser().Parse(markdown.NewReader([]byte(report)))
	err := ast.Walk(doc, func(n ast.Node, entering bool) (ast.WalkStatus, error) {
		switch n.Kind() {
		case ast.KindDocument, ast.KindHeading, ast.KindParagraph, ast.KindList, ast.KindListItem, ast.KindTextBlock,
			ast.KindText, ast.KindString, ast.KindCodeSpan, ast.KindEmphasis:
			return ast.WalkContinue, nil
		}
		return ast.WalkStop, fmt.Errorf("there is a %s", n.Kind())
	})
	if err != nil {
		t.Errorf("%v\n%s", err, report)
	}
}
