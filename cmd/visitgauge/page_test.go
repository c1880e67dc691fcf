package main

import (
	"bytes"
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"unicode"
)

// pagesOf writes the pages of records to a folder.
func pagesOf(t *testing.T, code int, records string) string {
	t.Helper()
	return pagesIn(t, code, "html", records)
}

// pagesIn does so in a format.
func pagesIn(t *testing.T, code int, format, records string) string {
	t.Helper()
	folder := filepath.Join(t.TempDir(), "pages")
	var stdout, stderr bytes.Buffer
	args := []string{"check", "--release", benchRelease, "--format", format, "--output", folder, records}
	if got := run(context.Background(), args, strings.NewReader(""), &stdout, &stderr); got != code {
		t.Fatalf("exit code %d, want %d: %s", got, code, &stderr)
	}
	if stdout.Len() > 0 {
		t.Errorf("on standard output: %s", &stdout)
	}
	return folder
}

// TestPages writes the pages of the demo, and of records full of hostile text, and
// looks at them in turn: as files, and in a browser.
func TestPages(t *testing.T) {
	folder := pagesOf(t, exitUnjudged, "../../testdata/demo")
	hostile := hostilePages(t)
	t.Run("golden", func(t *testing.T) { goldenPages(t, folder) })
	t.Run("alone", func(t *testing.T) { standAlone(t, folder) })
	t.Run("hostile", func(t *testing.T) { notObeyed(t, hostile) })
	t.Run("earlier", earlierPage)
	t.Run("saved", func(t *testing.T) { savedPages(t, folder) })
	t.Run("browser", func(t *testing.T) { inBrowser(t, folder, hostile) })
}

// earlierPage writes one page of one visit, whose pictures reach back to the earlier
// visits that were named.
func earlierPage(t *testing.T) {
	page := filepath.Join(t.TempDir(), "visit.html")
	var stdout, stderr bytes.Buffer
	args := []string{"check", "--release", benchRelease, "--format", "html", "--output", page}
	for _, earlier := range []string{"V-0102", "V-0111"} {
		args = append(args, "--earlier", "../../testdata/demo/"+earlier+".json")
	}
	if got := run(context.Background(), append(args, "../../testdata/demo/V-0117.json"), strings.NewReader(""), &stdout, &stderr); got != 0 {
		t.Fatalf("exit code %d: %s", got, &stderr)
	}
	text, err := os.ReadFile(page)
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"V-0102, 2026-01-14", "V-0111, 2026-03-11", "B3 replaced", "1.2194"} {
		if !strings.Contains(string(text), want) {
			t.Errorf("the page does not say %q", want)
		}
	}
	two := append(args, "../../testdata/demo/V-0117.json", "../../testdata/demo/V-0118.json")
	if got := run(context.Background(), two, strings.NewReader(""), &stdout, &stderr); got != exitUnjudged || !strings.Contains(stderr.String(), "name a folder") {
		t.Errorf("two visits on one page: exit code %d: %s", got, &stderr)
	}
}

// goldenPages compares the pages of four visits with what a person has read: a
// clean one, a dead cell, one stopped because it was not safe, a sealed pack.
func goldenPages(t *testing.T, folder string) {
	for _, name := range []string{"visit-v-0103", "visit-v-0111", "visit-v-0120", "visit-v-0128", "index", "visits"} {
		t.Run(name, func(t *testing.T) {
			page, err := os.ReadFile(filepath.Join(folder, name+".html"))
			if err != nil {
				t.Fatal(err)
			}
			// A digest may hold a plus sign, which is escaped in HTML.
			got := digests.ReplaceAll(bytes.ReplaceAll(page, []byte("&#43;"), []byte("+")), []byte("${1}DIGEST"))
			golden := filepath.Join("testdata", "golden", "pages", name+".html")
			if *update {
				if err := os.WriteFile(golden, got, 0o666); err != nil {
					t.Fatal(err)
				}
			}
			want, err := os.ReadFile(golden)
			if err != nil {
				t.Fatal(err)
			}
			if !bytes.Equal(got, want) {
				t.Errorf("%s is not as it was; see what -update changes", golden)
			}
		})
	}
}

