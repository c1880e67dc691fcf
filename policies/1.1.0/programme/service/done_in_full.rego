# METADATA
# scope: package
# title: The service was done in full, so the next one counts from today
# description: |
#   Only a service done in full moves the day the next one is due.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
# custom:
#   basis: common practice
#   severity: minor
#   says: "The service was not done in full; the next one still counts from the last full one."
#   needs: "It is not known how the visit ended."
#   remedy: "Complete the service on another attendance."
#   who: lead
#   concession: lead
#   since: visit/1
package programme.service.done_in_full

import data.shared.visit

subjects contains "visit" if input.visit.kind == "service"

spared contains "this visit is no service" if input.visit.kind in {"re-inspection", "repair", "handover"}

conforming contains "visit" if {
	"visit" in subjects
	visit.completion == "full"
}

nonconforming contains "visit" if {
	"visit" in subjects
	visit.completion in {"partial", "stopped", "none"}
}
