package reports

import (
	"bytes"
	"embed"
	"errors"
	"fmt"
	"html/template"
	"io"

	"github.com/visitgauge/visitgauge/engine/sheet"
	"github.com/visitgauge/visitgauge/reports/internal/htmlpage"
)

// pages are the templates of the pages.
//
//go:embed html
var pages embed.FS

var pageTemplates = template.Must(template.New("").Funcs(template.FuncMap{
	"style": htmlpage.Style,
}).ParseFS(pages, "html/*.tmpl"))

// HTMLOptions say where pages go. One of the two is set.
type HTMLOptions struct {
	// Page takes the page of the one visit that there is.
	Page io.Writer
	// Create opens a page of a folder by its name, which is safe as the name of
	// a file anywhere. Every visit has one; index.html is an overview of all, and
	// visits.html lists them.
	Create func(name string) (io.WriteCloser, error)
	// Words takes in words what is refused, and the summary.
	Words io.Writer
	// Overview says what the overview tells of persons.
	Overview OverviewOptions
}

// HTML writes a page a visit: one file that needs nothing else, neither script
// nor network, in light and dark, made to be printed. Text of a record can have
// no effect in it.
//
// For the pictures over several visits it keeps, of each machine, the latest
// readings that it was told of; besides these, memory grows by the name of a page
// a visit, and by what an [Overview] keeps.
type HTML struct {
	opt   HTMLOptions
	names pageNames
	trail trails
	index *indexPage
	told  int

	overview *Overview
}

var _ Report = (*HTML)(nil)

// NewHTML returns a report in pages.
func NewHTML(opt HTMLOptions) *HTML {
	return &HTML{opt: opt, names: pageNames{}, trail: trails{}, overview: NewOverview(opt.Overview)}
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
	name := h.names.of(v.Visit.ID)
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

// End tells the summary, ends the list of visits and writes the overview.
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
	return htmlpage.Shown(b.String()), nil
}

// create writes one page of the folder.
func (h *HTML) create(name, text string) error {
	page, err := h.opt.Create(name)
	if err != nil {
		return fmt.Errorf("opening page %s: %w", name, err)
	}
	return errors.Join(write(page, "page "+name, text), page.Close())
}
