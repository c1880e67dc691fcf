package reports_test

import (
	"bytes"
	"encoding/json"
	"io"
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"github.com/visitgauge/visitgauge/engine/sheet"
	"github.com/visitgauge/visitgauge/engine/verdict"
	"github.com/visitgauge/visitgauge/reports"
)

// pairs reads saved verdicts with the sheets of their visits, which are invented
// and cut down to what a customer's page shows.
func pairs(t *testing.T) map[string]reports.Visit {
	t.Helper()
	files, err := filepath.Glob("testdata/customer/*.json")
	if err != nil || len(files) == 0 {
		t.Fatalf("there are no saved visits: %v", err)
	}
	out := map[string]reports.Visit{}
	for _, file := range files {
		data, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		var saved struct {
			Verdict *verdict.Verdict
			Sheet   *sheet.Sheet
		}
		if err := json.Unmarshal(data, &saved); err != nil || saved.Verdict == nil || saved.Sheet == nil {
			t.Fatalf("%s: %v", file, err)
		}
		out[strings.TrimSuffix(filepath.Base(file), ".json")] = reports.Visit{Verdict: saved.Verdict, Sheet: saved.Sheet}
	}
	return out
}

// customer is a customer's page.
func customer(t *testing.T, v reports.Visit, contact string) string {
	t.Helper()
	var out bytes.Buffer
	if err := reports.NewCustomer(reports.CustomerOptions{Page: &out, Words: io.Discard, Contact: contact}).Visit(v); err != nil {
		t.Fatal(err)
	}
	return out.String()
}

// said is the text of a page as it is read, without its style.
func said(t *testing.T, page string) string {
	t.Helper()
	doc, err := html.Parse(strings.NewReader(page))
	if err != nil {
		t.Fatal(err)
	}
	var b strings.Builder
	var walk func(n *html.Node)
	walk = func(n *html.Node) {
		if n.Type == html.ElementNode && n.Data == "style" {
			return
		}
		if n.Type == html.TextNode {
			b.WriteString(n.Data)
		}
		for c := range n.ChildNodes() {
			walk(c)
		}
		if n.Type == html.ElementNode && n.Data != "time" {
			b.WriteByte(' ')
		}
	}
	walk(doc)
	return strings.Join(strings.Fields(b.String()), " ")
}

func TestCustomerGoldens(t *testing.T) {
	for name, v := range pairs(t) {
		t.Run(name, func(t *testing.T) {
			got := customer(t, v, "")
			if customer(t, v, "") != got {
				t.Error("a second page is not the same")
			}
			file := "testdata/customer/" + name + ".html"
			if *update {
				if err := os.WriteFile(file, []byte(got), 0o666); err != nil {
					t.Fatal(err)
				}
			}
			want, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			if got != string(want) {
				t.Errorf("%s is not as it was; got\n%s", file, said(t, got))
			}
		})
	}
}

// A machine that is not known to be in order is never told of as if it were, and
// that stands before everything else.
func TestCustomerPromisesNoMoreThanTheVisitCan(t *testing.T) {
	first := map[verdict.Serviceability]string{
		verdict.Serviceable:   "No defect was found in what was checked on 2026-01-14.",
		verdict.Restricted:    "The machine may be used only as said below.",
		verdict.Unserviceable: "Do not use this machine.",
		verdict.Undetermined:  "We cannot say whether this machine is in order.",
		"a word of later":     "We cannot say whether this machine is in order.",
	}
	for state, want := range first {
		v := pairs(t)["V-0102"]
		v.Serviceability = state
		page := customer(t, v, "")
		if _, rest, _ := strings.Cut(page, "<main>"); !strings.HasPrefix(strings.TrimSpace(said(t, rest)), want) {
			t.Errorf("%s: the page does not begin with %q: %s", state, want, said(t, rest))
		}
		if state != verdict.Serviceable && strings.Contains(page, "defect was found in what") {
			t.Errorf("%s: the page promises too much", state)
		}
	}
	for name, v := range pairs(t) {
		page := said(t, customer(t, v, ""))
		flawed := slices.ContainsFunc(v.Outcomes, func(o verdict.Outcome) bool { return o.Outcome == verdict.Nonconforming })
		if flawed && strings.Contains(page, "No defect") {
			t.Errorf("%s: something is wrong, and the page says no defect", name)
		}
		for _, never := range []string{"fit for", " safe to use", "in good order", "guarantee"} {
			if strings.Contains(strings.Replace(page, "not safe to use", "", 1), never) {
				t.Errorf("%s: %q is on the page", name, never)
			}
		}
		for _, always := range []string{"daily checks", "before our next visit", "Whom to call", "What is still needed"} {
			if !strings.Contains(page, always) {
				t.Errorf("%s: %q is not on the page", name, always)
			}
		}
	}
}

