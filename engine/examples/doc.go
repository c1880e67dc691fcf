// Package examples runs the examples of a release: for each rule, a base visit,
// the changes made to it and the outcome expected of each subject. They let a
// quality lead say what a rule must do without writing Go, and no rule is fit for
// release that was never seen to fail.
//
// Start at [New] and [Runner.Rule]. A rule's examples must show it conforming,
// nonconforming, and indeterminate or spared, fill every placeholder of the texts
// they print, and reach every line of the rule's file; [Runner.Shared] then says
// which lines of the shared files no example of any rule reached.
//
// Each example is judged by its own rule alone, in the release's own Rego. A
// changed visit goes through the record decoder like any other, so no example
// shows what could not be handed in.
package examples
