package replay

import (
	"slices"

	"github.com/visitgauge/visitgauge/engine/archive"
	"github.com/visitgauge/visitgauge/engine/record"
)

// Selection chooses visits. A field that is empty lets all pass; of a list one word
// must fit. There is none by person: a replay asks about rules, not about people.
type Selection struct {
	// From and To are local days (year-month-day), both inclusive, on which the visit
	// started.
	From string `json:"from"`
	To   string `json:"to"`
	// Sites, Serials and Classes are those of the machine.
	Sites   []string `json:"sites"`
	Serials []string `json:"serials"`
	Classes []string `json:"classes"`
	// Releases are versions; one of them gave the latest verdict.
	Releases []string `json:"judged_by"`
	// Instruments are ids; a reading was taken with one of them, as asked where one
	// was recalled.
	Instruments []string `json:"instruments"`
}

// Of is a selection of an archive's filter and instruments.
func Of(f archive.Filter, instruments []string) Selection {
	return Selection{From: f.From, To: f.To, Sites: list(f.Sites), Serials: list(f.Serials), Classes: list(f.Classes),
		Releases: list(f.Releases), Instruments: list(instruments)}
}

func list(words []string) []string { return append([]string{}, words...) }

func (s Selection) filter() archive.Filter {
	return archive.Filter{From: s.From, To: s.To, Sites: s.Sites, Serials: s.Serials, Classes: s.Classes, Releases: s.Releases}
}

// uses tells whether a reading of a record was taken with one of the instruments
// selected.
func (s Selection) uses(rec *record.Record) bool {
	return len(s.Instruments) == 0 || readWith(rec.Value(), s.Instruments)
}

// readWith looks for readings anywhere in a value: what names an instrument is one.
func readWith(v any, instruments []string) bool {
	switch v := v.(type) {
	case map[string]any:
		if id, ok := v["instrument"].(string); ok && slices.Contains(instruments, id) {
			return true
		}
		for _, inner := range v {
			if readWith(inner, instruments) {
				return true
			}
		}
	case []any:
		return slices.ContainsFunc(v, func(inner any) bool { return readWith(inner, instruments) })
	}
	return false
}