// What a page must say of a stopped visit, one with a restriction, and one that
// could not be made in full.
func TestCustomerTellsWhatToDo(t *testing.T) {
	visits := pairs(t)
	for name, wants := range map[string][]string{
		"V-0120": {"number T-0120", "DANGER", "do not use, do not charge: burnt cable", "We keep the key", "not safe to go on: burnt insulation",
			"Urgent. By 2026-05-15, by us: replace the drive cable.", "The site manager was told in person, on 2026-05-12 at 09:05", "They did not agree.",
			"Do not charge the battery until we have released the machine"},
		"V-0111": {"Until 2026-04-15: no shift longer than one hour on one charge.", "By 2026-04-08, by us: replace block B3.", "They took note of it."},
		"V-0114": {"because the battery was not charged: Gravity and temperature of each cell; Water the cells.", "The service is not complete and stays due."},
		"V-0108": {"Our office looks into it"},
	} {
		page := said(t, customer(t, visits[name], ""))
		for _, want := range wants {
			if !strings.Contains(page, want) {
				t.Errorf("%s: %q is not in %s", name, want, page)
			}
		}
	}
	v := visits["V-0102"]
	v.Sheet.Visit.Absence = &sheet.Absence{Reason: "locked-away", ToldRole: "reception"}
	v.Sheet.Open = []sheet.Item{{What: "open the gate", Owner: "customer", Due: "2026-02-01", Severity: "minor"}}
	page := said(t, customer(t, v, "Call 0000-0000, day and night"))
	for _, want := range []string{"could not be looked at: it was locked away. Nothing about it was checked.", "By 2026-02-01, by you: open the gate.", "Call 0000-0000, day and night"} {
		if !strings.Contains(page, want) {
			t.Errorf("%q is not in %s", want, page)
		}
	}
}

// No code of ours stands on the page: no rule, severity, subject, step, word of a
// schema or digest.
func TestCustomerReadsNoCodes(t *testing.T) {
	code := regexp.MustCompile(`(condition|procedure|programme)\.|sha256|h1:|/(battery|steps|charger)/|nonconforming|indeterminate|undetermined|unserviceable|\b(critical|major|minor)\b|\b(cell|post|link) B[0-9]|not-charged|not-reached|cut-short|nobody-there|walk-behind-|ride-on-`)
	for name, v := range pairs(t) {
		page := said(t, customer(t, v, ""))
		if found := code.FindString(page); found != "" {
			t.Errorf("%s: %q is on the page", name, found)
		}
		for _, s := range v.Sheet.Visit.Steps {
			if strings.Contains(s.Step, "-") && strings.Contains(page, s.Step) {
				t.Errorf("%s: step %q is on the page", name, s.Step)
			}
		}
	}
}

// Whoever wrote a person's id wherever it is written: it is not on the page, not
// in its source either.
func TestCustomerNamesNoPerson(t *testing.T) {
	for name, v := range pairs(t) {
		ids := []string{v.Sheet.Visit.Signatures.Technician.By}
		for _, p := range v.Sheet.Visit.People {
			ids = append(ids, p.ID)
		}
		if len(ids) < 2 || ids[0] == "" {
			t.Fatalf("%s: nobody is named in the record", name)
		}
		for _, id := range ids {
			if strings.Contains(customer(t, v, ""), id) {
				t.Errorf("%s: %q is on the page", name, id)
			}
			put := func(string) string { return "ask " + id + ", or <" + id + ">" }
			laden := reports.Visit{Verdict: laden(v.Verdict, put), Sheet: ladenSheet(v.Sheet, put)}
			page := customer(t, laden, "ask "+id)
			if strings.Contains(page, id) {
				t.Errorf("%s: %q came on the page from a text", name, id)
			}
			if !strings.Contains(page, "ask one of us") {
				t.Errorf("%s: the texts are not on the page", name)
			}
		}
	}
}

// Of an id that another begins with, nothing is left over.
func TestCustomerHidesTheLongestId(t *testing.T) {
	v := pairs(t)["V-0111"]
	v.Sheet.Visit.People = []sheet.Person{{ID: "tech-1"}, {ID: "tech-10"}, {ID: "tech-101"}}
	v.Sheet.Open = []sheet.Item{{What: "ask tech-101, tech-10 or tech-1", Owner: "us", Due: "2026-04-08"}}
	if page := said(t, customer(t, v, "")); !strings.Contains(page, "ask one of us, one of us or one of us.") {
		t.Errorf("something is left over: %s", page)
	}
	// One that could be part of any word is taken for a person where it stands alone.
	v.Sheet.Visit.People = []sheet.Person{{ID: "x"}}
	v.Sheet.Open = []sheet.Item{{What: "ask x for the next box", Owner: "us", Due: "2026-04-08"}}
	if page := said(t, customer(t, v, "")); !strings.Contains(page, "ask one of us for the next box.") {
		t.Errorf("a word is spoilt: %s", page)
	}
}

