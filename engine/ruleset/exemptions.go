package ruleset

// identityPaths are what the subjects of a rule and its reasons to judge
// nothing may depend on: what says which machine was visited and what for, the
// earlier visits, and the release's own data.
var identityPaths = []string{
	"input.visit.machine.class",
	"input.visit.kind",
	"input.visit.service_level",
	"input.visit.ended_as",
	"input.visit.first_visit",
	"input.received",
	"input.earlier",
	"data",
}

// A statement is a required field of the record in which somebody says that a
// thing was not done or is not there. A rule may be spared by it, since leaving
// it out is refused by the schema and does not acquit.
type statement struct {
	path   string
	reason string
}

var statements = []statement{
	{"input.visit.charger.stage", "the charger was past its bulk stage, off, or its stage was not seen"},
	{"input.visit.charger.connected.done", "the charger was not connected on this visit"},
	{"input.visit.charger.disconnected.done", "the charger was not disconnected on this visit"},
}

// An identityExemption allows one rule to read more.
type identityExemption struct {
	rule, part, path string
	reason           string
}

var identityExemptions = []identityExemption{
	{"condition.battery.block_voltage", Subjects, "input.visit.battery.off_charge_and_load", "a pack stated not to have rested is spared; one without a statement is judged and found without proof"},
	{"condition.battery.block_voltage", Spared, "input.visit.battery.off_charge_and_load", "hours of rest that fall short are a statement that there was none; leaving them out does not spare"},
	{"condition.battery.gravity_fall", Subjects, "input.visit.battery.changes", "cells of a block stated to have been replaced have nothing to be compared with; one whose serial differs without that statement is judged"},
	{"condition.battery.gravity_fall", Subjects, "input.visit.started", "a change of a block counts up to the day of the visit"},
	{"condition.battery.gravity_fall", Spared, "input.visit.started", "a change of a block counts up to the day of the visit"},
	{"condition.battery.gravity_fall", Spared, "input.visit.battery.changes", "the array is required, and empty where no block was replaced"},
	{"condition.charger.output_current", Subjects, "input.visit.charger.stage", "a charger stated not to be in its bulk stage is spared; one without a statement is judged and found without proof"},
	{"procedure.safety.charger_off_to_connect", Subjects, "input.visit.charger.connected.done", "a charger stated to have been moved neither way is spared; one without a statement is judged and found without proof"},
	{"procedure.safety.charger_off_to_connect", Subjects, "input.visit.charger.disconnected.done", "a charger stated to have been moved neither way is spared; one without a statement is judged and found without proof"},
	{"condition.machine.no_open_tag", Subjects, "input.visit.tags_placed", "a tag placed today makes the machine worse and never better; one that is left out is missed by procedure.closing.critical_made_safe"},
	{"condition.machine.no_open_tag", Spared, "input.visit.tags_placed", "the array is required, and empty where no tag was placed"},
}

// A negationExemption allows one rule or helper, named by its package and
// name, to say not, or to give a default, where conforming depends on it.
type negationExemption struct {
	name   string
	reason string
}

var negationExemptions = []negationExemption{
	{"shared.battery.full_limit", "asks whether the class names a nameplate gravity: the release's own data, not the record"},
	{"shared.tolerance.side_min", "asks whether a limit has that bound: the release's own data, not the record"},
	{"shared.tolerance.side_max", "asks whether a limit has that bound: the release's own data, not the record"},
	{"shared.tolerance.side", "leads to close, never to in"},
}
