package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

// TestCustomerPages writes the customers' pages of the demo, and of records full of
// hostile text, and looks at them in turn: as files, and in a browser.
func TestCustomerPages(t *testing.T) {
	folder := pagesIn(t, exitUnjudged, "customer", "../../testdata/demo")
	hostile := pagesIn(t, 0, "customer", hostileRecords(t))
	pages, err := filepath.Glob(filepath.Join(folder, "*.html"))
	if err != nil || len(pages) != 35 {
		t.Fatalf("%d pages, want one for each of 35 visits: %v", len(pages), err)
	}
	bad, err := filepath.Glob(filepath.Join(hostile, "*.html"))
	if err != nil || len(bad) != 2 {
		t.Fatalf("%d pages of two hostile records: %v", len(bad), err)
	}
	t.Run("alone", func(t *testing.T) { asksForNothing(t, append(pages, bad...)) })
	t.Run("persons", func(t *testing.T) { namesNoPerson(t, pages) })
	t.Run("browser", func(t *testing.T) {
		ctx := startBrowser(t, browserPath(t))
		console := listen(t, ctx)
		for _, page := range append(pages, bad...) {
			lookAt(t, ctx, page, "customer/"+filepath.Base(page))
		}
		for _, said := range console() {
			t.Errorf("the browser says: %s", said)
		}
		for _, page := range pages {
			if err := chromedp.Do(ctx, chromedp.Navigate("file://"+filepath.ToSlash(page))); err != nil {
				t.Fatal(err)
			}
			for name, paper := range map[string]chromedp.PaperSize{"A4": chromedp.PaperA4, "Letter": chromedp.PaperLetter} {
				pdf, err := chromedp.Run(ctx, chromedp.PrintToPDF(chromedp.PDFPaper(paper), chromedp.PDFPreferCSSPageSize()))
				if err != nil {
					t.Fatal(err)
				}
				if n := len(pdfPage.FindAll(pdf, -1)); n != 1 {
					t.Errorf("%s prints on %d pages of %s, want one", filepath.Base(page), n, name)
				}
			}
		}
	})
}

// asksForNothing demands that a page is whole by itself: no script, link, picture
// or address.
func asksForNothing(t *testing.T, pages []string) {
	asks := regexp.MustCompile(`(?i)<(script|link|a|img|iframe|object|embed|base|form)\b|@import|url\(|\s(src|href|on[a-z]+)\s*=\s*["']`)
	for _, page := range pages {
		text, err := os.ReadFile(page)
		if err != nil {
			t.Fatal(err)
		}
		if at := asks.Find(text); at != nil {
			t.Errorf("%s has %q", filepath.Base(page), at)
		}
	}
}

// namesNoPerson demands that no id of a person of any record stands on any page.
func namesNoPerson(t *testing.T, pages []string) {
	records, err := filepath.Glob("../../testdata/demo/V-*.json")
	if err != nil || len(records) == 0 {
		t.Fatalf("no records: %v", err)
	}
	ids := map[string]bool{}
	for _, file := range records {
		data, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		var r struct {
			People     []struct{ ID string }
			Signatures struct{ Technician struct{ By string } }
		}
		if json.Unmarshal(data, &r) != nil {
			continue // the file of the demo that is no record
		}
		ids[r.Signatures.Technician.By] = true
		for _, p := range r.People {
			ids[p.ID] = true
		}
	}
	if delete(ids, ""); len(ids) < 2 {
		t.Fatalf("the records name %d persons", len(ids))
	}
	for _, page := range pages {
		text, err := os.ReadFile(page)
		if err != nil {
			t.Fatal(err)
		}
		for id := range ids {
			if strings.Contains(string(text), id) {
				t.Errorf("%s names %s", filepath.Base(page), id)
			}
		}
	}
}
