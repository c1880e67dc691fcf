package reports

import (
	"bytes"
	"cmp"
	"encoding/xml"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/visitgauge/visitgauge/engine/verdict"
	"github.com/visitgauge/visitgauge/reports/internal/lines"
)

// JUnit writes XML as build servers read it from test runners: one suite a visit,
// and in it one testcase a rule, in which what is said of its subjects stands.
// There is no standard of the format; the elements and attributes here are those
// that all readers know.
//
// A gate that reads it must be red where something counts against one of the two
// answers, and must not take for proven what was not. So a testcase is
//
//	failure   critical or major nonconforming, without a concession
//	error     critical or major indeterminate, for whatever reason: could not be
//	          decided
//	skipped   minor nonconforming or indeterminate; any finding of the programme
//	          concern; not applicable: they change neither answer, and are to be read
//	skipped   nonconforming, and stands by a concession: the visit is accepted with
//	          it, so that it is not red; and what passes is shown by no reader, so
//	          that it does not pass either. What a concession does to the machine
//	          shows in its answer.
//	passed    conforming
//
// by the gravest of its subjects. Each visit has two testcases more, for its
// answers. They alone tell of an expired restriction, an open tag or a visit that
// was broken off, and follow what the verdict says:
//
//	The visit is accepted         failure if rejected, error if incomplete
//	The machine is serviceable    failure if restricted or unserviceable, error if
//	                              undetermined
//
// What was refused is a suite of its own with one error. The last suite says
// whether all of the input was judged, so that no report is without a testcase;
// if the run breaks off for want of room, the document is not well-formed.
type JUnit struct {
	out    io.Writer
	words  words
	opened bool
}

var _ Report = (*JUnit)(nil)

// NewJUnit returns a report that writes XML to out. The problems of what was
// refused and the summary stand there too, and in words they are told to aside.
func NewJUnit(out, aside io.Writer) *JUnit { return &JUnit{out: out, words: words{aside}} }

// The elements of the format that are written here.
type (
	junitSuite struct {
		XMLName    xml.Name         `xml:"testsuite"`
		Name       string           `xml:"name,attr"`
		Tests      int              `xml:"tests,attr"`
		Failures   int              `xml:"failures,attr"`
		Errors     int              `xml:"errors,attr"`
		Skipped    int              `xml:"skipped,attr"`
		Properties *junitProperties `xml:"properties"`
		Cases      []junitCase      `xml:"testcase"`
	}
	junitProperties struct {
		List []junitProperty `xml:"property"`
	}
	junitProperty struct {
		Name  string `xml:"name,attr"`
		Value string `xml:"value,attr"`
	}
	junitCase struct {
		ClassName string      `xml:"classname,attr"`
		Name      string      `xml:"name,attr"`
		Failure   *junitWords `xml:"failure"`
		Error     *junitWords `xml:"error"`
		Skipped   *junitWords `xml:"skipped"`
		SystemOut string      `xml:"system-out,omitempty"`
	}
	junitWords struct {
		Message string `xml:"message,attr"`
		Type    string `xml:"type,attr,omitempty"`
		Text    string `xml:",chardata"`
	}
)

// junitState is what becomes of a testcase, gravest first.
type junitState int

const (
	failed junitState = iota
	undecided
	skipped
	passed
)

// Visit writes the suite of a visit.
func (j *JUnit) Visit(v Visit) error {
	id := v.Verdict.Visit
	s := junitSuite{
		Name: "visit " + id.ID,
		Properties: &junitProperties{[]junitProperty{
			{"machine", id.Serial}, {"class", id.Class}, {"site", id.Site},
			{"kind", id.Kind}, {"level", id.Level}, {"started", id.Started}, {"ended_as", id.EndedAs},
			{"acceptance", string(v.Acceptance.Value)}, {"serviceability", string(v.Serviceability)}, {"completion", string(v.Completion)},
			{"release", v.Release.Version}, {"release_digest", v.Release.Digest}, {"record", id.Digest},
		}},
		Cases: []junitCase{acceptedCase(v.Verdict), serviceableCase(v.Verdict)},
	}
	for i := 0; i < len(v.Outcomes); {
		n := i + 1
		for n < len(v.Outcomes) && v.Outcomes[n].Rule == v.Outcomes[i].Rule {
			n++
		}
		s.Cases = append(s.Cases, ruleCase(v, v.Outcomes[i:n]))
		i = n
	}
	return j.suite(s)
}

