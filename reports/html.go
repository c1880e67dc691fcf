package reports

import (
	"bytes"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"errors"
	"fmt"
	"html/template"
	"io"
	"regexp"
	"strings"
	"unicode"

	"github.com/visitgauge/visitgauge/engine/sheet"
)

// pages are the templates of the pages, with the style that stands in each.
//
//go:embed html
var pages embed.FS

// style is plain CSS of ours: no record has a part in it.
var pageTemplates = template.Must(template.New("").Funcs(template.FuncMap{
	"style": func() (template.CSS, error) {
		css, err := pages.ReadFile("html/style.css")
		return template.CSS(css), err
	},
}).ParseFS(pages, "html/*.tmpl"))

// HTMLOptions say where pages go. One of the two is set.
type HTMLOptions struct {
	// Page takes the page of the one visit that there is.
	Page io.Writer
	// Create opens a page of a folder by its name, which is safe as the name of
	// a file anywhere. Every visit has one, and index.html leads to all.
	Create func(name string) (io.WriteCloser, error)
	// Words takes in words what is refused, and the summary.
	Words io.Writer
}

// HTML writes a page a visit: one file that needs nothing else, neither script
// nor network, in light and dark, made to be printed. Text of a record can have
// no effect in it.
//
// For the pictures over several visits it keeps, of each machine, the latest
// readings that it was told of; besides these, memory grows by the name of a page
// a visit.
type HTML struct {
	opt   HTMLOptions
	names map[string]int // pages by name
	trail trails
	index *indexPage
	told  int
}

var _ Report = (*HTML)(nil)

// NewHTML returns a report in pages.
func NewHTML(opt HTMLOptions) *HTML {
	return &HTML{opt: opt, names: map[string]int{}, trail: trails{}}
}

// Earlier makes an earlier visit known, so that the pictures of later ones reach
// back to it. It gets no page. There is never an error.
func (h *HTML) Earlier(s *sheet.Sheet) error {
	h.trail.add(s)
	return nil
}

// Visit writes the page of a visit.
func (h *HTML) Visit(v Visit) error {
	h.told++
	h.trail.add(v.Sheet)
	text, err := h.render(v)
	if err != nil {
		return err
	}
	if h.opt.Page != nil {
		if h.told > 1 {
			return fmt.Errorf("writing visit %q: there is more than one visit, and one page to write\nname a folder to write to", v.Visit.ID)
		}
		return write(h.opt.Page, "page of visit "+v.Visit.ID, text)
	}
	name := h.name(v.Visit.ID)
	if err := h.create(name, text); err != nil {
		return err
	}
	return h.indexed(v, name)
}

// Refused tells in words why something could not be judged, and lists it.
func (h *HTML) Refused(r Refusal) error {
	if err := write(h.opt.Words, "problems", refusal(r)); err != nil || h.opt.Page != nil {
		return err
	}
	return h.refusedIndexed(r)
}

// End tells the summary, and ends the index.
func (h *HTML) End(s Summary) error {
	if h.opt.Page == nil {
		if err := h.endIndex(s); err != nil {
			return err
		}
	}
	return write(h.opt.Words, "summary", summary(s))
}

// render is the page of a visit.
func (h *HTML) render(v Visit) (string, error) {
	p, err := h.page(v)
	if err != nil {
		return "", fmt.Errorf("laying out visit %q: %w", v.Visit.ID, err)
	}
	return execute("page.tmpl", p)
}

// execute fills a template. What a record could turn or rewrite a page with is
// made visible in all of it at once, so that none is forgotten.
func execute(name string, data any) (string, error) {
	var b bytes.Buffer
	if err := pageTemplates.ExecuteTemplate(&b, name, data); err != nil {
		return "", fmt.Errorf("writing a page: %w", err)
	}
	return shown(b.String()), nil
}

// shown makes visible the characters that are obeyed and not printed.
func shown(s string) string {
	obeyed := func(r rune) bool {
		return r != '\n' && r != '\t' && unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r)
	}
	if strings.IndexFunc(s, obeyed) < 0 {
		return s
	}
	var b strings.Builder
	for _, r := range s {
		if obeyed(r) {
			fmt.Fprintf(&b, `\u%04x`, r)
		} else {
			b.WriteRune(r)
		}
	}
	return b.String()
}

// create writes one page of the folder.
func (h *HTML) create(name, text string) error {
	page, err := h.opt.Create(name)
	if err != nil {
		return fmt.Errorf("opening page %s: %w", name, err)
	}
	return errors.Join(write(page, "page "+name, text), page.Close())
}

// plainID is an id that is safe in the name of a file as it stands, but for its
// capitals, which no other such id has small.
var plainID = regexp.MustCompile(`^[A-Z0-9][A-Z0-9-]{0,63}$`)

// name is the name of a visit's page: of its id, however it is written, and
// different for each on a disk that does not tell capitals either. A visit that
// is handed in again gets a page of its own.
func (h *HTML) name(id string) string {
	name := "visit-" + strings.ToLower(id)
	if !plainID.MatchString(id) {
		kept := strings.Map(func(r rune) rune {
			if r < unicode.MaxASCII && (unicode.IsLetter(r) || unicode.IsDigit(r)) {
				return unicode.ToLower(r)
			}
			return '-'
		}, id)
		sum := sha256.Sum256([]byte(id))
		// The other sign after "visit" keeps the two kinds of names apart.
		name = "visit_" + kept[:min(len(kept), 40)] + "-" + hex.EncodeToString(sum[:8])
	}
	h.names[name]++
	if n := h.names[name]; n > 1 {
		name += fmt.Sprintf("_%d", n)
	}
	return name + ".html"
}
