# METADATA
# scope: package
# title: Acid in the battery box is dealt with in its order, and what is left of it is accounted for
# description: |
#   Caps are tight before neutraliser is used, or it gets into the cells and spoils them. The acid is neutralised and
#   rinsed, the pH measured after, and the residue goes somewhere that is on record. Acid from a cracked case means a
#   tag, for the block goes on leaking.
# related_resources:
#   - ref: urn:text:TM-10-6140-200-14
#     description: 1 lb bicarbonate of soda to 1 gal of water
#   - ref: urn:text:29-CFR-1926.441-a-7
#     description: flushing and neutralising of spilt electrolyte (construction)
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   severity: major
#   says: "Acid in the battery box, {amount} of it: {what}."
#   needs: "Acid in the battery box: whether there was any is needed, and where there was: {missing}."
#   needs_state: The visit was cut off before the battery box was cleaned.
#   remedy: Tighten the caps, neutralise, rinse, measure the pH, and record where the residue goes. Isolate and tag a machine with a cracked case.
#   who: technician
#   concession: never
#   since: visit/1
#   cautions:
#     - Neutraliser foams on acid, and residue may be waste that the law has a way for; follow the battery's manual and local codes, and leave it to a qualified person if in doubt.
package procedure.safety.acid_dealt_with

import data.shared.battery
import data.shared.instruments
import data.shared.steps
import data.shared.visit

subjects contains "battery" if {
	visit.attended
	visit.class.battery.blocks
}

spared contains "nobody attended the machine" if visit.not_available

acid if input.visit.battery.box.acid in {"traces", "pool"}

noted contains input.visit.battery.box.acid

aspects := {
	"caps": "caps tight before neutraliser was used",
	"neutralised": "acid neutralised and rinsed",
	"ph": "the pH after it, by a checked instrument",
	"residue": "where the residue went, by a reference or the day it is due",
	"tag": "a tag on the isolated machine where a case is cracked",
}

right contains "caps" if input.visit.battery.box.caps_tight_first == true

right contains "caps" if visit.class.battery.type == "sealed"

right contains "neutralised" if input.visit.battery.box.neutralised == true

right contains "ph" if instruments.usable(input.visit.battery.box.ph.as_left, "ph")

right contains "ph" if instruments.usable(input.visit.battery.box.ph.as_found, "ph")

right contains "residue" if {
	input.visit.battery.box.went_to
	input.visit.battery.box.reference
}

right contains "residue" if {
	input.visit.battery.box.went_to
	input.visit.battery.box.pending_due >= visit.day
}

right contains "tag" if input.visit.battery.box.cause in {"overfilled", "cap", "unknown"}

right contains "tag" if count(tags) > 0

tags contains t.tag if {
	some t in input.visit.tags_placed
	t.isolated == true
	count({about | some about in t.about} & ({"battery"} | battery.blocks)) > 0
}

# cleaned: the cleaning was reached; a visit that was cut off before it leaves the acid to who comes next.
cleaned if {
	acid
	count({"battery-clean"} & steps.not_reached) == 0
}

wrong contains {"what": "neutraliser was used before the caps were tight", "at": "/battery/box/caps_tight_first"} if {
	acid
	visit.class.battery.type == "flooded"
	input.visit.battery.box.neutralised == true
	input.visit.battery.box.caps_tight_first == false
}

wrong contains {"what": "it was not neutralised", "at": "/battery/box/neutralised"} if {
	cleaned
	input.visit.battery.box.neutralised == false
}

wrong contains {"what": "the residue was due to go before this visit", "at": "/battery/box/pending_due"} if {
	acid
	input.visit.battery.box.pending_due < visit.day
}

wrong contains {"what": "a case is cracked, and no tag hangs on an isolated machine", "at": "/battery/box/cause"} if untagged

untagged if {
	acid
	input.visit.battery.box.cause == "cracked-case"
	count(tags) == 0
}

conforming contains "battery" if {
	"battery" in subjects
	input.visit.battery.box.acid == "none"
}

conforming contains "battery" if {
	"battery" in subjects
	count(wrong) == 0
	acid
	right == object.keys(aspects)
}

conforming contains "battery" if {
	"battery" in subjects
	input.visit.place.lid.opened == false
	count(noted & {"traces", "pool"}) == 0
}

nonconforming contains "battery" if {
	"battery" in subjects
	count(wrong) > 0
}

not_possible contains "battery" if {
	"battery" in subjects
	"battery-clean" in steps.not_reached
	count(wrong) == 0
	right != object.keys(aspects)
	acid
}

not_possible contains "battery" if {
	"battery" in subjects
	"battery-box" in steps.not_reached
	not input.visit.battery
	not input.visit.place.lid
}

severity[subject] := "critical" if {
	some subject in subjects
	untagged
}

facts[subject] contains {"name": "what", "text": w.what} if {
	some subject in subjects
	some w in wrong
}

facts[subject] contains {"name": "at", "at": w.at} if {
	some subject in subjects
	some w in wrong
}

facts[subject] contains {"name": "amount", "text": {"traces": "traces", "pool": "a pool"}[input.visit.battery.box.acid]} if {
	some subject in subjects
	acid
}

facts[subject] contains {"name": "missing", "text": aspects[a]} if {
	some subject in subjects
	some a in (object.keys(aspects) - right)
}
