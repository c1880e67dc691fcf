package reports

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"

	"github.com/visitgauge/visitgauge/engine/verdict"
	"github.com/visitgauge/visitgauge/reports/internal/lines"
)

// SARIF writes one log with one run after the Static Analysis Results Interchange
// Format, version 2.1.0, of OASIS: a result for each outcome, and two more for the
// answers of each visit.
//
//	conforming       kind pass
//	nonconforming    kind fail, level error if critical or major, warning if minor,
//	                 note if it belongs to the programme concern, which changes
//	                 neither answer
//	indeterminate    kind open
//	not applicable   kind notApplicable
//
// The level of all but fail is none, as the standard demands. A gate that counts
// errors would so pass a visit of which nothing could be decided; the results for
// the answers are therefore of kind fail and level error where a visit is not
// accepted or a machine not serviceable, and level warning where it is restricted.
//
// What stands by a concession has a suppression, and every other result an empty
// list of them: the standard wants that of all results of a run or of none.
// Lines end in a line feed, and columns count Unicode characters. Results have their JSON pointer as logical
// location, and a physical one where the file is known. A fingerprint is of visit,
// rule and subject, so that a finding is known again when the visit is handed in
// anew.
//
// Results are written as they come. The texts of the rules, which verdicts bring
// along piece by piece, and what was refused are held and follow at the end: the
// order of members is free. Of refused records, [sarifNotifications] problems are
// held; what is beyond is counted, and all are told in words to another writer.
//
// The types here are those members of the standard that are written. A library's
// have all of them, most of which are written even if empty, in each of some
// thousand results a visit.
type SARIF struct {
	out   io.Writer
	words words

	opened  bool
	results int
	rules   []*sarifRule
	index   map[string]int // in rules, by id
	notes   []sarifNotification
	unheld  int // problems for which there was no room in notes
	buf     bytes.Buffer
}

var _ Report = (*SARIF)(nil)

// sarifNotifications is how many problems a log lists at most.
const sarifNotifications = 10_000

// NewSARIF returns a report that writes a log to out. The problems of what was
// refused stand there too; they and the summary are told in words to aside.
func NewSARIF(out, aside io.Writer) *SARIF {
	return &SARIF{out: out, words: words{aside}, index: map[string]int{}}
}

// The objects of the standard that are written.
type (
	sarifText struct {
		Text string `json:"text"`
	}
	sarifResult struct {
		RuleID       string             `json:"ruleId"`
		RuleIndex    int                `json:"ruleIndex"`
		Kind         string             `json:"kind"`
		Level        string             `json:"level"`
		Message      sarifText          `json:"message"`
		Locations    []sarifLocation    `json:"locations"`
		Fingerprints sarifFingerprint   `json:"partialFingerprints"`
		Suppressions []sarifSuppression `json:"suppressions"`
		Properties   any                `json:"properties"`
	}
	sarifLocation struct {
		Physical *sarifPhysical `json:"physicalLocation,omitempty"`
		Logical  []sarifLogical `json:"logicalLocations,omitempty"`
	}
	sarifPhysical struct {
		Artifact sarifArtifact `json:"artifactLocation"`
		Region   *sarifRegion  `json:"region,omitempty"`
	}
	sarifArtifact struct {
		URI string `json:"uri"`
	}
	sarifRegion struct {
		StartLine   int `json:"startLine"`
		StartColumn int `json:"startColumn,omitempty"`
	}
	sarifLogical struct {
		Name      string `json:"name"`
		Qualified string `json:"fullyQualifiedName,omitempty"`
	}
	sarifFingerprint struct {
		V1 string `json:"visitRuleSubject/v1"`
	}
	sarifSuppression struct {
		Kind          string `json:"kind"`
		Status        string `json:"status"`
		Justification string `json:"justification"`
	}
	sarifOutcomeBag struct {
		Visit    string           `json:"visit"`
		Severity verdict.Severity `json:"severity"`
		Because  verdict.Because  `json:"because,omitempty"`
	}
	sarifVisitBag struct {
		Visit          string `json:"visit"`
		Machine        string `json:"machine"`
		Class          string `json:"class"`
		Site           string `json:"site"`
		Started        string `json:"started"`
		EndedAs        string `json:"endedAs"`
		Acceptance     string `json:"acceptance"`
		Serviceability string `json:"serviceability"`
		Completion     string `json:"completion"`
		Release        string `json:"release"`
		ReleaseDigest  string `json:"releaseDigest"`
		Record         string `json:"record"`
	}
	sarifRule struct {
		ID    string     `json:"id"`
		Short sarifText  `json:"shortDescription"`
		Full  *sarifText `json:"fullDescription,omitempty"`
		Help  *sarifText `json:"help,omitempty"`
	}
	sarifNotification struct {
		Level     string          `json:"level"`
		Message   sarifText       `json:"message"`
		Locations []sarifLocation `json:"locations,omitempty"`
	}
	sarifInvocation struct {
		Successful    bool                `json:"executionSuccessful"`
		Notifications []sarifNotification `json:"toolExecutionNotifications"`
	}
	sarifTool struct {
		Driver struct {
			Name     string       `json:"name"`
			Language string       `json:"language"`
			Rules    []*sarifRule `json:"rules"`
		} `json:"driver"`
	}
)

