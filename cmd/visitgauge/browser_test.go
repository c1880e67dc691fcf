package main

import (
	"context"
	_ "embed"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
	"go.yaml.in/yaml/v3"
)

// browserVariable says "required" where a missing browser is a failure, as in the
// continuous check.
const browserVariable = "VISITGAUGE_BROWSER"

// audit is what the browser is asked of a page. It is put into the page by the
// test alone.
//
//go:embed testdata/audit.js
var audit string

// browserPath finds a browser; where there is none the test is skipped, unless one
// is required.
func browserPath(t *testing.T) string {
	t.Helper()
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome", "chrome"} {
		if path, err := exec.LookPath(name); err == nil {
			return path
		}
	}
	if os.Getenv(browserVariable) == "required" {
		t.Fatalf("there is no browser, and %s says that one is required", browserVariable)
	}
	t.Skip("there is no browser here, so nobody has looked at the pages")
	return ""
}

// TestAudit asks about a page that has everything wrong with it, so that what finds
// nothing in the others is known to find something.
func TestAudit(t *testing.T) {
	ctx := startBrowser(t, browserPath(t))
	console := listen(t, ctx)
	page, err := filepath.Abs("testdata/audit-bad.html")
	if err != nil {
		t.Fatal(err)
	}
	if err := chromedp.Do(ctx, chromedp.EmulateViewport(360, 800), chromedp.Navigate("file://"+filepath.ToSlash(page))); err != nil {
		t.Fatal(err)
	}
	tests := []struct {
		question string
		want     []string
	}{
		{"audit.layout(false)", []string{"scrolls sideways", "pixels high"}},
		{"audit.contrast()", []string{"2.85 to 1, want 4.5", "texts were looked at"}},
		{"audit.structure()", []string{
			"no language", "the title is", "not one main", "follows a heading of level 1", "without caption", "without scope",
			"without column headers", "says too little", "are called twice", "p#twice has onclick", "script is in the page", "a link leads to https",
		}},
	}
	for _, tt := range tests {
		got := strings.Join(ask(t, ctx, "audit-bad.html", tt.question), "\n")
		for _, want := range tt.want {
			if !strings.Contains(got, want) {
				t.Errorf("%s does not find %q; it finds\n%s", tt.question, want, got)
			}
		}
	}
	if said := strings.Join(console(), "\n"); !strings.Contains(said, "said aloud") {
		t.Errorf("what the page says on the console is not heard: %q", said)
	}
}

// inBrowser opens every page of both folders in one browser.
func inBrowser(t *testing.T, folder, hostile string) {
	ctx := startBrowser(t, browserPath(t))
	console := listen(t, ctx)
	pages, err := filepath.Glob(filepath.Join(folder, "*.html"))
	if err != nil || len(pages) == 0 {
		t.Fatalf("no pages: %v", err)
	}
	bad, err := filepath.Glob(filepath.Join(hostile, "*.html"))
	if err != nil || len(bad) == 0 {
		t.Fatalf("no pages: %v", err)
	}
	for _, page := range append(pages, bad...) {
		name := filepath.Base(filepath.Dir(filepath.Dir(page))) + "/" + filepath.Base(page)
		lookAt(t, ctx, page, name)
	}
	for _, said := range console() {
		t.Errorf("the browser says: %s", said)
	}
	print(t, ctx, folder)
}

// TestReplayPagesInBrowser looks at the golden pages of a replay.
func TestReplayPagesInBrowser(t *testing.T) {
	ctx := startBrowser(t, browserPath(t))
	console := listen(t, ctx)
	pages, err := filepath.Glob("../../reports/replay/testdata/*.html")
	if err != nil || len(pages) == 0 {
		t.Fatalf("no pages: %v", err)
	}
	for _, page := range pages {
		whole, err := filepath.Abs(page)
		if err != nil {
			t.Fatal(err)
		}
		lookAt(t, ctx, whole, filepath.Base(page))
	}
	for _, said := range console() {
		t.Errorf("the browser says: %s", said)
	}
}

// lookAt audits one page at three widths in both colour schemes.
func lookAt(t *testing.T, ctx context.Context, page, name string) {
	t.Helper()
	if err := chromedp.Do(ctx, chromedp.EmulateViewport(360, 800), chromedp.Navigate("file://"+filepath.ToSlash(page))); err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	// Folded as it comes, then with all unfolded, which is the wider of the two.
	for _, look := range []struct {
		width  int64
		unfold bool
	}{{360, false}, {360, true}, {768, true}, {1280, true}} {
		if err := chromedp.Do(ctx, chromedp.EmulateViewport(look.width, 800)); err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		for _, wrong := range ask(t, ctx, name, fmt.Sprintf("audit.layout(%v)", look.unfold)) {
			t.Errorf("%s, %d pixels wide: %s", name, look.width, wrong)
		}
	}
	for _, scheme := range []string{"light", "dark"} {
		if _, err := chromedp.Call(ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
			Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}},
		}); err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		for _, wrong := range ask(t, ctx, name, "audit.contrast()") {
			t.Errorf("%s, %s: %s", name, scheme, wrong)
		}
	}
	for _, wrong := range ask(t, ctx, name, "audit.structure()") {
		t.Errorf("%s: %s", name, wrong)
	}
}

