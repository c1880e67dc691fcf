package main

import (
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/visitgauge/visitgauge/reports"
)

// A format is one form that a report can take.
type format struct {
	name string
	what string // for the help, in a few words
	// all says that every visit is told of, unless --show says otherwise.
	all bool
	// folder says that the report is a folder of files, which --output must name.
	folder bool
	// people says that people read it, so that --units counts.
	people bool
	// overview says that it holds one, so that --rate-by-person counts.
	overview bool
	// page says that a file whose name ends in .html takes the report of one visit.
	page bool
	// sheets says that it shows the sheet of a visit, where one can be made.
	sheets bool
	open   func(sink) reports.Report
}

// A sink is where a report goes, and how it is wanted.
type sink struct {
	out io.Writer // nil where the format is a folder
	// dir is the folder to write into, which is there and empty; only where the
	// format is one. It takes its own name once the report is whole.
	dir   string
	aside io.Writer // takes in words what the format has no place for
	all   bool      // tell of every outcome
	// terminal says that out is one, and color that it may be coloured.
	terminal, color bool
	places          bool // tell of lines and columns
	// overview says what an overview tells of persons.
	overview reports.OverviewOptions
	contact  string // whom a customer calls
}

// create opens a file of the folder.
func (s sink) create(name string) (io.WriteCloser, error) {
	return os.OpenFile(filepath.Join(s.dir, name), os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
}

// formats are all that --format takes, in the order of the help.
var formats = []format{
	{
		name: "text", what: "for people, in lines of 80 characters", people: true,
		open: func(s sink) reports.Report {
			return reports.NewText(s.out, reports.TextOptions{All: s.all, Color: s.color, Places: s.places})
		},
	},
	{
		name: "markdown", what: "for a comment or a log of changes", people: true,
		open: func(s sink) reports.Report { return reports.NewMarkdown(s.out, reports.MarkdownOptions{All: s.all}) },
	},
	{
		name: "overview", what: "for a lead: many visits in one list of what needs a person", all: true, sheets: true, overview: true,
		open: func(s sink) reports.Report { return reports.NewOverviewText(s.out, s.overview) },
	},
	{
		name: "html", what: "a page a visit, with pictures, and an overview for a lead", all: true, people: true, folder: true, page: true, sheets: true, overview: true,
		open: func(s sink) reports.Report {
			opt := reports.HTMLOptions{Page: s.out, Words: s.aside, Overview: s.overview}
			if s.dir != "" {
				opt.Page, opt.Create = nil, s.create
			}
			return reports.NewHTML(opt)
		},
	},
	{
		name: "customer", what: "a page a visit for the customer, in plain words", all: true, people: true, folder: true, page: true, sheets: true,
		open: func(s sink) reports.Report {
			opt := reports.CustomerOptions{Page: s.out, Words: s.aside, Contact: s.contact}
			if s.dir != "" {
				opt.Page, opt.Create = nil, s.create
			}
			return reports.NewCustomer(opt)
		},
	},
	{
		name: "json", what: "one canonical verdict a line", all: true,
		open: func(s sink) reports.Report {
			return reports.NewJSON(s.out, s.aside, reports.JSONOptions{Terminal: s.terminal})
		},
	},
	{
		name: "sarif", what: "SARIF 2.1.0, one result an outcome", all: true,
		open: func(s sink) reports.Report { return reports.NewSARIF(s.out, s.aside) },
	},
	{
		name: "junit", what: "JUnit XML, one suite a visit and one testcase a rule", all: true,
		open: func(s sink) reports.Report { return reports.NewJUnit(s.out, s.aside) },
	},
	{
		name: "csv", what: "one outcome a row, for a spreadsheet", all: true,
		open: func(s sink) reports.Report { return reports.NewCSV(s.out, s.aside) },
	},
}

// formatNamed finds a format.
func formatNamed(name string) (format, error) {
	i := slices.IndexFunc(formats, func(f format) bool { return f.name == name })
	if i < 0 {
		return format{}, usage("--format %q: it is one of %s", name, strings.Join(formatNames(), ", "))
	}
	return formats[i], nil
}

func formatNames() []string {
	var names []string
	for _, f := range formats {
		names = append(names, f.name)
	}
	return names
}

// formatsHelp is the part of a command's help that lists the formats.
func formatsHelp() string {
	var b strings.Builder
	b.WriteString("Formats:\n")
	for _, f := range formats {
		b.WriteString("  " + f.name + strings.Repeat(" ", 10-len(f.name)) + f.what)
		switch {
		case f.page:
			b.WriteString("; needs --output, a folder, or for one visit a .html file")
		case f.folder:
			b.WriteString("; needs --output")
		}
		b.WriteByte('\n')
	}
	return b.String() + `What is refused, and the summary, stand in the report where its format has a
place for them, and are told on standard error where a program reads it.`
}
