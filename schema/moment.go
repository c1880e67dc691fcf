package schema

import (
	"errors"
	"fmt"
	"regexp"
	"time"
)

// FirstYear and LastYear bound, both inclusive, the years that dates and times
// may lie in. Rules compute with whole nanoseconds since 1970 in 64 bits, which
// end in April 2262.
const (
	FirstYear = 1970
	LastYear  = 2261
)

var (
	dateTimeForm = regexp.MustCompile(`^[0-9]{4}-[0-9]{2}-[0-9]{2}T([0-9]{2}):([0-9]{2}):([0-9]{2})(\.[0-9]+)?(Z|[+-]([0-9]{2}):([0-9]{2}))$`)
	noOffsetForm = regexp.MustCompile(`^[0-9]{4}-[0-9]{2}-[0-9]{2}[Tt ][0-9]{2}:[0-9]{2}(:[0-9]{2}(\.[0-9]+)?)?$`)
	noSecondForm = regexp.MustCompile(`^[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}(Z|[+-][0-9]{2}:[0-9]{2})$`)
	foldedForm   = regexp.MustCompile(`^[0-9]{4}-[0-9]{2}-[0-9]{2}[Tt ][0-9]{2}:[0-9]{2}:[0-9]{2}(\.[0-9]+)?([Zz]|[+-][0-9]{2}:[0-9]{2})$`)
	dateForm     = regexp.MustCompile(`^[0-9]{4}-[0-9]{2}-[0-9]{2}$`)
)

// ParseDateTime reads a time of RFC 3339 with its offset, which the result
// keeps. It is stricter than the RFC where rules could not compute with the
// time, or would take it for another:
//
//   - T and Z are in upper case, and T is no blank: Rego refuses others.
//   - The second 60 is refused: Rego has no leap seconds.
//   - At most 9 decimals of a second: the rest would be dropped silently.
//   - The offset -00:00, by which the RFC says that the local time is not
//     known, is refused: the local day decides which release is in force.
//   - Years [FirstYear] to [LastYear].
//
// The error is half a sentence, without the text itself: "has no offset".
func ParseDateTime(text string) (time.Time, error) {
	parts := dateTimeForm.FindStringSubmatch(text)
	if parts == nil {
		switch {
		case noOffsetForm.MatchString(text):
			return time.Time{}, errors.New("has no offset from UTC")
		case noSecondForm.MatchString(text):
			return time.Time{}, errors.New("has no seconds")
		case foldedForm.MatchString(text):
			return time.Time{}, errors.New("has no upper-case T before the time, or no upper-case Z")
		}
		return time.Time{}, errors.New("is not a time written as in 2026-05-04T08:10:00+02:00")
	}
	if _, err := ParseDate(text[:len("2006-01-02")]); err != nil {
		return time.Time{}, err
	}
	hour, minute, second, fraction := parts[1], parts[2], parts[3], parts[4]
	offset, offsetHour, offsetMinute := parts[5], parts[6], parts[7]
	// All are two digits, so that comparing the texts compares the numbers.
	switch {
	case hour > "23":
		return time.Time{}, fmt.Errorf("has the hour %s: hours end at 23", hour)
	case minute > "59":
		return time.Time{}, fmt.Errorf("has the minute %s: minutes end at 59", minute)
	case second == "60":
		return time.Time{}, errors.New("has the second 60: leap seconds are not taken, since rules compute in whole nanoseconds of days without them")
	case second > "60":
		return time.Time{}, fmt.Errorf("has the second %s: seconds end at 59", second)
	case len(fraction) > len(".123456789"):
		return time.Time{}, errors.New("has more than 9 decimals of a second: rules compute in whole nanoseconds")
	case offset == "-00:00":
		return time.Time{}, errors.New("has the offset -00:00, which says that the local time is not known")
	case offsetHour > "23":
		return time.Time{}, fmt.Errorf("has an offset of %s hours: they end at 23", offsetHour)
	case offsetMinute > "59":
		return time.Time{}, fmt.Errorf("has an offset with %s minutes: they end at 59", offsetMinute)
	}
	t, err := time.Parse(time.RFC3339Nano, text)
	if err != nil {
		return time.Time{}, fmt.Errorf("is not a time: %w", err)
	}
	return t, nil
}

// ParseDate reads a day of the calendar, written year-month-day as in RFC 3339,
// in the years [FirstYear] to [LastYear]. The result is its start in UTC. The
// error is half a sentence, without the text itself.
func ParseDate(text string) (time.Time, error) {
	if !dateForm.MatchString(text) {
		return time.Time{}, errors.New("is not a day written as in 2026-05-04")
	}
	t, err := time.Parse(time.DateOnly, text)
	if err != nil {
		return time.Time{}, errors.New("is not a day of the calendar")
	}
	if year := t.Year(); year < FirstYear || year > LastYear {
		return time.Time{}, fmt.Errorf("lies outside the years %d to %d", FirstYear, LastYear)
	}
	return t, nil
}

func isDateTime(v any) bool {
	text, ok := v.(string)
	if !ok {
		return true // of another type: the keyword type decides
	}
	_, err := ParseDateTime(text)
	return err == nil
}

func isDate(v any) bool {
	text, ok := v.(string)
	if !ok {
		return true
	}
	_, err := ParseDate(text)
	return err == nil
}