// ask evaluates one question of the audit.
func ask(t *testing.T, ctx context.Context, name, question string) []string {
	t.Helper()
	wrong, err := chromedp.Run(ctx, chromedp.Evaluate[[]string](audit+"\n"+question))
	if err != nil {
		t.Fatalf("%s: %s: %v", name, question, err)
	}
	return wrong
}

// startBrowser starts one browser for all pages, which reaches nothing and keeps
// nothing.
func startBrowser(t *testing.T, path string) context.Context {
	t.Helper()
	ctx, cancel := chromedp.NewExecAllocator(t.Context(),
		chromedp.ExecPath(path), chromedp.Headless, chromedp.NoSandbox, chromedp.DisableGPU, chromedp.NoFirstRun,
		chromedp.NoDefaultBrowserCheck, chromedp.UserDataDir(t.TempDir()),
		chromedp.Flag("disable-quic", true), chromedp.Flag("disable-background-networking", true),
		chromedp.Flag("disable-component-update", true), chromedp.Flag("disable-sync", true),
		chromedp.Flag("disable-dev-shm-usage", true), chromedp.WSURLReadTimeout(time.Minute),
	)
	t.Cleanup(cancel)
	ctx, cancel = chromedp.NewContext(ctx)
	t.Cleanup(cancel)
	if err := chromedp.Do(ctx, chromedp.Navigate("about:blank")); err != nil {
		t.Fatal(err)
	}
	return ctx
}

// listen gathers all that the browser says on its console, of whatever kind; the
// function returned stops it.
func listen(t *testing.T, ctx context.Context) func() []string {
	t.Helper()
	ctx, stop := context.WithCancel(ctx)
	messages := chromedp.Console(ctx)
	var said []string
	var ended sync.WaitGroup
	ended.Go(func() {
		for m, err := range messages {
			if err != nil {
				return
			}
			said = append(said, fmt.Sprintf("%s: %s (%s)", m.Type, m.Text, filepath.Base(m.URL)))
		}
	})
	return func() []string {
		stop()
		ended.Wait()
		return said
	}
}

// pdfPage is what begins a page in the file of a print.
var pdfPage = regexp.MustCompile(`/Type\s*/Page\b`)

// print demands that the page of a clean visit prints on at most two sheets, on
// either paper.
func print(t *testing.T, ctx context.Context, folder string) {
	t.Helper()
	clean := cleanVisits(t)
	if len(clean) < 5 {
		t.Fatalf("only %d visits of the demo are clean", len(clean))
	}
	for _, id := range clean {
		page := filepath.Join(folder, "visit-"+strings.ToLower(id)+".html")
		if err := chromedp.Do(ctx, chromedp.Navigate("file://"+filepath.ToSlash(page))); err != nil {
			t.Fatal(err)
		}
		for name, paper := range map[string]chromedp.PaperSize{"A4": chromedp.PaperA4, "Letter": chromedp.PaperLetter} {
			pdf, err := chromedp.Run(ctx, chromedp.PrintToPDF(chromedp.PDFPaper(paper), chromedp.PDFPreferCSSPageSize()))
			if err != nil {
				t.Fatal(err)
			}
			if n := len(pdfPage.FindAll(pdf, -1)); n < 1 || n > 2 {
				t.Errorf("visit %s prints on %d pages of %s, want one or two", id, n, name)
			}
		}
	}
}

// cleanVisits are the visits of the demo of which nothing is to be told, as was
// written down beforehand.
func cleanVisits(t *testing.T) []string {
	t.Helper()
	data, err := os.ReadFile("../../testdata/demo/expected.yaml")
	if err != nil {
		t.Fatal(err)
	}
	var expected map[string]struct {
		Acceptance, Serviceability, Completion string
		Finds                                  []string
	}
	if err := yaml.Unmarshal(data, &expected); err != nil {
		t.Fatal(err)
	}
	var out []string
	for id, e := range expected {
		if e.Acceptance == "accepted" && e.Serviceability == "serviceable" && e.Completion == "full" && len(e.Finds) == 0 {
			out = append(out, id)
		}
	}
	slices.Sort(out)
	return out
}
