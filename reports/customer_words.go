package reports

import (
	"regexp"
	"slices"
	"strings"

	"github.com/visitgauge/visitgauge/engine/sheet"
	"github.com/visitgauge/visitgauge/engine/verdict"
)

// The words of a record as a customer would say them. A word that is not there is
// written with spaces for its hyphens.
var (
	kindWords = map[string]string{
		"service": "service", "re-inspection": "re-inspection", "repair": "repair", "handover": "handover",
	}
	reasonWords = map[string]string{
		"not-charged": "the battery was not charged", "no-access": "it could not be got at", "no-part": "a part was missing",
		"customer-declined": "it was declined on site", "unsafe": "it was not safe", "not-reached": "the visit ended before it",
		"no-time": "there was no time", "not-stated": "the reason was not noted",
	}
	absenceWords = map[string]string{
		"locked-away": "it was locked away", "in-use": "it was in use", "moved": "it was not where it should stand",
		"wrong-machine": "another machine stood there",
	}
	answerWords = map[string]string{
		"acknowledged": "They took note of it.", "refused": "They did not agree.", "nobody-there": "Nobody was there to answer.",
	}
	signedWords = map[string]string{
		"signed": "It was signed for on site", "refused": "A signature was refused on site", "nobody-there": "Nobody was there to sign",
	}
	areaWords = map[string]string{
		"arrival": "name plate and place", "look": "display, meters and warnings", "isolate": "switching off and isolating", "battery": "battery",
		"deck": "deck and brushes", "squeegee": "squeegee", "drive": "drive and wheels", "tanks": "tanks and hoses",
		"function": "controls, stopping and running", "electric": "wiring", "charger": "charger",
	}
)

// word is a word of a record in plain words.
func word(words map[string]string, code string) string {
	if said, ok := words[code]; ok {
		return said
	}
	return strings.ReplaceAll(code, "-", " ")
}

// subjectWords names a subject without its code.
func subjectWords(subject string, titles map[string]string) string {
	kind, name, _ := strings.Cut(subject, " ")
	switch kind {
	case "battery", "charger", "visit", "isolation":
		return "the " + kind
	case "cell", "block", "post", "link":
		return "the battery"
	case "meter":
		return "an hour meter"
	case "step":
		if title := titles[name]; title != "" {
			return "\u201c" + title + "\u201d"
		}
		return "a step of the work"
	case "tag":
		return "the tag " + name
	case "item":
		return "what was still open"
	}
	return "the machine"
}

// hider takes the ids of persons out of a text: a person may have written one
// into it. An id that could be a word or number stands for a person only where it
// is a word by itself.
func hider(s *sheet.Sheet) func(string) string {
	if s == nil {
		return func(text string) string { return text }
	}
	ids := []string{s.Visit.Signatures.Technician.By}
	for _, p := range s.Visit.People {
		ids = append(ids, p.ID)
	}
	// The longest first: tech-1 is the beginning of tech-10.
	slices.SortFunc(ids, func(a, b string) int { return len(b) - len(a) })
	var patterns []string
	for _, id := range ids {
		switch {
		case id == "":
		case strings.ContainsAny(id, "-._/+"):
			patterns = append(patterns, regexp.QuoteMeta(id))
		default:
			patterns = append(patterns, `\b`+regexp.QuoteMeta(id)+`\b`)
		}
	}
	if len(patterns) == 0 {
		return func(text string) string { return text }
	}
	person := regexp.MustCompile(strings.Join(patterns, "|"))
	return func(text string) string { return person.ReplaceAllLiteralString(text, "one of us") }
}

// promise is the first thing a customer reads: what the visit can say of the
// machine, and never more.
func promise(v *verdict.Verdict, flawed bool) (said, more string) {
	on := day(v.Visit.Started)
	switch v.Serviceability {
	case verdict.Serviceable:
		if flawed {
			return "No serious defect was found in what was checked on " + on + ".", "Small things were found or are still open; they are listed below."
		}
		return "No defect was found in what was checked on " + on + ".", ""
	case verdict.Restricted:
		return "The machine may be used only as said below.", "A defect was found on " + on + ", and it is not put right yet."
	case verdict.Unserviceable:
		return "Do not use this machine.", "It was not safe to use, or not released for use, when it was left on " + on + "."
	}
	return "We cannot say whether this machine is in order.", "Not enough of it could be checked on " + on + ". What is missing is listed below."
}
