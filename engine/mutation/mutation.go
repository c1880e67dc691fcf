package mutation

// Kind says what sort of change is tried.
type Kind string

// The kinds of change.
const (
	Limit      Kind = "limit"      // a number of limits.yaml or of a class, moved by a step
	Comparison Kind = "comparison" // a comparison, turned
	Source     Kind = "source"     // where subjects come from, left out
	Body       Kind = "body"       // another rule or helper, one body of it left out
)

// Kinds are all of them, in the order in which they are told of.
var Kinds = []Kind{Limit, Comparison, Source, Body}

// Change is one thing changed in a release.
type Change struct {
	Kind Kind   `json:"kind"`
	File string `json:"file"` // inside the release
	Line int    `json:"line"` // 1-based
	// Rule is the dotted name of the rule or helper, or of the row of numbers.
	Rule string `json:"rule"`
	Text string `json:"text"` // what stands there, on one line
	What string `json:"what"` // what was done to it, such as "<= turned into <"
}

// Hole is a change that no example noticed.
type Hole struct {
	Change
	// Ran are the rules whose examples were run, sorted. There are none where the
	// change makes no difference to what any example comes by.
	Ran []string `json:"ran"`
	// Examples is how many of them were run.
	Examples int `json:"examples"`
}

// Listed is a change that no example noticed and that unnoticed.yaml lists.
type Listed struct {
	Change
	Because string `json:"because"`
}

// Count counts the changes of one kind.
type Count struct {
	Kind    Kind `json:"kind"`
	Tried   int  `json:"tried"`
	Noticed int  `json:"noticed"`
	Listed  int  `json:"listed"`
	Holes   int  `json:"holes"`
	// Elsewhere are those that no example run noticed, where an example of another
	// rule may. There are none where the examples of all rules are run.
	Elsewhere int `json:"elsewhere"`
}

// Result is what came of all changes.
type Result struct {
	Counts []Count  `json:"counts"` // by kind
	Holes  []Hole   `json:"holes"`  // by file and line
	Listed []Listed `json:"listed"` // by file and line
	// Unneeded are entries of unnoticed.yaml that no change needs.
	Unneeded []Unneeded `json:"unneeded"`
	// Unsaid is how many places were left alone because only words depend on them.
	Unsaid int `json:"unsaid"`
	// Runs is how many examples were run over all changes.
	Runs int `json:"runs"`
}

// Open tells whether there is anything to mend.
func (r *Result) Open() bool { return len(r.Holes) > 0 || len(r.Unneeded) > 0 }
