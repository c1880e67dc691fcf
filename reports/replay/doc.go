// Package replay words what another release of the rules would have judged
// differently: for people as text, Markdown and a page with pictures, and as a table.
//
// Start at [Report.Page], [HTML] and [CSV]; [Reproduction.Page] is for recorded
// verdicts reached again. Each says that it is a what-if and no verdict. The package
// finds nothing out and reads nothing but its arguments.
package replay