// sarifHead is what stands before the results, and after which they follow.
const sarifHead = `{"$schema":"https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json",` +
	`"version":"2.1.0","runs":[{"language":"en-US","columnKind":"unicodeCodePoints","newlineSequences":["\n"],"results":[`

// Visit writes the results of a visit, a line each.
func (s *SARIF) Visit(v Visit) error {
	s.buf.Reset()
	s.open()
	results := s.answers(v)
	for _, o := range v.Outcomes {
		results = append(results, s.outcome(v, o))
	}
	for _, r := range results {
		if err := s.result(r); err != nil {
			return fmt.Errorf("visit %q: %w", v.Verdict.Visit.ID, err)
		}
	}
	return write(s.out, "results of visit "+v.Verdict.Visit.ID, s.buf.String())
}

// Refused keeps the problems for the end, and tells them in words.
func (s *SARIF) Refused(r Refusal) error {
	for _, p := range r.Problems {
		if len(s.notes) == sarifNotifications {
			s.unheld++
			continue
		}
		s.notes = append(s.notes, notification(r, p))
	}
	return s.words.refused(r)
}

// End writes what stands after the results.
func (s *SARIF) End(sum Summary) error {
	s.buf.Reset()
	s.open()
	if s.unheld > 0 {
		s.note(fmt.Sprintf("%d more problems are not listed here; they were told on standard error.", s.unheld))
	}
	if sum.Stopped != "" {
		s.note("Not finished: " + sum.Stopped + ". What came after it was not judged.")
	}
	invocation := sarifInvocation{Successful: sum.whole(), Notifications: orNone(s.notes)}
	var tool sarifTool
	tool.Driver.Name, tool.Driver.Language = "visitgauge", "en-US"
	tool.Driver.Rules = orNone(s.rules)
	s.buf.WriteString("\n]")
	for _, part := range []struct {
		name  string
		value any
	}{{"invocations", []sarifInvocation{invocation}}, {"tool", tool}} {
		data, err := json.Marshal(part.value)
		if err != nil {
			return fmt.Errorf("encoding %s: %w", part.name, err)
		}
		fmt.Fprintf(&s.buf, ",\n%q:%s", part.name, lines.Plain(string(data)))
	}
	s.buf.WriteString("}]}\n")
	if err := write(s.out, "end of log", s.buf.String()); err != nil {
		return err
	}
	return s.words.end(sum)
}

func (s *SARIF) note(text string) {
	s.notes = append(s.notes, sarifNotification{Level: "error", Message: sarifText{sarifMessage(text)}})
}

func (s *SARIF) open() {
	if !s.opened {
		s.opened = true
		s.buf.WriteString(sarifHead)
	}
}

// result appends one result to what is written next.
func (s *SARIF) result(r sarifResult) error {
	data, err := json.Marshal(r)
	if err != nil {
		return fmt.Errorf("encoding result of rule %s: %w", r.RuleID, err)
	}
	if s.results > 0 {
		s.buf.WriteByte(',')
	}
	s.results++
	s.buf.WriteByte('\n')
	s.buf.WriteString(lines.Plain(string(data))) // whose escapes are those of JSON
	return nil
}

// orNone is a list that is written as an empty one if it is.
func orNone[T any](list []T) []T {
	if list == nil {
		return []T{}
	}
	return list
}