// standAlone demands that no page asks for anything: no script, no
// address, nothing of another file but links between the overview, the list of visits and
// the pages.
func standAlone(t *testing.T, folder string) {
	pages, err := filepath.Glob(filepath.Join(folder, "*.html"))
	if err != nil || len(pages) != 37 {
		t.Fatalf("%d pages, want one for each of 35 visits, an overview and a list: %v", len(pages), err)
	}
	asks := regexp.MustCompile(`(?i)<script|<link|<iframe|<object|<embed|<base|@import|url\(|\bsrc\s*=|\bon[a-z]+\s*=|(https?|file|data|javascript):`)
	link := regexp.MustCompile(`href="([^"]*)"`)
	local := regexp.MustCompile(`^(#[a-z]+|visit-v-[0-9]{4}\.html|index\.html|visits\.html)$`)
	for _, page := range pages {
		text, err := os.ReadFile(page)
		if err != nil {
			t.Fatal(err)
		}
		// What the policy of the page allows is no request.
		body := strings.Replace(string(text), "img-src data:", "", 1)
		if at := asks.FindString(body); at != "" {
			t.Errorf("%s has %q", filepath.Base(page), at)
		}
		for _, m := range link.FindAllStringSubmatch(body, -1) {
			if !local.MatchString(m[1]) {
				t.Errorf("%s leads to %q", filepath.Base(page), m[1])
			}
			if target := filepath.Join(folder, m[1]); !strings.HasPrefix(m[1], "#") {
				if _, err := os.Stat(target); err != nil {
					t.Errorf("%s leads to a page that is not there: %v", filepath.Base(page), err)
				}
			}
		}
	}
}

// hostile is a text that would do something in a page, a terminal or a line of
// writing if it were obeyed.
const hostile = `"'--></title></style><script>document.title='obeyed'</script><img src=x onerror="document.title='obeyed'"><a href="javascript:1">{{.}}&lt;` + "\x1b[31m\u202ered\u2066"

// hostileRecord puts the text into every place of a record that takes it.
func hostileRecord(t *testing.T, name string) []byte {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("../../testdata/demo", name+".json"))
	if err != nil {
		t.Fatal(err)
	}
	dec := json.NewDecoder(bytes.NewReader(data))
	dec.UseNumber()
	var doc any
	if err := dec.Decode(&doc); err != nil {
		t.Fatal(err)
	}
	decoder, err := (&caseFlags{}).decoder()
	if err != nil {
		t.Fatal(err)
	}
	takes := map[string]bool{} // by pointer without indexes
	put := 0
	var walk func(at string, v any, set func(any))
	walk = func(at string, v any, set func(any)) {
		switch v := v.(type) {
		case map[string]any:
			for name, member := range v {
				walk(at+"/"+name, member, func(x any) { v[name] = x })
			}
		case []any:
			for i, e := range v {
				walk(at, e, func(x any) { v[i] = x })
			}
		case string:
			tried, known := takes[at], false
			if _, known = takes[at]; !known {
				set(hostile)
				text, err := json.Marshal(doc)
				if err != nil {
					t.Fatal(err)
				}
				_, err = decoder.Decode("hostile", 1, text)
				takes[at], tried = err == nil, err == nil
				set(v)
			}
			if tried {
				set(hostile)
				put++
			}
		}
	}
	walk("", doc, nil)
	text, err := json.Marshal(doc)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := decoder.Decode("hostile", 1, text); err != nil {
		t.Fatal(err)
	}
	if put < 5 {
		t.Fatalf("only %d places of %s take a free text", put, name)
	}
	return text
}

// hostilePages writes the pages of two records full of hostile text.
func hostilePages(t *testing.T) string {
	t.Helper()
	return pagesOf(t, 0, hostileRecords(t))
}

// hostileRecords are the two records, in a folder.
func hostileRecords(t *testing.T) string {
	t.Helper()
	records := t.TempDir()
	for _, name := range []string{"V-0117", "V-0120"} {
		if err := os.WriteFile(filepath.Join(records, name+".json"), hostileRecord(t, name), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	return records
}

// notObeyed looks for hostile text in pages as it must not stand
// there, and as it must.
func notObeyed(t *testing.T, folder string) {
	pages, err := filepath.Glob(filepath.Join(folder, "*.html"))
	if err != nil || len(pages) != 4 {
		t.Fatalf("%d pages: %v", len(pages), err)
	}
	shown := 0
	for _, page := range pages {
		text, err := os.ReadFile(page)
		if err != nil {
			t.Fatal(err)
		}
		for _, never := range []string{"<script", "<img", "</title></style>", "\x1b", "\u202e", "\u2066", `href="javascript`} {
			if bytes.Contains(text, []byte(never)) {
				t.Errorf("%s holds %q", filepath.Base(page), never)
			}
		}
		for i, r := range string(text) {
			if r != '\n' && r != '\t' && (unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r)) {
				t.Errorf("%s holds %s at %d", filepath.Base(page), strconv.QuoteRune(r), i)
				break
			}
		}
		shown += bytes.Count(text, []byte(`&lt;img src=x onerror=`))
	}
	if shown < 5 {
		t.Errorf("the text is shown %d times, so it did not get as far as the pages", shown)
	}
}
