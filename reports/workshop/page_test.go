package workshop

import (
	"strings"
	"testing"
	"unicode/utf8"
)

func sample(p *Page) {
	p.Title("Rules of release 1.0.0")
	p.Paragraph(strings.Repeat("long words ", 20))
	p.Heading("battery")
	p.Items("one", strings.Repeat("two ", 30))
	p.Pairs([2]string{"severity", "major"}, [2]string{"basis", ""}, [2]string{"why", strings.Repeat("so ", 40)})
	p.Table([]string{"rule", "title"}, [][]string{{"a_b", strings.Repeat("title | ", 20)}, {"c", ""}})
	p.Verbatim("one\n  two\n")
}

func TestTextFits(t *testing.T) {
	data, err := Render(Text, nil, sample)
	if err != nil {
		t.Fatal(err)
	}
	for line := range strings.Lines(string(data)) {
		line = strings.TrimSuffix(line, "\n")
		if utf8.RuneCountInString(line) > 80 || strings.TrimRight(line, " ") != line {
			t.Errorf("a line is too long or ends in spaces: %q", line)
		}
	}
	for _, want := range []string{"BATTERY\n", "  - one\n", "  severity  major\n", "rule  title\n", "c\n", "      two\n"} {
		if !strings.Contains(string(data), want) {
			t.Errorf("%q is missing in\n%s", want, data)
		}
	}
	if strings.Contains(string(data), "basis") {
		t.Error("a pair without a second part is written")
	}
}

func TestMarkdownEscapes(t *testing.T) {
	data, err := Render(Markdown, nil, sample)
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"# Rules of release 1.0.0\n", "## battery\n", "| rule | title |\n| --- | --- |\n| a\\_b | title \\| title", "- **severity**: major\n"} {
		if !strings.Contains(string(data), want) {
			t.Errorf("%q is missing in\n%s", want, data)
		}
	}
}

func TestJSONIsTheResult(t *testing.T) {
	data, err := Render(JSON, map[string]any{"a": "<b>"}, sample)
	if err != nil || string(data) != "{\n  \"a\": \"<b>\"\n}\n" {
		t.Errorf("got %s, %v", data, err)
	}
	if _, err := Render("xml", nil, sample); err == nil {
		t.Error("an unknown format is written")
	}
}
