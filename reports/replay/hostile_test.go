package replay

import (
	"bytes"
	"encoding/csv"
	"reflect"
	"strings"
	"testing"
	"unicode"

	"github.com/yuin/goldmark"
	"github.com/yuin/goldmark/extension"
	"golang.org/x/net/html"

	"github.com/visitgauge/visitgauge/engine/replay"
	"github.com/visitgauge/visitgauge/reports/workshop"
)

// payloads are texts that are to be shown and never obeyed.
var payloads = []string{
	"<script>alert(1)</script>", "<img src=x onerror=alert(1)>", "\"><svg/onload=alert(1)>", "</td></table><h1>x</h1>", "</style><b>x</b>", "<!-- x -->", "&lt;b&gt; &#60;",
	"[click](https://example.invalid/)", "https://example.invalid/x", "www.example.invalid/x", "someone@example.invalid", "![p](https://example.invalid/p.png)", "<https://example.invalid/>", "`code`", "``` fence", "# heading", "- item", "1. item", "> quote",
	"**bold** _x_ ~~gone~~", "a | b | c", "---", "line one\n\n# line two\r\n=1+1",
	"=1+1", "=HYPERLINK(\"https://example.invalid/\",\"x\")", "+1+1", "-1+1", "@SUM(1+1)", "\t=1+1", "x; @SUM(1)", "\uff1d1+1", "\",\"x", "a,b;c",
	"\x1b[2J\x1b]0;title\x07", "\u202egnihtyna\u202c", "a\u2066b", "nul\x00\x7f\u0085",
}

// fixed are the fields whose words the program knows, and which are no free text.
var fixed = map[string]bool{"Schema": true, "WhatIf": true, "State": true, "Severity": true, "Is": true, "Direction": true, "Outcome": true, "Because": true, "Why": true,
	"Acceptance": true, "Serviceability": true, "Completion": true, "Old": true, "New": true, "Month": true, "From": true, "To": true, "Rule": true}

// laden is the sample with a text in front of every text that can come from a record,
// a release or the command line.
func laden(text string) *replay.Replay {
	r := sample("")
	var walk func(v reflect.Value, name string)
	walk = func(v reflect.Value, name string) {
		switch v.Kind() {
		case reflect.String:
			if !fixed[name] && v.String() != "" {
				v.SetString(text + v.String())
			}
		case reflect.Pointer:
			if !v.IsNil() {
				walk(v.Elem(), name)
			}
		case reflect.Slice:
			for i := range v.Len() {
				walk(v.Index(i), name)
			}
		case reflect.Struct:
			for i := range v.NumField() {
				walk(v.Field(i), v.Type().Field(i).Name)
			}
		}
	}
	walk(reflect.ValueOf(r).Elem(), "")
	return r
}

// shape is the elements of a page in order, without its texts.
func shape(t *testing.T, page []byte) string {
	t.Helper()
	doc, err := html.Parse(bytes.NewReader(page))
	if err != nil {
		t.Fatal(err)
	}
	var b strings.Builder
	for n := range doc.Descendants() {
		switch n.Type {
		case html.ElementNode:
			b.WriteString(n.Data)
			for _, a := range n.Attr {
				b.WriteString(" " + a.Key)
			}
			b.WriteByte('\n')
		case html.CommentNode:
			b.WriteString("comment\n")
		}
	}
	return b.String()
}

// rendered is what a reader of Markdown makes of a text.
func rendered(t *testing.T, source []byte) []byte {
	t.Helper()
	var out bytes.Buffer
	if err := goldmark.New(goldmark.WithExtensions(extension.GFM)).Convert(source, &out); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

// TestHostile puts each payload wherever text comes from outside. No form obeys one: the
// document has the shape that it has with plain words.
func TestHostile(t *testing.T) {
	for form, write := range forms {
		plain, err := write(laden("word "))
		if err != nil {
			t.Fatal(err)
		}
		for _, payload := range payloads {
			got, err := write(laden(payload + " "))
			if err != nil {
				t.Fatal(err)
			}
			obeyed := func(r rune) bool {
				return unicode.IsControl(r) && !strings.ContainsRune("\r\n\t", r) || unicode.Is(unicode.Bidi_Control, r)
			}
			if i := bytes.IndexFunc(got, obeyed); i >= 0 {
				t.Errorf("%s: %q leaves %q", form, payload, got[i:min(len(got), i+10)])
			}
			switch form {
			case "html":
				same(t, form, payload, shape(t, got), shape(t, plain))
			case "md":
				same(t, form, payload, shape(t, rendered(t, got)), shape(t, rendered(t, plain)))
			case "csv":
				inCells(t, payload, got, plain)
			case "txt":
				for _, line := range strings.Split(string(got), "\n") {
					if strings.HasPrefix(line, "line two") || strings.ContainsRune(line, '\r') {
						t.Errorf("%q breaks a line of its own: %q", payload, line)
					}
				}
			default:
				t.Fatalf("nothing is known of what would be obeyed in %s", form)
			}
		}
	}
	page := workshop.Markdown
	for _, payload := range payloads {
		write := func(text string) []byte {
			got, err := workshop.Render(page, nil, Reproduction{laden(text).Recorded}.Page)
			if err != nil {
				t.Fatal(err)
			}
			return rendered(t, got)
		}
		same(t, "reproduction", payload, shape(t, write(payload+" ")), shape(t, write("word ")))
	}
}

func same(t *testing.T, form, payload, got, plain string) {
	t.Helper()
	if got != plain {
		t.Errorf("%s: %q gives the document another shape", form, payload)
	}
}

// TestShape shows that a text which is obeyed gives a page another shape.
func TestShape(t *testing.T) {
	for _, bad := range []string{"<b>x</b>", "<!-- x -->", "<p onclick=x>x</p>"} {
		if shape(t, []byte("<p>"+bad+"</p>")) == shape(t, []byte("<p>x</p>")) {
			t.Errorf("%s is not seen", bad)
		}
	}
}

// inCells demands the rows and columns that there are with plain words, none of them a
// formula or of two lines.
func inCells(t *testing.T, payload string, got, plain []byte) {
	t.Helper()
	read := func(data []byte) [][]string {
		rows, err := csv.NewReader(bytes.NewReader(data)).ReadAll()
		if err != nil {
			t.Fatalf("%q: %v", payload, err)
		}
		return rows
	}
	rows := read(got)
	if want := len(read(plain)); len(rows) != want {
		t.Errorf("%q makes %d rows of %d", payload, len(rows), want)
	}
	for _, row := range rows {
		for i, cell := range row {
			for _, part := range strings.Split(cell, ";") {
				part = strings.TrimLeft(part, " \"")
				if part != "" && strings.ContainsRune("=+-@\uff1d\uff0b\uff0d\uff20", []rune(part)[0]) || strings.ContainsAny(cell, "\r\n\t") {
					t.Errorf("%q: column %s may be taken for a formula, or is broken: %q", payload, columns[i], cell)
				}
			}
		}
	}
}
