package reports

import (
	"bytes"
	"embed"
	"errors"
	"fmt"
	"html/template"
	"io"
	"regexp"
)

//go:embed customer
var customerFiles embed.FS

var customerTemplate = template.Must(template.New("page.tmpl").Funcs(template.FuncMap{
	// The style is ours: no record has a part in it.
	"style": func() (template.CSS, error) {
		css, err := customerFiles.ReadFile("customer/style.css")
		return template.CSS(css), err
	},
	"dated": dated,
}).ParseFS(customerFiles, "customer/page.tmpl"))

// segment is a piece of a text; Day says that it is a day, which is kept in a line.
type segment struct {
	Text string
	Day  bool
}

var aDay = regexp.MustCompile(`\b[0-9]{4}-(?:0[1-9]|1[0-2])-(?:0[1-9]|[12][0-9]|3[01])\b`)

// dated parts a text at the days in it.
func dated(text string) []segment {
	var out []segment
	rest := 0
	for _, at := range aDay.FindAllStringIndex(text, -1) {
		if at[0] > rest {
			out = append(out, segment{Text: text[rest:at[0]]})
		}
		out = append(out, segment{Text: text[at[0]:at[1]], Day: true})
		rest = at[1]
	}
	if rest < len(text) {
		out = append(out, segment{Text: text[rest:]})
	}
	return out
}

// CustomerOptions say where customers' pages go. One of Page and Create is set.
type CustomerOptions struct {
	// Page takes the page of the one visit that there is.
	Page io.Writer
	// Create opens a page of a folder by its name, which is safe as the name of a
	// file anywhere. Every visit has one.
	Create func(name string) (io.WriteCloser, error)
	// Words takes in words what is refused, and the summary.
	Words io.Writer
	// Contact is whom to call; where it is empty a line is left to write on.
	Contact string
}

// Customer writes a page a visit for the customer: one sheet of paper in plain
// words. It says what the visit can promise and no more, what must not be done, what
// is still needed, and names no person, rule or code. Text of a record can have no
// effect in it.
type Customer struct {
	opt   CustomerOptions
	names pageNames
	told  int
}

var _ Report = (*Customer)(nil)

// NewCustomer returns a report in customers' pages.
func NewCustomer(opt CustomerOptions) *Customer { return &Customer{opt: opt, names: pageNames{}} }

// Visit writes the page of a visit.
func (c *Customer) Visit(v Visit) error {
	c.told++
	var b bytes.Buffer
	if err := customerTemplate.Execute(&b, customerOf(v, c.opt.Contact)); err != nil {
		return fmt.Errorf("writing the customer's page of visit %q: %w", v.Visit.ID, err)
	}
	text := b.String()
	if c.opt.Page != nil {
		if c.told > 1 {
			return fmt.Errorf("writing visit %q: there is more than one visit, and one page to write\nname a folder to write to", v.Visit.ID)
		}
		return write(c.opt.Page, "customer's page of visit "+v.Visit.ID, text)
	}
	name := c.names.of(v.Visit.ID)
	page, err := c.opt.Create(name)
	if err != nil {
		return fmt.Errorf("opening page %s: %w", name, err)
	}
	return errors.Join(write(page, "page "+name, text), page.Close())
}

// Refused tells in words why something could not be judged: it has no page.
func (c *Customer) Refused(r Refusal) error { return write(c.opt.Words, "problems", refusal(r)) }

// End tells the summary in words.
func (c *Customer) End(s Summary) error { return write(c.opt.Words, "summary", summary(s)) }