// Refused writes a suite with one error.
func (j *JUnit) Refused(r Refusal) error {
	what := "The record can be read and judged"
	switch {
	case r.Saved:
		what = "The verdict can be read"
	case r.Earlier:
		what = "The earlier record can be compared with"
	}
	first := r.Problems[0]
	name := first.Source
	if first.Line > 0 {
		name = fmt.Sprintf("%s:%d", name, first.Line)
	}
	c := junitCase{ClassName: "input", Name: what}
	c.become(undecided, junitWords{Message: "refused: " + first.Message, Type: "refused", Text: "\n" + refusal(r)})
	if err := j.suite(junitSuite{Name: "refused " + name, Cases: []junitCase{c}}); err != nil {
		return err
	}
	return j.words.refused(r)
}

// End writes the last suite, and in words the summary.
func (j *JUnit) End(s Summary) error {
	c := junitCase{ClassName: "input", Name: "All of the input was read and judged"}
	if s.whole() {
		c.SystemOut = summary(s)
	} else {
		c.become(undecided, junitWords{Message: "not all of it was", Type: "incomplete", Text: "\n" + summary(s)})
	}
	if err := j.suite(junitSuite{Name: "run", Cases: []junitCase{c}}); err != nil {
		return err
	}
	if err := write(j.out, "end of test suites", "</testsuites>\n"); err != nil {
		return err
	}
	return j.words.end(s)
}

// suite writes a suite, with its counts.
func (j *JUnit) suite(s junitSuite) error {
	s.Name = lines.Plain(s.Name)
	if s.Properties != nil {
		for i, p := range s.Properties.List {
			s.Properties.List[i].Value = lines.Plain(p.Value)
		}
	}
	for _, c := range s.Cases {
		s.Tests++
		switch {
		case c.Failure != nil:
			s.Failures++
		case c.Error != nil:
			s.Errors++
		case c.Skipped != nil:
			s.Skipped++
		}
	}
	data, err := xml.MarshalIndent(s, "  ", "  ")
	if err != nil {
		return fmt.Errorf("encoding test suite %q: %w", s.Name, err)
	}
	// Line ends stand in texts alone, and are better read than their escapes.
	data = bytes.ReplaceAll(data, []byte("&#xA;"), []byte("\n"))
	head := ""
	if !j.opened {
		j.opened = true
		head = xml.Header + `<testsuites name="visitgauge">` + "\n"
	}
	return write(j.out, "test suite "+s.Name, head+string(data)+"\n")
}

// become sets what becomes of the testcase. XML has no way to write control
// characters, so that they are made visible.
func (c *junitCase) become(state junitState, w junitWords) {
	w.Message = lines.Plain(w.Message)
	text := strings.Split(w.Text, "\n")
	for i := range text {
		text[i] = lines.Plain(text[i])
	}
	w.Text = strings.Join(text, "\n")
	switch state {
	case failed:
		c.Failure = &w
	case undecided:
		c.Error = &w
	case skipped:
		c.Skipped = &w
	}
}

// acceptedCase is the testcase for the answer about the visit.
func acceptedCase(v *verdict.Verdict) junitCase {
	c := junitCase{ClassName: "answers", Name: "The visit is accepted"}
	said := acceptance(v.Acceptance)
	switch v.Acceptance.Value {
	case verdict.Accepted:
		c.SystemOut = said
	case verdict.Rejected:
		c.become(failed, junitWords{Message: said, Type: string(v.Acceptance.Value)})
	default:
		c.become(undecided, junitWords{Message: said, Type: string(v.Acceptance.Value)})
	}
	return c
}

