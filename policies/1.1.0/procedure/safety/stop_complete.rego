# METADATA
# scope: package
# title: A stop for safety is carried through, isolated, tagged, told and followed up
# description: |
#   To stop is a right answer, and half a stop is none. The hazard is named, the machine isolated with its key withheld and
#   a tag on it, the responsible role told, a critical follow-up raised, and no work goes on after it.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   severity: critical
#   basis: common practice
#   says: "{what}."
#   needs: "Still to be shown of the stop: {missing}."
#   remedy: Isolate, withhold the key, hang the tag, tell the responsible person and raise a critical follow-up before leaving.
#   who: technician
#   concession: never
#   since: visit/1
#   cautions:
#     - A machine that was stopped as unsafe stays out of use until a qualified person has released it; follow its manual and local codes.
package procedure.safety.stop_complete

import data.shared.times

subjects contains "visit" if input.visit.ended_as == "stopped-unsafe"

spared contains "the visit was not stopped as unsafe" if input.visit.ended_as in {"completed", "cut-short", "not-available"}

aspects := {
	"hazard": "the hazard by name",
	"isolated": "the machine isolated",
	"tag": "the tag it names, hung at or after the stop, the machine isolated and the key withheld",
	"told": "the responsible role told at or after the stop",
	"follow-up": "the critical follow-up it names",
}

right contains "hazard" if input.visit.stop.hazard

right contains "isolated" if input.visit.stop.isolated == true

right contains "tag" if {
	some t in input.visit.tags_placed
	t.tag == input.visit.stop.tag
	t.isolated == true
	t.key_withheld == true
	t.signal_word in {"danger", "warning"}
	times.at(t.at) >= times.stopped
}

right contains "told" if {
	some t in input.visit.told
	t.role == input.visit.stop.told_role
	times.at(t.at) >= times.stopped
}

right contains "follow-up" if {
	some f in input.visit.follow_ups
	f.item == input.visit.stop.follow_up
	f.severity == "critical"
}

wrong contains {"what": "the machine was not isolated", "at": "/stop/isolated"} if input.visit.stop.isolated == false

wrong contains {"what": "the tag hangs on a machine that was not isolated", "at": sprintf("/tags_placed/%d/isolated", [i])} if {
	some i, t in input.visit.tags_placed
	t.tag == input.visit.stop.tag
	t.isolated == false
}

wrong contains {"what": "the key was not withheld", "at": sprintf("/tags_placed/%d/key_withheld", [i])} if {
	some i, t in input.visit.tags_placed
	t.tag == input.visit.stop.tag
	t.key_withheld == false
}

wrong contains {"what": "the tag says no more than caution", "at": sprintf("/tags_placed/%d/signal_word", [i])} if {
	some i, t in input.visit.tags_placed
	t.tag == input.visit.stop.tag
	t.signal_word == "caution"
}

wrong contains {"what": "the follow-up of the stop is not graded critical", "at": sprintf("/follow_ups/%d/severity", [i])} if {
	some i, f in input.visit.follow_ups
	f.item == input.visit.stop.follow_up
	f.severity in {"major", "minor"}
}

# Work that bears a time shows that it went on.
wrong contains {"what": "gravity was taken after the stop", "at": "/battery/gravity_at"} if times.gravity > times.stopped

wrong contains {"what": "water was added after the stop", "at": "/battery/watering/at"} if times.watered > times.stopped

wrong contains {"what": "power was given back after the stop", "at": "/place/power_back/at"} if times.power_back > times.stopped

wrong contains {"what": "functions were tried after the stop", "at": sprintf("/steps/%d/at", [i])} if {
	some i, s in input.visit.steps
	data.steps[s.step].area == "function"
	times.at(s.at) > times.stopped
}

conforming contains "visit" if {
	"visit" in subjects
	right == object.keys(aspects)
	count(wrong) == 0
}

nonconforming contains "visit" if {
	"visit" in subjects
	count(wrong) > 0
}

facts[subject] contains {"name": "what", "text": w.what} if {
	some subject in subjects
	some w in wrong
}

facts[subject] contains {"name": "at", "at": w.at} if {
	some subject in subjects
	some w in wrong
}

facts[subject] contains {"name": "missing", "text": aspects[a]} if {
	some subject in subjects
	some a in (object.keys(aspects) - right)
}
