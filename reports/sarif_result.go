package reports

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"net/url"
	"path/filepath"
	"strings"

	"github.com/visitgauge/visitgauge/engine/verdict"
	"github.com/visitgauge/visitgauge/reports/internal/lines"
)

// The rules that the answers are results of. No rule of a release has such a name.
const (
	ruleAccepted    = "answer.visit.accepted"
	ruleServiceable = "answer.machine.serviceable"
)

// answers are the results for the two answers of a visit.
func (s *SARIF) answers(v Visit) []sarifResult {
	id := v.Verdict.Visit
	bag := sarifVisitBag{
		Visit: id.ID, Machine: id.Serial, Class: id.Class, Site: id.Site, Started: id.Started, EndedAs: id.EndedAs,
		Acceptance: string(v.Acceptance.Value), Serviceability: string(v.Serviceability), Completion: string(v.Completion),
		Release: v.Release.Version, ReleaseDigest: v.Release.Digest, Record: id.Digest,
	}
	result := func(rule int, level, said, subject string) sarifResult {
		kind := "fail"
		if level == "none" {
			kind = "pass"
		}
		return sarifResult{
			RuleID: s.rules[rule].ID, RuleIndex: rule, Kind: kind, Level: level, Message: sarifText{sarifMessage(said)},
			Locations:    located(v.Source, 0, 0, sarifLogical{Name: subject}),
			Fingerprints: fingerprint(id.ID, s.rules[rule].ID, subject),
			Suppressions: []sarifSuppression{},
			Properties:   bag,
		}
	}
	isAccepted := s.rule(ruleAccepted, "The visit is accepted",
		"It was done as it must be: no critical or major rule of procedure is broken, and the record shows that none is.", "")
	isServiceable := s.rule(ruleServiceable, "The machine is serviceable",
		"No critical or major defect was found in what was checked, and nothing forbids or restricts its use.", "")
	level := "error"
	if v.Acceptance.Value == verdict.Accepted {
		level = "none"
	}
	accepted := result(isAccepted, level, "Visit "+id.ID+" is "+acceptance(v.Acceptance)+".", "visit")
	level = "error"
	switch v.Serviceability {
	case verdict.Serviceable:
		level = "none"
	case verdict.Restricted:
		level = "warning"
	}
	said := "Machine " + id.Serial + " was left " + serviceability(v.Verdict) + "."
	for _, mark := range marks(v.Verdict) {
		said += " " + lines.Sentence(mark)
	}
	return []sarifResult{accepted, result(isServiceable, level, said, "machine")}
}

// outcome is the result for an outcome.
func (s *SARIF) outcome(v Visit, o verdict.Outcome) sarifResult {
	help := ""
	if o.Finding() {
		for _, caution := range o.Cautions {
			help += lines.Sentence(caution) + " "
		}
		help += lines.Sentence(o.Remedy) + " By: " + o.Who + "."
	}
	r := sarifResult{
		RuleID: o.Rule, RuleIndex: s.rule(o.Rule, o.Title, o.Why, help), Kind: sarifKind(o.Outcome), Level: "none",
		Message:      sarifText{sarifMessage("Visit " + v.Verdict.Visit.ID + ": " + told(o))},
		Fingerprints: fingerprint(v.Verdict.Visit.ID, o.Rule, o.Subject),
		Suppressions: []sarifSuppression{},
		Properties:   sarifOutcomeBag{Visit: v.Verdict.Visit.ID, Severity: o.Severity, Because: o.Because},
	}
	if r.Kind == "fail" {
		r.Level = sarifLevel(o)
	}
	line, column, _ := place(v, o)
	r.Locations = located(v.Source, line, column, sarifLogical{Name: o.Subject, Qualified: o.Pointer})
	if o.ConcededBy != "" {
		r.Suppressions = []sarifSuppression{{Kind: "external", Status: "accepted",
			Justification: lines.Plain("It stands by concession " + o.ConcededBy + "; the finding stays what it is.")}}
	}
	return r
}

// rule keeps what is known of a rule, and returns its index. Findings alone bring
// why and help along.
func (s *SARIF) rule(id, title, why, help string) int {
	i, seen := s.index[id]
	if !seen {
		i = len(s.rules)
		s.index[id] = i
		s.rules = append(s.rules, &sarifRule{ID: id, Short: sarifText{sarifMessage(lines.Sentence(title))}})
	}
	r := s.rules[i]
	if r.Full == nil && why != "" {
		r.Full = &sarifText{sarifMessage(lines.Sentence(why))}
	}
	if r.Help == nil && help != "" {
		r.Help = &sarifText{sarifMessage(help)}
	}
	return i
}

func sarifKind(o verdict.Value) string {
	switch o {
	case verdict.Conforming:
		return "pass"
	case verdict.Nonconforming:
		return "fail"
	case verdict.NotApplicable:
		return "notApplicable"
	}
	return "open"
}

func sarifLevel(o verdict.Outcome) string {
	switch {
	case o.Concern == verdict.Programme:
		return "note"
	case o.Severity == verdict.Minor:
		return "warning"
	}
	return "error"
}

func located(source string, line, column int, logical sarifLogical) []sarifLocation {
	return []sarifLocation{{Physical: physical(source, line, column), Logical: []sarifLogical{logical}}}
}

// physical is where something stands in a file, or nil if the file is not known.
// The line is left out if it is zero.
func physical(source string, line, column int) *sarifPhysical {
	if source == "" {
		return nil
	}
	address := url.URL{Path: filepath.ToSlash(source)}
	if filepath.IsAbs(source) {
		address.Scheme = "file"
	}
	p := &sarifPhysical{Artifact: sarifArtifact{URI: address.String()}}
	if line > 0 {
		p.Region = &sarifRegion{StartLine: line, StartColumn: column}
	}
	return p
}

// fingerprint is the same whenever the same rule speaks of the same subject of a
// visit.
func fingerprint(visit, rule, subject string) sarifFingerprint {
	sum := sha256.Sum256([]byte(visit + "\x00" + rule + "\x00" + subject))
	return sarifFingerprint{V1: hex.EncodeToString(sum[:16])}
}

// notification is a problem as a runtime error of the run.
func notification(r Refusal, p Problem) sarifNotification {
	said := p.Message
	if p.Pointer != "" {
		said = p.Pointer + ": " + said
	}
	switch {
	case r.Saved:
		said = "verdict refused: " + said
	case r.Earlier:
		said = "earlier record refused: " + said
	default:
		said = "record refused: " + said
	}
	place := p.Source
	if p.Line > 0 {
		place = fmt.Sprintf("%s:%d:%d", place, p.Line, p.Column)
	}
	said = place + ": " + said + "."
	if p.Mend != "" {
		said += " To mend it: " + p.Mend + "."
	}
	n := sarifNotification{Level: "error", Message: sarifText{sarifMessage(said)}}
	if at := physical(p.Source, p.Line, p.Column); at != nil && p.Source != Stdin {
		n.Locations = []sarifLocation{{Physical: at}}
	}
	return n
}

// sarifMessage is a text that stands for itself in a plain text message: there,
// braces hold placeholders unless they are doubled (3.11.5 of the standard), and
// a text in brackets, with another in parentheses right after it, is a link
// (3.11.6).
func sarifMessage(text string) string { return messageEscaper.Replace(lines.Plain(text)) }

var messageEscaper = strings.NewReplacer("{", "{{", "}", "}}", "](", "] (")