// ladenSheet puts a text into every field of a sheet that is free text.
func ladenSheet(s *sheet.Sheet, put func(string) string) *sheet.Sheet {
	data, err := json.Marshal(s)
	if err != nil {
		panic(err)
	}
	out := &sheet.Sheet{}
	if err := json.Unmarshal(data, out); err != nil {
		panic(err)
	}
	free := map[string]bool{"What": true, "Hazard": true, "Message": true, "Place": true, "NotToDo": true, "Note": true, "Role": true, "ToldRole": true,
		"Room": true, "Reason": true, "Title": true, "Tag": true, "About": true, "Level": true, "How": true}
	var walk func(v reflect.Value, name string)
	walk = func(v reflect.Value, name string) {
		switch v.Kind() {
		case reflect.String:
			if free[name] && v.String() != "" {
				v.SetString(put(name))
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
				// The ids and words of persons are what must not be taken for text.
				if n := v.Type().Field(i).Name; n != "People" {
					walk(v.Field(i), n)
				}
			}
		}
	}
	walk(reflect.ValueOf(out), "")
	return out
}

// Payloads come out as text: the page has the same elements and attributes as one
// with plain words, but for what is parted at a day.
func TestCustomerInjection(t *testing.T) {
	shape := func(page string) []string {
		doc, err := html.Parse(strings.NewReader(page))
		if err != nil {
			t.Fatal(err)
		}
		var out []string
		for n := range doc.Descendants() {
			if n.Type == html.TextNode || n.Data == "time" {
				continue
			}
			out = append(out, n.Data)
			for _, a := range n.Attr {
				out = append(out, a.Key+"="+a.Val)
			}
		}
		return out
	}
	for _, name := range []string{"V-0120", "V-0111"} {
		v := pairs(t)[name]
		render := func(put func(string) string) string {
			return customer(t, reports.Visit{Verdict: laden(v.Verdict, put), Sheet: ladenSheet(v.Sheet, put)}, put("Contact"))
		}
		plain := shape(render(func(string) string { return "word" }))
		for _, payload := range payloads {
			page := render(func(string) string { return payload })
			if got := shape(page); !slices.Equal(got, plain) {
				t.Errorf("%s: %q has an effect", name, payload)
			}
			obeyed(t, "customer", page)
		}
	}
}

// A page of a saved verdict whose record is not at hand says so.
func TestCustomerWithoutARecord(t *testing.T) {
	v := pairs(t)["V-0120"]
	v.Sheet = nil
	page := said(t, customer(t, v, ""))
	for _, want := range []string{"Do not use this machine.", "number T-0120", "The record of this visit was not at hand"} {
		if !strings.Contains(page, want) {
			t.Errorf("%q is not in %s", want, page)
		}
	}
}

// A folder gets a page a visit, whatever its id; a second visit on one page is an
// error.
func TestCustomerFolder(t *testing.T) {
	v := pairs(t)["V-0102"]
	made := map[string]bool{}
	r := reports.NewCustomer(reports.CustomerOptions{Words: io.Discard, Create: func(name string) (io.WriteCloser, error) {
		if made[name] || strings.ContainsAny(name, `/\: <`) || strings.Contains(name, "..") {
			t.Errorf("%q is no new name of a file", name)
		}
		made[name] = true
		return closer{io.Discard}, nil
	}})
	for _, id := range []string{"V-1", "v-1", "V-1", "../x", "a/b", "nul\x00", "V 1"} {
		w := *v.Verdict
		w.Visit.ID = id
		if err := r.Visit(reports.Visit{Verdict: &w, Sheet: v.Sheet}); err != nil {
			t.Fatal(err)
		}
	}
	if len(made) != 7 {
		t.Errorf("%d pages were made of 7 visits", len(made))
	}
	one := reports.NewCustomer(reports.CustomerOptions{Page: io.Discard, Words: io.Discard})
	if err := one.Visit(v); err != nil {
		t.Fatal(err)
	}
	if err := one.Visit(v); err == nil {
		t.Error("two visits came on one page")
	}
}

type closer struct{ io.Writer }

func (closer) Close() error { return nil }
