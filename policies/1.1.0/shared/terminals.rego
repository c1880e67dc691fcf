# METADATA
# title: Terminals
# description: |
#   The torque of a battery terminal goes by its form, which the class names.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
package shared.terminals

import data.shared.visit

# torque: the limit for the form of terminal that the class has; another form has none.
torque contains {"name": "post_torque_bolted", "limit": data.limits.battery.post_torque_bolted} if visit.class.battery.terminal == "bolted"

torque contains {"name": "post_torque_stud", "limit": data.limits.battery.post_torque_stud} if visit.class.battery.terminal == "stud"
