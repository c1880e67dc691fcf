package schema_test

import (
	"testing"
	"time"

	"github.com/visitgauge/visitgauge/schema"
)

// The cases marked suite are those of json-schema-org's JSON-Schema-Test-Suite,
// tests/draft2020-12/optional/format/date-time.json, which tests RFC 3339,
// section 5.6. Those marked stricter are valid there, and refused here on
// purpose; ParseDateTime says why.
func TestParseDateTime(t *testing.T) {
	for _, c := range []struct {
		text   string
		valid  bool
		source string
	}{
		{"1963-06-19T08:30:06.283185Z", false, "suite, stricter: before 1970"},
		{"1937-01-01T12:00:27.87+00:20", false, "suite, stricter: before 1970"},
		{"1998-12-31T23:59:60Z", false, "suite, stricter: leap second"},
		{"1998-12-31T15:59:60.123-08:00", false, "suite, stricter: leap second"},
		{"1963-06-19t08:30:06.283185z", false, "suite, stricter: lower case"},
		{"1985-04-12T00:59:59.999999999999999Z", false, "suite, stricter: more than 9 decimals"},

		{"1998-12-31T23:59:61Z", false, "suite"},
		{"1998-12-31T23:58:60Z", false, "suite"},
		{"1990-02-31T15:59:59.123-08:00", false, "suite"},
		{"1990-12-31T15:59:59-24:00", false, "suite"},
		{"1963-06-19T08:30:06.28123+01:00Z", false, "suite"},
		{"1990-12-31T24:00:00Z", false, "suite"},
		{"1990-12-31T10:00:00+10:60", false, "suite"},
		{"06/19/1963 08:30:06 PST", false, "suite"},
		{"2013-350T01:01:01", false, "suite"},
		{"1985-04-12T00:59:59Z\n", false, "suite: trailing line break"},

		// The suite's valid cases, moved to where both agree.
		{"1983-06-19T08:30:06.283185Z", true, "suite, year moved"},
		{"1977-01-01T12:00:27.87+00:20", true, "suite, year moved"},
		{"1998-12-31T23:59:59Z", true, "suite, second moved"},
		{"1998-12-31T15:59:59.123-08:00", true, "suite, second moved"},
		{"1985-04-12T00:59:59.999999999Z", true, "suite, cut to 9 decimals"},

		{"2026-05-04T08:10:00", false, "no offset"},
		{"2026-05-04T08:10+02:00", false, "no seconds"},
		{"2026-05-04 08:10:00+02:00", false, "blank for T, which RFC 3339 allows for readability only"},
		{"2026-05-04T08:10:00,5Z", false, "comma, which ISO 8601 allows and RFC 3339 does not"},
		{"2026-05-04T08:10:00.Z", false, "no digit after the point"},
		{"2026-05-04T08:10:00-00:00", false, "stricter: RFC 3339, section 4.3, local time unknown"},
		{"2026-05-04T08:10:00+00:00", true, "UTC as local time"},
		{"2026-05-04T08:10:00+0200", false, "offset without colon"},
		{"2026-02-29T08:10:00Z", false, "no leap year"},
		{"2028-02-29T08:10:00Z", true, "leap year"},
		{"1970-01-01T00:00:00+23:59", true, "first year as written"},
		{"2261-12-31T23:59:59.999999999-23:59", true, "last year as written"},
		{"1969-12-31T23:59:59Z", false, "before the first year"},
		{"2262-01-01T00:00:00Z", false, "after the last year"},
		{"２026-05-04T08:10:00Z", false, "a digit that is not ASCII"},
		{"", false, "empty"},
	} {
		got, err := schema.ParseDateTime(c.text)
		if (err == nil) != c.valid {
			t.Errorf("%q (%s): %v, want valid %t", c.text, c.source, err, c.valid)
			continue
		}
		if !c.valid {
			continue
		}
		// The standard library's reading of RFC 3339 is the second opinion.
		want, err := time.Parse(time.RFC3339Nano, c.text)
		if err != nil || !got.Equal(want) {
			t.Errorf("%q is %v, and %v to package time (%v)", c.text, got, want, err)
		}
		// Whole nanoseconds in 64 bits hold it, which the rules rely on.
		if back := time.Unix(0, got.UnixNano()); !back.Equal(got) {
			t.Errorf("%q is %v in nanoseconds and back", c.text, back)
		}
	}
}

func TestParseDateTimeSaysWhy(t *testing.T) {
	for text, want := range map[string]string{
		"2026-05-04T08:10:00":                "has no offset from UTC",
		"2026-05-04 08:10":                   "has no offset from UTC",
		"2026-05-04T08:10+02:00":             "has no seconds",
		"2026-05-04t08:10:00z":               "has no upper-case T before the time, or no upper-case Z",
		"2026-05-04T24:00:00Z":               "has the hour 24: hours end at 23",
		"2026-05-04T08:60:00Z":               "has the minute 60: minutes end at 59",
		"2016-12-31T23:59:60Z":               "has the second 60: leap seconds are not taken, since rules compute in whole nanoseconds of days without them",
		"2016-12-31T23:59:61Z":               "has the second 61: seconds end at 59",
		"2026-05-04T08:10:00.1234567891Z":    "has more than 9 decimals of a second: rules compute in whole nanoseconds",
		"2026-05-04T08:10:00-00:00":          "has the offset -00:00, which says that the local time is not known",
		"2026-05-04T08:10:00+24:00":          "has an offset of 24 hours: they end at 23",
		"2026-05-04T08:10:00+02:60":          "has an offset with 60 minutes: they end at 59",
		"2026-02-30T08:10:00Z":               "is not a day of the calendar",
		"1901-02-03T08:10:00Z":               "lies outside the years 1970 to 2261",
		"yesterday":                          "is not a time written as in 2026-05-04T08:10:00+02:00",
		"2026-05-04T08:10:00+02:00 (arrived": "is not a time written as in 2026-05-04T08:10:00+02:00",
	} {
		if _, err := schema.ParseDateTime(text); err == nil || err.Error() != want {
			t.Errorf("%q: %v, want %q", text, err, want)
		}
	}
}

// Dates are those of RFC 3339's full-date; section 5.7 has the days of each
// month and the leap years.
func TestParseDate(t *testing.T) {
	for text, valid := range map[string]bool{
		"2026-05-04": true, "2028-02-29": true, "2000-02-29": true, "1970-01-01": true, "2261-12-31": true,
		"2026-02-29": false, "2100-02-29": false, "2026-04-31": false, "2026-13-01": false, "2026-00-10": false,
		"2026-05-00": false, "2026-5-4": false, "20260504": false, "04.05.2026": false, "2026-05-04T00:00:00Z": false,
		"1969-12-31": false, "2262-01-01": false, "": false, " 2026-05-04": false,
	} {
		if _, err := schema.ParseDate(text); (err == nil) != valid {
			t.Errorf("%q: %v, want valid %t", text, err, valid)
		}
	}
}
