package replay

import (
	"bytes"
	"slices"
	"strconv"
	"strings"
	"testing"

	"golang.org/x/net/html"
	"golang.org/x/net/html/atom"

	"github.com/visitgauge/visitgauge/engine/replay"
)

// tables are the tables of a page by their captions, with their cells.
func tables(t *testing.T, page []byte) map[string][][]string {
	t.Helper()
	doc, err := html.Parse(bytes.NewReader(page))
	if err != nil {
		t.Fatal(err)
	}
	out := map[string][][]string{}
	for n := range doc.Descendants() {
		if n.DataAtom != atom.Table {
			continue
		}
		var name string
		var rows [][]string
		for c := range n.Descendants() {
			switch c.DataAtom {
			case atom.Caption:
				name = words(c)
			case atom.Tr:
				rows = append(rows, nil)
			case atom.Th, atom.Td:
				rows[len(rows)-1] = append(rows[len(rows)-1], words(c))
			}
		}
		out[name] = rows
	}
	return out
}

// words is the text of a node.
func words(n *html.Node) string {
	var b strings.Builder
	for c := range n.Descendants() {
		if c.Type == html.TextNode {
			b.WriteString(c.Data)
		}
	}
	return strings.Join(strings.Fields(b.String()), " ")
}

// table is the one whose caption begins so.
func table(t *testing.T, all map[string][][]string, begins string) [][]string {
	t.Helper()
	for name, rows := range all {
		if strings.HasPrefix(name, begins) {
			return rows
		}
	}
	t.Fatalf("no table %q", begins)
	return nil
}

// column adds up the column under a head, the last rows left out.
func column(t *testing.T, rows [][]string, head string, without int) int {
	t.Helper()
	at := slices.Index(rows[0], head)
	if at < 0 {
		t.Fatalf("no column %q among %q", head, rows[0])
	}
	sum := 0
	for _, row := range rows[1 : len(rows)-without] {
		n, err := strconv.Atoi(row[at])
		if err != nil {
			t.Fatal(err)
		}
		sum += n
	}
	return sum
}

// TestPageAddsUp reads the numbers back from the page and holds them against those that
// it was given.
func TestPageAddsUp(t *testing.T) {
	r := sample("")
	page, err := written(HTML, r)
	if err != nil {
		t.Fatal(err)
	}
	all := tables(t, page)
	is := func(what string, got, want int) {
		t.Helper()
		if got != want {
			t.Errorf("%s: the page has %d, want %d", what, got, want)
		}
	}
	for begins, list := range map[string][]replay.Transition{
		"visits by acceptance": r.Acceptance, "visits by the state": r.Serviceability, "visits by how much": r.Completion,
	} {
		rows := table(t, all, begins)
		is(begins, column(t, rows, "sum", 1), r.Visits.Judged)
		for _, tr := range list {
			row := rows[slices.IndexFunc(rows, func(row []string) bool { return row[0] == tr.Old })]
			is(begins+", "+tr.Old+" to "+tr.New, column(t, [][]string{rows[0], row}, tr.New, 0), tr.Count)
		}
	}
	months := table(t, all, "Visits by the month")
	is("visits of all months", column(t, months, "Visits", 0), r.Visits.Judged)
	turned := column(t, months, "An answer turned", 0)
	is("turned in all months", turned, r.Visits.Turned)
	is("differ in all months", turned+column(t, months, "Only outcomes differ", 0), r.Visits.Differ)
	was, would := 0, 0
	for _, tr := range r.Acceptance {
		if tr.Old == "accepted" {
			was += tr.Count
		}
		if tr.New == "accepted" {
			would += tr.Count
		}
	}
	is("accepted as judged", column(t, months, "Accepted as judged", 0), was)
	is("accepted under the other rules", column(t, months, "Accepted under 2.0.0", 0), would)
	rules := table(t, all, "Outcomes by rule")
	want := [3]int{}
	for _, c := range r.Rules {
		want[0], want[1], want[2] = want[0]+c.Nonconforming, want[1]+c.Indeterminate, want[2]+c.Conforming
	}
	for i, head := range []string{"Nonconforming", "Indeterminate", "Conforming"} {
		is(head, column(t, rules, head, 0), want[i])
	}
}

// TestSummarySaysWhichWay counts by hand what the sentences at the top say.
func TestSummarySaysWhichWay(t *testing.T) {
	r := sample("")
	r.Acceptance = append(r.Acceptance, replay.Transition{Old: "rejected", New: "accepted", Count: 1}, replay.Transition{Old: "rejected", New: "incomplete", Count: 7})
	r.Serviceability = append(r.Serviceability, replay.Transition{Old: "restricted", New: "serviceable", Count: 3}, replay.Transition{Old: "restricted", New: "undetermined", Count: 7})
	for got, wants := range map[string][]string{
		summary(r):         {"3 of 6 visits would have been judged differently", "Of 2 of them an answer turns", "of 1 only outcomes differ"},
		ways(r):            {"that were accepted, 2 would not have been", "that were not, 1 would have been", "that left a machine serviceable, 2 would not have;", "of the others, 3 would have."},
		asked(r):           {"2 visits of the 8 asked about could not be judged", "2 visits could not have been asked"},
		machinesSummary(r): {"1 machine would have been left in another state."},
		summary(nothing()): {"1 visit came out the same on both sides"},
	} {
		for _, want := range wants {
			if !strings.Contains(got, want) {
				t.Errorf("%q does not say %q", got, want)
			}
		}
	}
	if said := ways(nothing()) + asked(nothing()); said != "" {
		t.Errorf("where nothing turns and all was judged, it says %q", said)
	}
}

// TestLongListsEnd makes every list longer than a page tells.
func TestLongListsEnd(t *testing.T) {
	r := sample("")
	for range mostOnPage {
		r.Machines = append(r.Machines, r.Machines[0])
		r.Concessions = append(r.Concessions, r.Concessions[0])
		r.NotJudged = append(r.NotJudged, r.NotJudged[0])
		r.Recorded.Differ = append(r.Recorded.Differ, r.Recorded.Differ[0])
	}
	for form, most := range map[string]int{"html": mostOnPage, "txt": mostInText, "md": mostInText} {
		got, err := forms[form](r)
		if err != nil {
			t.Fatal(err)
		}
		for name, n := range map[string]int{"machines": len(r.Machines), "not judged": len(r.NotJudged)} {
			if want := strconv.Itoa(n-most) + " more: as json all of them are written."; !bytes.Contains(got, []byte(want)) {
				t.Errorf("%s: of %s it does not say %q", form, name, want)
			}
		}
		if n := bytes.Count(got, []byte("more: as json all of them are written.")); n != 4 {
			t.Errorf("%s: %d lists end, want 4", form, n)
		}
	}
}

// TestStatements tells each sentence of outcomes that turned alike once, the first few in
// full, with what it rests on and no limit that it says nothing of.
func TestStatements(t *testing.T) {
	told := groups(sample("").Changed[1].Outcomes)[0].tellings()
	if len(told) != 1 || len(told[0].Said) != mostSaid || told[0].More != 2 {
		t.Fatalf("%+v", told)
	}
	if got, want := told[0].Said[0].Facts, "full charge 1.268 (battery.full_charge_gravity min); reading 1.261"; got != want {
		t.Errorf("facts are %q, want %q", got, want)
	}
	again := sample("").Changed[1].Outcomes
	for i := range again {
		again[i].New.Statement = "The same of all."
	}
	if told := groups(again)[0].tellings(); len(told[0].Said) != 1 || told[0].More != 0 {
		t.Errorf("%+v", told)
	}
}