// serviceableCase is the testcase for the answer about the machine.
func serviceableCase(v *verdict.Verdict) junitCase {
	c := junitCase{ClassName: "answers", Name: "The machine is serviceable"}
	said := serviceability(v)
	var b strings.Builder
	for _, mark := range marks(v) {
		b.WriteString("\n" + mark)
	}
	w := junitWords{Message: said, Type: string(v.Serviceability), Text: b.String()}
	switch v.Serviceability {
	case verdict.Serviceable:
		c.SystemOut = said
	case verdict.Restricted, verdict.Unserviceable:
		c.become(failed, w)
	default:
		c.become(undecided, w)
	}
	return c
}

// stateOf is what an outcome does to the testcase of its rule.
func stateOf(o verdict.Outcome) junitState {
	switch {
	case o.Outcome == verdict.Conforming:
		return passed
	case o.Outcome == verdict.NotApplicable, o.Severity == verdict.Minor, o.Concern == verdict.Programme, o.ConcededBy != "":
		return skipped
	case o.Outcome == verdict.Nonconforming:
		return failed
	}
	return undecided
}

// rank orders outcomes by what they do to a testcase, what was found first, and
// that by severity.
func rank(o verdict.Outcome) int {
	r := 4 * int(stateOf(o))
	switch {
	case !o.Finding():
		return r + 3
	case o.Severity == verdict.Minor:
		return r + 2
	case o.Severity == verdict.Major:
		return r + 1
	}
	return r
}

// ruleCase is the testcase for the outcomes of one rule.
func ruleCase(v Visit, outcomes []verdict.Outcome) junitCase {
	c := junitCase{ClassName: outcomes[0].Rule, Name: lines.Plain(outcomes[0].Title)}
	told := slices.DeleteFunc(slices.Clone(outcomes), func(o verdict.Outcome) bool { return o.Outcome == verdict.Conforming })
	if len(told) == 0 {
		return c
	}
	slices.SortStableFunc(told, func(a, b verdict.Outcome) int { return cmp.Compare(rank(a), rank(b)) })
	first := told[0]
	w := junitWords{Message: summarised(told), Type: strings.ReplaceAll(string(first.Outcome), "-", " ")}
	if first.Finding() {
		w.Type = string(first.Severity) + " " + w.Type
	}
	var b strings.Builder
	for _, o := range told {
		b.WriteString("\n" + outcomeLine(v, o))
	}
	if first.Finding() {
		fmt.Fprintf(&b, "\nwhy: %s", lines.Sentence(lines.Opening(first.Why)))
		if first.Outcome == verdict.Nonconforming {
			fmt.Fprintf(&b, "\ndo: %s", lines.Sentence(first.Remedy))
		}
		fmt.Fprintf(&b, "\nwho: %s", first.Who)
		for _, caution := range first.Cautions {
			b.WriteString("\ncaution: " + lines.Sentence(caution))
		}
	}
	w.Text = b.String()
	c.become(stateOf(first), w)
	return c
}

// summarised says the first of several outcomes, and how many more there are.
func summarised(outcomes []verdict.Outcome) string {
	said := answered(outcomes[0]) + ": " + told(outcomes[0])
	if n := len(outcomes) - 1; n > 0 {
		said += fmt.Sprintf(" And %d more.", n)
	}
	return said
}

// outcomeLine says an outcome and where it stands.
func outcomeLine(v Visit, o verdict.Outcome) string {
	said := answered(o) + ": " + told(o)
	if o.Pointer != "" {
		said += " At " + o.Pointer
		if line, column, ok := place(v, o); ok {
			where := fmt.Sprintf("line %d, column %d", line, column)
			if v.Source != "" {
				where = fmt.Sprintf("%s:%d:%d", v.Source, line, column)
			}
			said += " (" + where + ")"
		}
	}
	return said
}
