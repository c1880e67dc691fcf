package record

// Limits bound what one record may cost. A field that is zero or less stands
// for its default. A full service of a machine with 18 cells is some 40 kB in 6
// levels, so that the defaults leave ample room.
type Limits struct {
	// Bytes is the largest size of one record, in bytes, inclusive.
	// Default: [DefaultBytes].
	Bytes int64

	// Depth is the deepest nesting of objects and arrays, inclusive; the record
	// itself is level 1. Default: [DefaultDepth].
	Depth int

	// String is the longest text, in characters, inclusive; names of fields
	// included. Default: [DefaultString].
	String int

	// Members is the largest number of fields of one object, or of elements of
	// one array, inclusive. Default: [DefaultMembers].
	Members int
}

// The defaults of [Limits].
const (
	DefaultBytes   = 4 << 20
	DefaultDepth   = 32
	DefaultString  = 10_000
	DefaultMembers = 10_000
)

// MaxProblems is the largest number of problems listed for one record,
// inclusive. What is beyond is counted in one more problem at the end.
const MaxProblems = 1000

// filled returns the limits with defaults in the place of what is not set.
func (l Limits) filled() Limits {
	if l.Bytes <= 0 {
		l.Bytes = DefaultBytes
	}
	if l.Depth <= 0 {
		l.Depth = DefaultDepth
	}
	if l.String <= 0 {
		l.String = DefaultString
	}
	if l.Members <= 0 {
		l.Members = DefaultMembers
	}
	return l
}
